"""Which files a call looks at and which it leaves out, each with its reason."""

from __future__ import annotations

from collections.abc import Sequence


def render_files(checked: Sequence[tuple[str, str]], skipped: Sequence[tuple[str, str]]) -> str:
    """One file a line: its path, and why; those that are left out come after, and say so.

    Parameters
    ----------
    checked, skipped : sequence of (path, reason)
        The checked ones in the order of their check; the others are sorted here.

    Examples
    --------
    >>> checked = [("stout.yaml", "named in the call")]
    >>> print(render_files(checked, [("ci.yaml", "its first key is not waterlint")]), end="")
    stout.yaml: named in the call
    ci.yaml: skipped: its first key is not waterlint
    """
    # Imported late: it brings the text format along, which other calls do without.
    from waterlint.output.cleaning import shown_path

    lines = [f"{shown_path(path)}: {shown_path(reason)}\n" for path, reason in checked]
    lines += [f"{shown_path(path)}: skipped: {shown_path(why)}\n" for path, why in sorted(skipped)]
    return "".join(lines)
