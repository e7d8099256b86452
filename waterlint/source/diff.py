"""What differs between two texts, for people and for `patch`."""

from __future__ import annotations

from difflib import unified_diff


def diff_text(before: str, after: str, name: str) -> str:
    """A unified diff that `git apply` and `patch` take; empty where nothing changed.

    Parameters
    ----------
    before, after : str
    name : str
        Of the file, as it is shown.

    Examples
    --------
    >>> print(diff_text("a\\nb", "a\\nc", "f"), end="")
    --- a/f
    +++ b/f
    @@ -1,2 +1,2 @@
     a
    -b
    \\ No newline at end of file
    +c
    \\ No newline at end of file
    """
    pieces: list[str] = []
    for line in unified_diff(
        _lines(before), _lines(after), _quoted(f"a/{name}"), _quoted(f"b/{name}")
    ):
        pieces.append(line)
        if not line.endswith("\n"):
            pieces.append("\n\\ No newline at end of file\n")
    return "".join(pieces)


def _lines(text: str) -> list[str]:
    """Lines that end at LF alone, as diffs count them."""
    lines = text.split("\n")
    return [f"{line}\n" for line in lines[:-1]] + ([lines[-1]] if lines[-1] else [])


def _quoted(name: str) -> str:
    """A name as git writes it in a diff: between quotes where it could be misread."""
    if name.isprintable() and '"' not in name and "\\" not in name:
        return name
    octal = "".join(
        chr(byte) if 32 <= byte < 127 and chr(byte) not in '"\\' else f"\\{byte:03o}"
        for byte in name.encode("utf-8", "surrogateescape")
    )
    return f'"{octal}"'
