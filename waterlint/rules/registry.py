"""How a rule is written, registered, and given what it looks at.

A rule is a function of one case that yields findings. It is registered by the decorator
`rule`, which also carries its documentation, so that adding a rule touches one file and its
test: the modules of this package are found by a scan.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Mapping
from functools import update_wrapper

from waterlint.catalog.catalog import Catalog
from waterlint.days import date
from waterlint.finding import Finding, Level, Related, Span
from waterlint.hints import TYPE_CHECKING, Literal
from waterlint.model.recipe import Recipe
from waterlint.model.water import WaterReport
from waterlint.prediction.deferred import Deferred
from waterlint.prediction.result import Prediction
from waterlint.project.config import Settings
from waterlint.records import Record, field
from waterlint.source.document import Document

if TYPE_CHECKING:
    from typing import Concatenate, ParamSpec, TypeVar

    P = ParamSpec("P")
    T = TypeVar("T")

Subject = Literal["recipe", "water", "file"]

#: What a recipe may have; `traits.py` tells.
Trait = Literal[
    "mash",
    "sparge",
    "style",
    "color",
    "measured pH",
    "kettle dose",
    "unweighed",
    "acid",
    "alkali",
    "chalk",
    "lime",
    "sulfite",
]


class UsedWater(Record):
    """A water that a recipe names, as far as it could be found.

    `report` is `None` when it could not be; `problem` then says why and `help` what to do.
    `document` is the report's own document, `None` for a built-in or a house water. `path` is
    relative to the working directory, `file` the whole one: two paths may be shown alike.
    `untracked` is set only where git was asked, as in a hook.
    """

    reference: str
    report: WaterReport | None
    path: str | None = None
    document: Document | None = None
    problem: str | None = None
    help: str = ""
    untracked: bool = False
    file: str | None = None


class Case(Record):
    """What a rule looks at: one document, what it means, and what is predicted for it.

    Exactly one of `recipe` and `report` is set. `waters` is keyed by the reference as the
    recipe writes it. `used_by` names the recipes that brought a report along. `has_baseline` says
    whether findings may be set aside later, since the house knows them.
    """

    path: str
    document: Document
    settings: Settings
    catalog: Catalog
    today: date
    recipe: Recipe | None = None
    report: WaterReport | None = None
    prediction: Prediction | None = None
    waters: Mapping[str, UsedWater] = field(default_factory=dict)
    used_by: tuple[str, ...] = ()
    has_baseline: bool = False
    #: What `once` has been told about this case.
    answers: dict[object, object] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def finding(
        self,
        rule: str,
        level: Level,
        pointer: str,
        message: str,
        *,
        help: str = "",
        basis: str = "",
        key: bool = False,
        related: tuple[Related, ...] = (),
        quantity: str | None = None,
        vessel: str | None = None,
        value: float | None = None,
        value_low: float | None = None,
        value_high: float | None = None,
        low: float | None = None,
        high: float | None = None,
        unit: str | None = None,
    ) -> Finding:
        """A finding at the node that `pointer` names (a block is pointed at by its key)."""
        return Finding(
            rule=rule,
            level=level,
            path=self.path,
            span=self.place(pointer, key=key),
            message=message,
            help=help,
            document=self.document.index,
            pointer=pointer,
            quantity=quantity,
            vessel=vessel,
            value=value,
            value_low=value_low,
            value_high=value_high,
            low=low,
            high=high,
            unit=unit,
            basis=basis,
            related=related + self.document.alias_places(pointer, self.path),
        )

    def place(self, pointer: str, *, key: bool = False) -> Span:
        """Where `pointer` stands: a scalar at its value, a block at its key's line."""
        return self.document.place_of(pointer, key=key)


Check = Callable[[Case], Iterable[Finding]]


