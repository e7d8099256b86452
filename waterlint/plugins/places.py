"""Where the code of rules lies, so that a change of it is noticed."""

from __future__ import annotations

import sys
from collections.abc import Mapping

from waterlint.rules.registry import Rule


def code_places(rules: Mapping[str, Rule]) -> tuple[str, ...]:
    """The folders of the packages that rules come from, or their files."""
    places: dict[str, None] = {}
    for rule in rules.values():
        package = sys.modules.get(rule.check.__module__.partition(".")[0]) if rule.check else None
        folders = list(getattr(package, "__path__", ()))
        places.update(dict.fromkeys(folders or filter(None, [getattr(package, "__file__", None)])))
    return tuple(places)
