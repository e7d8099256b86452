"""What a page tells of a collection as a whole."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from statistics import median

from waterlint.finding import LEVELS, Finding
from waterlint.hints import Final
from waterlint.output.audit import FIGURES, Audit
from waterlint.output.text import counted
from waterlint.page.frame import level_mark
from waterlint.page.markup import Markup, element, join, own_text, table
from waterlint.page.standing import ABOVE, BELOW, FREE, UNKNOWN, WITHIN, Standings
from waterlint.rules.registry import Rule
from waterlint.rules.wording import number

TITLES: Final[Mapping[str, str]] = {
    "mash_ph": "mash pH",
    "residual_alkalinity": "residual alkalinity of the mash water [mg/L as CaCO3]",
    "chloride_to_sulfate": "chloride to sulfate",
}

#: Findings outside of recipes that are told one by one.
_MOST_OTHERS: Final = 200


def state(audit: Audit) -> Iterator[Markup]:
    """How many recipes there are, and how they fare."""
    states = audit.states()
    words = {
        "error": "with an error",
        "warning": "with a warning as the worst",
        "note": "with notes only",
        "none": "with nothing found",
    }
    yield element(
        "ul",
        *(
            element(
                "li",
                element("strong", f"{count:,}"),
                level_mark(level, words[level]),
                class_=f"state state-{level}",
            )
            for level, count in states.items()
        ),
        class_="states",
    )
    if audit.others:
        worst = Counter(finding.level for finding in audit.others)
        counts = ", ".join(
            counted(worst[level], level) for level in reversed(LEVELS) if worst[level]
        )
        shown, left = audit.others[:_MOST_OTHERS], len(audit.others[_MOST_OTHERS:])
        more = [element("li", f"{left:,} more; `waterlint check` tells them all")] if left else []
        yield element(
            "details",
            element("summary", f"In files that hold no recipe, such as water reports: {counts}"),
            element("ul", *(element("li", plain_finding(each)) for each in shown), *more),
        )


def plain_finding(finding: Finding) -> Markup:
    """A finding in a line."""
    place = f"{finding.path}:{finding.span.line}:{finding.span.column}"
    return join(
        [
            level_mark(finding.level),
            " ",
            element("code", own_text(place)),
            " ",
            own_text(finding.message),
        ]
    )


def ranges_kept(standings: Standings) -> Iterator[Markup]:
    """How the collection keeps its ranges, figure by figure."""
    rows = []
    for at, name in enumerate(FIGURES):
        values = [row.figures[name].value for row, _ in standings if name in row.figures]
        counts = Counter(each.of[at] for _, each in standings)
        if not values:
            continue
        spread = f"{number(min(values))} to {number(max(values))}"
        rows.append(
            [
                TITLES.get(name, f"{name} of the batch [mg/L]"),
                _bar(counts),
                *(f"{counts[word]:,}" for word in (BELOW, WITHIN, ABOVE, FREE, UNKNOWN)),
                number(median(values)),
                spread,
            ]
        )
    heads = ["figure", "share of recipes", "below", "within", "above", "no range", "not known"]
    yield table(
        "Recipes by where each figure stands in the range that holds for it: the recipe's target, "
        "the house's range, the style's, or that for any beer. Outside is where a note begins.",
        [*heads, "median", "from, to"],
        rows,
        figures=(2, 3, 4, 5, 6, 7, 8),
        class_="kept",
    )


def _bar(counts: Counter[str]) -> Markup:
    """The shares as a bar; the figures beside it say the same, so nobody has to see it."""
    whole = sum(counts.values())
    at = 0.0
    parts = []
    for word in (BELOW, WITHIN, ABOVE, FREE, UNKNOWN):
        share = 160.0 * counts[word] / whole
        if share:
            parts.append(
                f'<rect x="{at:.1f}" y="1" width="{share:.1f}" height="12" class="is-{word}"/>'
            )
        at += share
    return Markup(
        '<svg viewBox="0 0 160 14" width="160" height="14" aria-hidden="true" class="share">'
        + "".join(parts)
        + "</svg>"
    )


def most_found(audit: Audit, rules: Mapping[str, Rule]) -> Iterator[Markup]:
    """The rules that find most, each with what it is about and its limits."""
    recipes: Counter[str] = Counter()
    worst: dict[str, int] = {}
    for row in audit.rows:
        for name in {each.rule for each in row.findings}:
            recipes[name] += 1
        for each in row.findings:
            worst[each.rule] = max(worst.get(each.rule, 0), LEVELS.index(each.level))
    for name, count in sorted(
        recipes.items(), key=lambda item: (-worst[item[0]], -item[1], item[0])
    ):
        yield _rule(name, LEVELS[worst[name]], count, rules.get(name))


def _rule(name: str, level: str, count: int, rule: Rule | None) -> Markup:
    where = f" in {counted(count, 'recipe')}"
    about = [element("summary", level_mark(level), " ", element("code", name), where)]
    if rule is not None:
        about += [element("p", rule.what), element("p", rule.why)]
        if rule.limits:
            about.append(element("p", "Its limits, each with its basis:", class_="small"))
            about.append(element("ul", *(element("li", line) for line in rule.limits)))
        about.append(element("p", "To change it: ", rule.configure, class_="small"))
    return element("details", *about)