def once(answer: Callable[Concatenate[Case, P], T]) -> Callable[Concatenate[Case, P], T]:
    """Work out what many rules ask about a case only once, and keep it as long as the case.

    Parameters
    ----------
    answer : callable
        Depends on the case and on its other arguments, which can be hashed, alone; what it gives
        is not to be changed.
    """

    def kept(case: Case, /, *args: P.args, **kwargs: P.kwargs) -> T:
        key: object = answer
        if args or kwargs:
            key = (answer, args, *kwargs.items()) if kwargs else (answer, args)
        answers: dict[object, T] = case.answers  # type: ignore[assignment]
        if key in answers:
            return answers[key]
        return answers.setdefault(key, answer(case, *args, **kwargs))

    # To a reader's tools it is the function itself.
    update_wrapper(kept, answer)
    return kept


class Example(Deferred, Record):
    """A file that shows a rule: `files` beside it by name, `text` the file that is linted."""

    text: str
    files: Mapping[str, str] = field(default_factory=dict)


class Rule(Record):
    """A registered rule with its documentation.

    `levels` are the levels it can report, by default. `limits` are lines of the default limits,
    each with its basis. `failing` gives at least one finding of this rule, `passing` none. Where a
    document lacks one of the traits in `needs`, the rule would find nothing and is not called.
    """

    name: str
    subject: Subject
    levels: tuple[Level, ...]
    what: str
    why: str
    limits: tuple[str, ...]
    configure: str
    failing: Example | None
    passing: Example | None
    check: Check | None
    group: str = ""
    excusable: bool = True
    needs: frozenset[Trait] = frozenset()


_OWN = __name__.partition(".")[0]
_REGISTRY: dict[str, Rule] = {}
_FOREIGN: dict[str, dict[str, Rule]] = {}


def rule(
    name: str,
    *,
    subject: Subject,
    levels: tuple[Level, ...],
    what: str,
    why: str,
    limits: tuple[str, ...],
    configure: str,
    failing: Example | None,
    passing: Example | None,
    group: str = "",
    excusable: bool = True,
    needs: tuple[Trait, ...] = (),
) -> Callable[[Check], Check]:
    """Register the decorated function as the check of the rule `name`."""

    def register(check: Check) -> Check:
        add(
            Rule(
                name,
                subject,
                levels,
                what,
                why,
                limits,
                configure,
                failing,
                passing,
                check,
                group,
                excusable,
                frozenset(needs),
            )
        )
        return check

    return register


def add(entry: Rule) -> None:
    """Put a rule into the registry; two rules of one name are a programming error.

    A rule whose check comes from another package is kept apart under its module's name: it is
    looked at only where a configuration names its package.
    """
    module = getattr(entry.check, "__module__", None) or _OWN
    rules = _REGISTRY if module.partition(".")[0] == _OWN else _FOREIGN.setdefault(module, {})
    if entry.name in rules:
        raise ValueError(f"two rules are named {entry.name}")
    rules[entry.name] = entry


def foreign_rules(package: str) -> tuple[Rule, ...]:
    """The rules that a package other than this one, or a module of it, has registered."""
    return tuple(
        entry
        for module, rules in sorted(_FOREIGN.items())
        if module == package or module.startswith(f"{package}.")
        for entry in rules.values()
    )


def forget_unloaded(package: str) -> None:
    """Forget the rules of a package's modules that failed while they were imported.

    When such a module is imported once more, it registers them once more.
    """
    for module in [*_FOREIGN]:
        if module.partition(".")[0] == package and module not in sys.modules:
            del _FOREIGN[module]


def _modules() -> list[str]:
    """The names of the modules beside this one."""
    folder = os.path.dirname(__file__)  # noqa: PTH120
    try:
        names = os.listdir(folder)  # noqa: PTH208
    except OSError:  # in a zip file, say
        import pkgutil

        return [module.name for module in pkgutil.iter_modules([folder])]
    return sorted(name[:-3] for name in names if name.endswith(".py") and name != "__init__.py")


def import_all() -> None:
    """Import all modules beside this one, which registers the rules in them."""
    for name in _modules():
        __import__(f"{__package__}.{name}")


def all_rules() -> Mapping[str, Rule]:
    """Every built-in rule by name, in the order of the names; the package is scanned once."""
    # By way of a module, so that all are taken together from the image (`launch.py`).
    __import__(f"{__package__}.everything")
    return dict(sorted(_REGISTRY.items()))
