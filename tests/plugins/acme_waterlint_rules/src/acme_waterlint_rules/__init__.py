"""House rules of the Acme brewery."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.finding import Finding
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import recipe_example

#: The most mash water that the house's mash tun stirs well [L/kg].
THIN = 4.5


@rule(
    "thin-mash",
    subject="recipe",
    levels=("warning",),
    group="The house of Acme",
    what="A mash with more water to the malt than the house's tun can stir.",
    why="The rakes of the tun leave the malt of a thin mash lying on the bottom.",
    limits=(f"mash water: {THIN:g} L/kg — the house's own trials of 2025",),
    configure="`levels: {thin-mash: off}` in waterlint.yaml.",
    failing=recipe_example(
        "  mash: {volume: 22 L, from: ./well.yaml}", "  sparge: {volume: 6.5 L, from: ./well.yaml}"
    ),
    passing=recipe_example(),
)
def thin_mash(case: Case) -> Iterator[Finding]:
    """One finding, at the volume of the mash water."""
    if case.prediction is None or case.prediction.mash is None:
        return
    thickness = case.prediction.mash.thickness_l_per_kg
    if thickness is None or thickness <= THIN:
        return
    yield case.finding(
        "thin-mash",
        "warning",
        "/water/mash/volume",
        f"the mash has {thickness:.1f} L/kg of water, more than {THIN:g} L/kg",
        help="Move water from the mash to the sparge.",
        basis="the house's own trials of 2025",
        quantity="thickness",
        vessel="mash",
        value=thickness,
        high=THIN,
        unit="L/kg",
    )
