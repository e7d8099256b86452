"""Loading the rules of a package that a configuration names."""

from __future__ import annotations

import importlib
import importlib.util
import re
from collections.abc import Iterable, Iterator, Mapping
from importlib.metadata import Distribution, EntryPoint, distributions

from waterlint.finding import Level
from waterlint.hints import get_args
from waterlint.paths import Path
from waterlint.plugins.answers import aside, words_of
from waterlint.plugins.origin import Surroundings
from waterlint.project.nearest import did_you_mean
from waterlint.project.references import Unresolved
from waterlint.project.root import project_root
from waterlint.rules.registry import Example, Rule, Subject, foreign_rules, forget_unloaded

#: The group of entry points under which packages offer rules.
GROUP = "waterlint.rules"

_NAME = re.compile(r"[a-z]+(-[a-z]+)*")
_INSTALL = (
    "Install the package where waterlint runs (for pre-commit under `additional_dependencies`)."
)
_REPORT = "This is a fault of the plugin: take it out of `rules` until it is mended."


class _Refused(Exception):
    """Why a plugin cannot be used, and what to do."""

    def __init__(self, problem: str, help: str) -> None:
        super().__init__(problem)
        self.problem, self.help = problem, help


class Plugins:
    """The plugins of a run; each is loaded when a configuration first names it.

    Parameters
    ----------
    working_directory : Path
        Of the run.
    also : tuple of Path
        More folders whose code is never run.
    """

    def __init__(self, working_directory: Path, also: tuple[Path, ...] = ()) -> None:
        self.working_directory = working_directory
        self._also = also
        self._loaded: dict[tuple[str, Path], Mapping[str, Rule] | Unresolved] = {}

    def offered(self, name: str, config: Path) -> frozenset[str] | Unresolved:
        """The names of the rules that a plugin adds, or why it cannot be used.

        Parameters
        ----------
        name : str
            As the configuration writes it: the name of an entry point, or of its module.
        config : Path
            The configuration; no code is taken from its project.
        """
        loaded = self._load(name, project_root(config, self.working_directory))
        return loaded if isinstance(loaded, Unresolved) else frozenset(loaded)

    def rules(self, names: Iterable[str]) -> Mapping[str, Rule]:
        """The rules of plugins that were loaded, by name."""
        wanted = set(names)
        return {
            rule: entry
            for (name, _), loaded in self._loaded.items()
            if name in wanted and not isinstance(loaded, Unresolved)
            for rule, entry in loaded.items()
        }

    def all_rules(self) -> Mapping[str, Rule]:
        """The rules of all plugins that were loaded so far, by name."""
        return self.rules({name for name, _ in self._loaded})

    def _load(self, name: str, root: Path) -> Mapping[str, Rule] | Unresolved:
        key = (name, root)
        if key not in self._loaded:
            try:
                self._loaded[key] = _load(
                    name, Surroundings((root, self.working_directory, *self._also))
                )
            except _Refused as refused:
                self._loaded[key] = Unresolved(refused.problem, refused.help)
        return self._loaded[key]


def _load(name: str, surroundings: Surroundings) -> Mapping[str, Rule]:
    entry_points = list(_entry_points(surroundings))
    found = [each for each in entry_points if name in (each.name, each.module)]
    if not found:
        offered = sorted({each.name for each in entry_points})
        near = did_you_mean(name, offered)
        raise _Refused(f"no installed package adds rules under the name {name}", near or _INSTALL)
    if len({each.value for each in found}) > 1:
        values = ", ".join(sorted({each.value for each in found}))
        raise _Refused(
            f"several installed packages add rules under the name {name}: {values}",
            "Write the name of the module instead, or take one of them away.",
        )
    package = _package(found[0].module)
    # All that the package offers, so that its rules are the same whatever was imported before.
    modules = sorted({each.module for each in entry_points if _package(each.module) == package})
    with surroundings.only_installed(), aside():
        _look(name, package, surroundings)
        for module in modules:
            _import(name, module)
    rules = {rule.name: rule for rule in foreign_rules(package)}
    if not rules:
        raise _Refused(f"the plugin {name} adds no rule", _REPORT)
    for rule in rules.values():
        problem = _problem(rule)
        if problem is not None:
            raise _Refused(f"the plugin {name} cannot be used: {problem}", _REPORT)
    return rules


def _entry_points(surroundings: Surroundings) -> Iterator[EntryPoint]:
    """What installed packages offer; of a package that is there twice, what Python would take."""
    seen: set[str] = set()
    for distribution in distributions(path=surroundings.search_path()):
        name = _name_of(distribution)
        if name not in seen:
            seen.add(name)
            yield from (each for each in distribution.entry_points if each.group == GROUP)


def _name_of(distribution: Distribution) -> str:
    # A folder that only looks like a package may have no name at all.
    name: str | None = distribution.metadata["Name"]
    return re.sub(r"[-_.]+", "-", name or "").lower()


def _package(module: str) -> str:
    """The package that a module belongs to: the first part of its name."""
    return module.partition(".")[0]


def _look(name: str, package: str, surroundings: Surroundings) -> None:
    """Refuse what Python would take from elsewhere, before any of it runs."""
    try:
        spec = importlib.util.find_spec(package)
    except (ImportError, ValueError) as error:
        raise _Refused(f"the plugin {name} cannot be loaded: {error}", _REPORT) from error
    if spec is None:
        raise _Refused(
            f"the plugin {name} cannot be loaded: there is no module {package}",
            "Install its package again.",
        )
    if not surroundings.is_safe_module(spec):
        raise _Refused(
            f"the plugin {name} lies in the project itself, whose code is never run",
            "Install it as a package of its own, from outside the project.",
        )


def _import(name: str, module: str) -> None:
    try:
        importlib.import_module(module)
    except KeyboardInterrupt:
        raise
    except BaseException as error:  # a module may raise anything, the end of the process too
        forget_unloaded(_package(module))
        raise _Refused(f"the plugin {name} cannot be loaded: {words_of(error)}", _REPORT) from error


def _problem(rule: Rule) -> str | None:
    """What is wrong with the registration of a rule."""
    if not isinstance(rule.name, str) or not _NAME.fullmatch(rule.name):
        return f"{rule.name!r} is no name of a rule, which is written as in mash-ph"
    if rule.subject not in get_args(Subject):
        return f"{rule.name} has the subject {rule.subject!r}"
    levels = get_args(Level)
    if not isinstance(rule.levels, tuple) or not rule.levels or set(rule.levels) - set(levels):
        return f"{rule.name} does not say its levels as some of {', '.join(levels)}"
    for part in ("what", "why", "configure"):
        text: object = getattr(rule, part)
        if not isinstance(text, str) or not text.strip():
            return f"{rule.name} says nothing under {part!r}"
    if not isinstance(rule.limits, tuple) or not all(isinstance(each, str) for each in rule.limits):
        return f"{rule.name} has limits that are no tuple of texts"
    if not isinstance(rule.group, str):
        return f"{rule.name} has a group that is no text"
    if not all(each is None or isinstance(each, Example) for each in (rule.failing, rule.passing)):
        return f"{rule.name} has an example that is none"
    return None
