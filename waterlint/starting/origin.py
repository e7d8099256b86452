"""Where waterlint itself comes from: the address that a hook or a job installs it from."""

from __future__ import annotations

import re
from dataclasses import dataclass

from waterlint.version import __version__

#: Stands for the address that only the user knows, under a name that is reserved for examples.
PLACEHOLDER = "https://git.example.org/waterlint"

#: What an address or a revision may be made of: nothing that YAML, JSON or a shell would read
#: as anything but itself inside double quotes.
_SAFE = re.compile(r"[A-Za-z0-9._~/][A-Za-z0-9._~:/@%+-]*")
_SHORT_SSH = re.compile(r"([\w.-]+@[\w.-]+):(?!//)/?(.+)")


class UnsafeText(ValueError):
    """The text could be read as something else in the files that it is written to."""


@dataclass(frozen=True, slots=True)
class Origin:
    """A git repository that holds waterlint, and the revision to take.

    `repository` is `None` where the user has not said it.
    """

    repository: str | None = None
    revision: str = f"v{__version__}"

    def __post_init__(self) -> None:
        for text in (self.repository, self.revision):
            if text is not None and not _SAFE.fullmatch(text):
                raise UnsafeText(text)

    @property
    def requirement(self) -> str:
        """What `pip install` takes.

        Examples
        --------
        >>> Origin("git@git.example.org:brewing/waterlint.git", "v1").requirement
        'waterlint @ git+ssh://git@git.example.org/brewing/waterlint.git@v1'
        """
        address = self.repository or PLACEHOLDER
        short = _SHORT_SSH.fullmatch(address)
        if short and "://" not in address:
            address = f"ssh://{short[1]}/{short[2]}"
        elif address.startswith("/"):
            address = f"file://{address}"
        return f"waterlint @ git+{address}@{self.revision}"
