"""The solver of programs, which is an extra of the package: the only place that asks for it."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from waterlint.hints import TYPE_CHECKING, Final
from waterlint.remedy.program import Near, Program, Solution, SolverMissing, Turn
from waterlint.remedy.table import Table, table_of

if TYPE_CHECKING:
    from scipy.optimize import OptimizeResult

#: What is given away of the nearness to an aim for fewer additives and steps [the figure's unit]:
#: of a pH, less than any meter shows.
CLOSE: Final = 1e-3

#: What a dose that changes costs beside its steps; a tie is all that it decides.
PLACE: Final = 0.01

#: How far one program may branch, which is a bound that the same input meets at the same place.
#: Programs of real recipes take one node, ones with targets of a hair's breadth thousands.
NODE_LIMIT: Final = 500

#: How long one program may take [s], should the nodes be large; hardly ever met.
TIME_LIMIT: Final = 10.0

#: How the solver says that nothing keeps all rows.
_INFEASIBLE: Final = 2

#: What a missed requirement costs beside an additive, so that a tenth of it still outweighs
#: them all.
HEAVY: Final = 20.0


def need_solver() -> None:
    """Make sure that the solver is there.

    Raises
    ------
    SolverMissing
    """
    try:
        import scipy.optimize  # noqa: F401
    except ImportError as error:
        raise SolverMissing(
            "the solver is not installed: python -m pip install 'waterlint[solve]'"
        ) from error


def solve(program: Program) -> Solution | None:
    """The steps that miss least, then change the fewest groups, then by the fewest steps.

    Returns
    -------
    Solution or None
        `None` where nothing keeps what must be kept, or the solver gave up.

    Raises
    ------
    SolverMissing
        If there is no solver, or it breaks down.
    """
    need_solver()
    table = table_of(program)
    missing = dict(zip(table.missed, program.weights, strict=True))
    heavy = HEAVY * (len(table.groups) + 1)
    first = {column: heavy * weight for column, weight in missing.items()}
    first |= dict.fromkeys(table.groups.values(), 1.0)
    values = _optimum(table, first)
    if values is None:
        return None
    far = [near for near in program.nearest if values[table.missed[near.name]] > 0.5]
    if far:
        # What cannot be met is come near to, with as many additives as that takes.
        missed_only = {column: first[column] for column in table.missed}
        table.row(missed_only, -inf, _worth(missed_only, values) + 1e-6)
        values = _come_near(table, far) or values
        first = dict.fromkeys(table.groups.values(), 1.0)
        values = _optimum(table, first) or values
    table.row(first, -inf, _worth(first, values) + 1e-6)
    # Of equal sums, the one in the fewest places, and new ones last.
    second = dict.fromkeys(table.changes, 1.0)
    for turn, column in zip(program.turns, table.moved, strict=True):
        second[column] = PLACE if turn.start > 0.0 else 2.0 * PLACE
    values = _optimum(table, second) or values
    missed = {number for number, column in enumerate(table.missed) if values[column] > 0.5}
    return Solution(
        tuple(
            _on_grid(turn, values[column])
            for turn, column in zip(program.turns, table.steps, strict=True)
        ),
        frozenset(missed),
    )


def is_impossible(program: Program) -> bool:
    """Whether it is proven that nothing keeps what must be kept.

    Raises
    ------
    SolverMissing
    """
    need_solver()
    return bool(_outcome(table_of(program), {}).status == _INFEASIBLE)


def _on_grid(turn: Turn, value: float) -> float:
    return turn.start if abs(value - turn.start) < 1e-4 else float(round(value))


def _worth(objective: dict[int, float], values: Sequence[float]) -> float:
    return sum(weight * values[column] for column, weight in objective.items())


def _come_near(table: Table, far: Sequence[Near]) -> Sequence[float] | None:
    distances: dict[int, float] = {}
    for near in far:
        distance = table.column(0.0, inf, whole=False)
        entries = dict(zip(table.steps, near.factors, strict=True))
        table.row(entries | {distance: 1.0}, near.value, inf)
        table.row(entries | {distance: -1.0}, -inf, near.value)
        distances[distance] = 1.0 / near.scale
    values = _optimum(table, distances)
    if values is not None:
        for distance, weight in distances.items():
            table.upper[distance] = values[distance] + CLOSE / weight
    return values


def _optimum(table: Table, objective: dict[int, float]) -> Sequence[float] | None:
    outcome = _outcome(table, objective)
    return None if outcome.x is None else [float(value) for value in outcome.x]


def _outcome(table: Table, objective: dict[int, float]) -> OptimizeResult:
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    cost = np.zeros(len(table.lower))
    for column, weight in objective.items():
        cost[column] = weight
    rows = [number for number, entries in enumerate(table.entries) for _ in entries]
    columns = [column for entries in table.entries for column in entries]
    factors = [factor for entries in table.entries for factor in entries.values()]
    matrix = csr_array((factors, (rows, columns)), shape=(len(table.entries), len(table.lower)))
    try:
        return milp(
            cost,
            integrality=np.array(table.whole),
            bounds=Bounds(np.array(table.lower), np.array(table.upper)),
            constraints=LinearConstraint(matrix, np.array(table.lows), np.array(table.highs)),
            options={"time_limit": TIME_LIMIT, "node_limit": NODE_LIMIT, "mip_rel_gap": 0.0},
        )
    except (ValueError, RuntimeError) as error:
        raise SolverMissing(f"the solver failed: {str(error).splitlines()[0]}") from error
