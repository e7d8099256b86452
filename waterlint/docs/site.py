"""From the pages' sources to the site."""

from __future__ import annotations

import importlib.util
import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from functools import partial

from waterlint.docs.catalogue import catalogue_page
from waterlint.docs.rule_pages import rule_pages
from waterlint.paths import Path
from waterlint.rules.registry import all_rules
from waterlint.version import __version__

#: The texts that stand in the repository and not in the installed package, by page.
TEXTS = {
    "readme": "README.md",
    "developers": "DEVELOPERS.md",
    "chemistry": "waterlint/docs/chemistry.md",
}

_CONF = f"""\
project = "waterlint"
version = release = {__version__!r}
extensions = ["myst_parser"]
html_theme = "alabaster"
html_theme_options = {{
    "page_width": "min(84em, 96vw)",
    "body_max_width": "60em",
    "fixed_sidebar": True,
    "font_family": "sans-serif",
}}
html_static_path = ["style"]
html_sidebars = {{"**": ["about.html", "searchfield.html", "navigation.html"]}}
html_show_copyright = html_show_sphinx = False
html_copy_source = False
myst_heading_anchors = 3
"""

# The catalogue's tables have a dozen columns: they are set small, and scroll by themselves.
_STYLE = """\
table.docutils { display: block; overflow-x: auto; font-size: 80%; border: 0; }
table.docutils td, table.docutils th { padding: 0.3em 0.6em; vertical-align: top; }
table.docutils p { margin: 0; }
table.docutils code { white-space: nowrap; }
"""

_INDEX = """\
# waterlint

Version {version}. Brewing-water recipes as safe as code.

```{{toctree}}
:maxdepth: 2

readme
rules/index
catalogue
chemistry
developers
```
"""

# The texts of the site stand in a clone only, so the package's extra is of no use without one.
_INSTALL = "pip install -e '.[docs]'"

_LINK = re.compile(r"\]\((?!https?:|#)([^)#\s]+)(#[^)\s]*)?\)")


class SiteError(Exception):
    """The site cannot be built; the text says why and what to do."""


def build(out: Path) -> None:
    """Build the site.

    Raises
    ------
    SiteError
        If Sphinx is not installed, the repository's texts are not there, or Sphinx finds fault
        with a page.
    """
    root = repository()
    for package in ("sphinx", "myst_parser"):
        if importlib.util.find_spec(package) is None:
            raise SiteError(f"{package} is not installed: {_INSTALL} in {root}")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for page, text in sources(root).items():
            path = folder / f"{page}.md"
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8")
        (folder / "conf.py").write_text(_CONF, encoding="utf-8")
        (folder / "style").mkdir()
        (folder / "style" / "custom.css").write_text(_STYLE, encoding="utf-8")
        command = [sys.executable, "-m", "sphinx", "-b", "html", "-W", "--keep-going", "-q"]
        command += ["-d", str(folder / ".trees"), str(folder), str(out.absolute())]
        # Sphinx ends where the user's locale is not installed; the site is the same in any.
        environment = {**os.environ, "LC_ALL": "C"}
        done = subprocess.run(
            command, check=False, capture_output=True, cwd=folder, env=environment
        )
        if done.returncode:
            told = (done.stdout + done.stderr).decode("utf-8", errors="replace")
            raise SiteError(f"Sphinx could not build the site:\n{told}")


def repository() -> Path:
    """The root of the clone that this package stands in.

    Raises
    ------
    SiteError
        If it stands in none.
    """
    root = Path(__file__).resolve().parents[2]
    if not all((root / each).is_file() for each in TEXTS.values()):
        raise SiteError(f"the site is built from a clone: {_INSTALL} there")
    return root


def sources(root: Path) -> Mapping[str, str]:
    """The pages of the site as Markdown, by name."""
    rules = all_rules()
    pages = {"index": _INDEX.format(version=__version__), "catalogue": catalogue_page()}
    pages |= rule_pages(rules.values())
    for page, file in TEXTS.items():
        text = (root / file).read_text(encoding="utf-8")
        pages[page] = _LINK.sub(partial(_relinked, file), text)
    return pages


def _relinked(file: str, link: re.Match[str]) -> str:
    """A link between two texts as one between two pages; one to anything else as its name."""
    target = (Path(file).parent / link[1]).as_posix()
    for page, other in TEXTS.items():
        if target == other:
            return f"]({page}.md{link[2] or ''})"
    return "]"
