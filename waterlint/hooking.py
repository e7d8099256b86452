"""What a git hook lints: the files that a commit changes, and all that depends on them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence

from waterlint.linter import Linter
from waterlint.paths import Path
from waterlint.project.config import CONFIG_NAME
from waterlint.project.dependents import Dependent, dependents
from waterlint.project.discovery import Found, Skipped, survey
from waterlint.project.git import Change
from waterlint.project.root import project_root
from waterlint.records import Record


class Selection(Record):
    """What a hook looks at.

    `handed` are the files that the hook names, `added` those that depend on what is staged,
    and `skipped` those that the hook names and that are none of waterlint's, or excluded.
    """

    handed: tuple[Found, ...]
    added: tuple[Dependent, ...]
    skipped: tuple[Skipped, ...]

    def found(self) -> list[Found]:
        """Every file to lint, once."""
        return [*self.handed, *(Found(each.path, each.because, False) for each in self.added)]


def select(
    files: Sequence[Path], changes: Sequence[Change], linter: Linter, folder: Path
) -> Selection:
    """The files that a hook hands over, and what the staged changes touch besides.

    Parameters
    ----------
    files : sequence of Path
        As the hook hands them over.
    changes : sequence of Change
        What is staged, deletions and renames included.
    linter : Linter
        Of this run.
    folder : Path
        The folder that the hook runs in.

    Notes
    -----
    A commit of thousands of files comes in several calls, one after the other, of which none
    can know what the others are given: a change that is missing among `files` may be left to
    another call, or hidden by a filter of the hook, or a deletion that is handed to none. So each
    call looks after all dependents; told twice is better than told by nobody. The changed files
    themselves are never dependents, so each of them is told once.
    """
    looked = survey(files, linter.exclusions(), linter.disk, handed_over=True)
    linter.note_skipped(looked.skipped)
    known = {file.path for file in looked.found}
    # The root of a file in the folder: the folder's own root may be that of what is around it.
    root = project_root(linter.disk.absolute(folder) / CONFIG_NAME)
    added = dependents(changes, root, linter.exclusions(), linter.disk)
    return Selection(
        tuple(looked.found),
        tuple(each for each in added if each.path not in known),
        tuple(looked.skipped),
    )


def reasons(linter: Linter, selection: Selection, faulty: Collection[str]) -> Iterator[str]:
    """Why files were checked that the commit does not change, for the head of a report.

    Parameters
    ----------
    linter : Linter
        Of the run.
    selection : Selection
        What was linted.
    faulty : collection of str
        Files with findings, as findings name them. Each has a line of its own; the others are
        counted by their reason, so that what matters is not buried.
    """
    # Imported late: mostly there is nothing to say.
    from waterlint.output.text import path_text

    others: Counter[str] = Counter()
    for each in selection.added:
        shown = linter.disk.shown(each.path)
        if shown in faulty:
            yield path_text(f"{shown}: {each.because}")
        else:
            others[each.because] += 1
    for because, number in others.items():
        more = "1 file without findings" if number == 1 else f"{number} files without findings"
        yield path_text(f"{more}: {because}")
