"""Mash pH of a collection: who lies within a range is counted alike, however many there are."""

from __future__ import annotations

import html
import re

import pytest

from waterlint.output.audit import FIGURES, Row
from waterlint.page.mash_chart import in_words, mash_chart
from waterlint.page.standing import ABOVE, BELOW, FREE, UNKNOWN, WITHIN, Standing
from waterlint.prediction.result import Figure


@pytest.mark.parametrize(
    ("states", "told"),
    [
        ([WITHIN, BELOW, ABOVE], "Mash pH of 3 recipes; 1 lie within their range."),
        ([WITHIN, FREE], "Mash pH of 2 recipes; 1 lie within their range; no range holds for 1."),
        (
            [UNKNOWN, UNKNOWN],
            "Mash pH of 2 recipes; 0 lie within their range; the range of 2 is not known.",
        ),
        (
            [WITHIN] * 1000 + [FREE, UNKNOWN, ABOVE],
            "Mash pH of 1,003 recipes; 1,000 lie within their range; no range holds for 1; "
            "the range of 1 is not known.",
        ),
    ],
)
def test_within_is_only_what_has_a_range_and_keeps_it(states: list[str], told: str) -> None:
    assert in_words(states) == told


def standings(counts: dict[str, int]) -> list[tuple[Row, Standing]]:
    """Recipes with these standings, all with the same mash pH."""
    figures = {"mash_ph": Figure(5.42, 0.05)}
    return [
        (Row("p", 0, f"Sluice {at}", None, figures), Standing((state,) * len(FIGURES)))
        for state, count in counts.items()
        for at in range(count)
    ]


@pytest.mark.parametrize("times", [1, 10])
def test_lines_and_counts_tell_the_same(times: int) -> None:
    pytest.importorskip("vl_convert", reason="needs pip install -e '.[page]'")
    counts = {BELOW: 1, WITHIN: 2, ABOVE: 1, FREE: 1, UNKNOWN: 1}
    made = mash_chart(standings({state: count * times for state, count in counts.items()}))
    assert made is not None
    text = html.unescape(made)
    (told,) = set(re.findall(r"Mash pH of [^<\"]*", text))
    assert told == (
        f"Mash pH of {6 * times} recipes; {2 * times} lie within their range; "
        f"no range holds for {times}; the range of {times} is not known."
    )
    heads = re.findall(r">(below|within|above|no range|range not known)</text>", text)
    rows = ["below", "within", "above", "no range", "range not known"]
    assert heads == (rows if times > 1 else [])


def test_a_collection_without_a_mash_has_no_chart() -> None:
    assert mash_chart([(Row("p", 0, "Kit", None), Standing((UNKNOWN,) * len(FIGURES)))]) is None
