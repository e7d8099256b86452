"""Names of files and folders that mean something to waterlint."""

from __future__ import annotations

#: The name of a configuration file.
CONFIG_NAME = "waterlint.yaml"

#: Endings of YAML files, in lower case.
ENDINGS = (".yaml", ".yml")

#: Folders that hold what programs have made or fetched, besides the hidden ones.
SKIPPED = frozenset({"__pycache__", "node_modules", "site-packages", "venv", "virtualenv"})

#: Files that mark a folder as a cache (the cache directory tagging convention) or as a Python
#: environment.
MARKERS = ("CACHEDIR.TAG", "pyvenv.cfg")
