"""What holds for a file and why, for people."""

from __future__ import annotations

from waterlint.project.settings import FileConfig, statements


def describe(shown: str, root: str, config: FileConfig, exclusion: str | None) -> str:
    """A line for each value with where it was stated.

    Parameters
    ----------
    shown, root : str
        The file and the root of its project, as they are shown.
    config : FileConfig
        What holds for the file.
    exclusion : str or None
        Why a search leaves the file out.

    Returns
    -------
    str
        Lines, each with its end.
    """
    lines = [f"file: {shown}", f"project root: {root}"]
    if config.paths:
        lines.append(f"configuration: {', which builds on '.join(config.paths)}")
    else:
        lines.append("configuration: none, what is built in holds")
    if config.is_broken:
        lines.append("the configuration has errors; what is wrong is left out here:")
        lines += [
            f"  {each.path}:{each.span.line}:{each.span.column}: {each.message}"
            for each in config.findings
        ]
    if exclusion is not None:
        lines.append(f"left out of searches: {exclusion}")
    rows = [*statements(config.values), *_entries(config)]
    wide = max(len(key) for key, _, _ in rows)
    lines += [f"{key:<{wide}}  {text}  ({origin})" for key, text, origin in rows]
    lines.append("Rules without a line here have their own levels: see `waterlint explain`.")
    return "".join(f"{line}\n" for line in lines)


def _entries(config: FileConfig) -> list[tuple[str, str, str]]:
    catalog = config.catalog
    basis = {
        **{f"additives/{name}": each.basis for name, each in catalog.additives.items()},
        **{f"malts/{name}": each.basis for name, each in catalog.malts.items()},
        **{f"styles/{name}": each.basis for name, each in catalog.styles.items()},
        **{f"waters/{name}": each.basis for name, each in catalog.waters.items()},
    }
    return [
        (name.replace("/", "."), f"basis: {basis[name]}", "the house's own")
        for name in sorted(catalog.house)
    ]
