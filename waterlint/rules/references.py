"""Whether the waters that a recipe names could be found, and their shares add up."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog.limits import SHARE_TOLERANCE
from waterlint.finding import Edit, Finding, Fix, Related
from waterlint.model.recipe import Share, Vessel
from waterlint.project.nearest import nearest
from waterlint.project.references import is_path
from waterlint.records import replace
from waterlint.rules.registry import Case, rule
from waterlint.rules.renaming import is_one_slip
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import apart
from waterlint.source.faults import shorten

#: Letters of a reference that a message shows.
_LONGEST_SHOWN = 200


@rule(
    "unresolved-water",
    subject="recipe",
    levels=("error",),
    group="The file",
    excusable=False,
    what=(
        "A water that a recipe names under `from` and that cannot be had: no such file, a path "
        "that leaves the project root, an address on the web, a file that is no water report or "
        "has errors of its own, references in a circle. Also a list of shares that do not add "
        "up to the whole."
    ),
    why=(
        "Every figure of a recipe begins with its water. Without it nothing is predicted, and "
        "a check that says nothing would look like one that passed."
    ),
    limits=(SHARE_TOLERANCE.line,),
    configure=(
        "Waters that belong to the house can be given names under `waters` in waterlint.yaml; "
        "`distilled` and `reverse-osmosis` are built in."
    ),
    failing=recipe_example("  sparge: {volume: 13.5 L, from: ./wall.yaml}"),
    passing=recipe_example(
        "  sparge:\n"
        "    volume: 13.5 L\n"
        "    from: [{water: ./well.yaml, share: 60 %}, {water: distilled, share: 40 %}]"
    ),
)
def unresolved_water(case: Case) -> Iterator[Finding]:
    """Each water that could not be had, once, and each list of shares off the whole."""
    assert case.recipe is not None
    missing = any(water.problem is not None for water in case.waters.values())
    uses: dict[str, list[Share]] = {}
    for share in case.recipe.references if missing else ():
        uses.setdefault(share.water, []).append(share)
    for reference, shares in uses.items():
        water = case.waters.get(reference)
        if water is None or water.problem is None:
            continue
        if not case.catalog.has_faulty("waters", reference):
            yield _not_had(case, reference, water.problem, water.help, shares)
    for vessel in case.recipe.vessels.values():
        whole = sum([share.share for share in vessel.shares])
        if whole == 1.0:
            continue
        # Rounded, so that 99.9 % is as far from the whole as it says.
        total = round(100.0 * whole, 9)
        if not SHARE_TOLERANCE.contains(round(abs(total - 100.0), 9)):
            yield _shares(case, vessel, total)


def _not_had(case: Case, reference: str, problem: str, help: str, shares: list[Share]) -> Finding:
    first, *others = (_place_of_name(case, share) for share in shares)
    shown = shorten(reference, _LONGEST_SHOWN)
    finding = case.finding(
        "unresolved-water",
        "error",
        first,
        f"the water `{shown}` cannot be used: {problem}",
        help=help,
        basis="a recipe is computed from the waters that it names",
        related=tuple(
            Related(case.path, case.place(pointer), f"`{shown}` is named here too")
            for pointer in others
        ),
    )
    return replace(finding, fix=_renamed(case, reference, (first, *others)))


def _renamed(case: Case, reference: str, pointers: tuple[str, ...]) -> Fix | None:
    """The fix that writes the one name that is meant, everywhere; a file's name is never guessed:
    another report is another water."""
    if is_path(reference):
        return None
    from waterlint.source.edit_data import in_place_of

    meant = nearest(reference, case.catalog.waters)
    nodes = [case.document.find(pointer) for pointer in pointers]
    if meant is None or not is_one_slip(reference, meant):
        return None
    edits = tuple(
        Edit(node.start, node.end, in_place_of(node.lines.text[node.start : node.end], meant))
        for node in nodes
        if node is not None and node.use is None
    )
    return Fix(f"write `{meant}`", edits) if len(edits) == len(nodes) else None


def _place_of_name(case: Case, share: Share) -> str:
    """The pointer of the text that names the water: `from` itself, or `water` in a list."""
    inner = f"{share.pointer}/water"
    return inner if case.document.find(inner) is not None else share.pointer


def _shares(case: Case, vessel: Vessel, total: float) -> Finding:
    allowed = SHARE_TOLERANCE.ceiling
    return case.finding(
        "unresolved-water",
        "error",
        vessel.source_pointer,
        f"the shares of the {vessel.name} water add up to {apart(total, 100.0)} %, not to 100 %",
        help="Change the shares until they make the whole.",
        basis=SHARE_TOLERANCE.basis,
        quantity="share",
        vessel=vessel.name,
        value=total,
        low=100.0 - allowed,
        high=100.0 + allowed,
        unit="%",
    )


@rule(
    "untracked-water",
    subject="recipe",
    levels=("warning",),
    group="Around the files",
    what="In a git hook: a water report that a recipe uses and that git does not track.",
    why=(
        "The commit passes here, where the file is, and fails or reads something else on every "
        "other machine."
    ),
    limits=("tracked — git's index at the time of the commit",),
    configure="Add the report to the commit with `git add`, or `levels: {untracked-water: off}`.",
    failing=None,
    passing=recipe_example(),
)
def untracked_water(case: Case) -> Iterator[Finding]:
    """Each report that git does not keep, at the first place that names it."""
    assert case.recipe is not None
    told: set[str] = set()
    for share in case.recipe.references:
        water = case.waters.get(share.water)
        if water is None or not water.untracked or share.water in told:
            continue
        told.add(share.water)
        yield case.finding(
            "untracked-water",
            "warning",
            _place_of_name(case, share),
            f"the water report {water.path} is not part of the repository: git does not track it",
            help=f"Add it to the commit: `git add {water.path}`.",
            basis="git's index",
        )
