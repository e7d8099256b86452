"""The C and the pure parser give the same tree, the same places and the same findings."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterlint.source import reading
from waterlint.source.document import read_text
from waterlint.source.parsing import available_engine, is_disputed

from .outline import outline
from .test_syntax import SLIPS

pytestmark = pytest.mark.skipif(available_engine() != "c", reason="the C parser is not installed")

TEXTS = [
    *(row[0] for row in SLIPS),
    # where one of the parsers alone would refuse, or both read otherwise
    "a: {t: 1:30}\n", "a: [1:30, x:y]\n", "{a:1}\n", "[a:1, 'b':1, \"c\":1]\n", "{'a':1}\n",
    "a: [http://x/?y#z]\n", "a: [x?, ?x, x?y]\n", "[? a : b]\n", "{? a, ? b : c}\n", "? a\n",
    "?a: 1\n",
    "a:\t1\n", "a: 1\t# x\n", "a: 1\t\n", "a: x\ty\n", "a: x\n \ty\n", "a:\n  - \tx\n", "[\ta\t]\n",
    "-\tx\n", "- x\t\n", "\ta: 1\n", "a: |\n \tx\n", "a: |\t\n  x\n", "a: >\n\tx\n", "&a\tx\n",
    "!t\tx\n",
    "a: 'x\n\ty'\n", "a: \"x\\\n\ty\"\n", "a: # c\n\t1\n",
    "k: |\n \n  x\n", "k: |\n   \n  x\n", "k: >-\n \n\n  x\n y\n", "k: |2\n   x\n",
    "k: |-2\n   x\n",
    "k: |0\n x\n", "k: |+\n  x\n\n\n", "k: >+\n\n\n  x\n", "k: |\n", "k: |\n# c\n", "|\nx\n",
    "--- |\nx\n---\n",
    "k: >\n  a\n   b\n  c\n\n  d\n", "- |\n x\n-  >\n  y\n",
    "*xa: 1\n", "a: &é 1\nb: *é\n", "a: &x.y 1\nb: *x.y\n", "&x: 1\n", "a: [&x, *x]\n", "&a &b x\n",
    "!!str a: 1\n", "a: !<x\n", "a: !e!f 1\n", "!t [!u a, !v {b: c}]\n", "- !t\n", "!t &a x\n",
    "&a !t x\n",
    "%YAML 1.1\n---\na: yes\n", "%YAML 2.0\n---\na\n", "%TAG !e! x\n---\n!e!a b\n", "%x\n",
    "a\n%b\n",
    "...\n", "...\n...\n", "a\n...\n...\n", "--- a\n... b\n", "---a\n", "--- - a\n", "---\t-\n",
    "...a\n",
    "a: \"\\/\"\n", "a: \"\\ud800\"\n", "a: \"\\U0010ffff\"\n", "a: \"\\U00110000\"\n",
    "a: \"\\\n  x\"\n",
    "a: '\n\n x\n'\n", "a: \"x \n\n y\"\n", "a: ''''\n", "'a\n b': 1\n", "a\n b: 1\n",
    "{a\n b: 1}\n",
    "a: b\n  c\n\n  d # e\n", "a: -\n", "a: - \n", "a: -b\n", "a: --- b\n", "- -\n", "-\n-\n",
    "a: ?\n", "a: :\n",
    "a::b\n", "a: b:\n", "a :b\n", "a : b\n", ": \n", "a: [,]\n", "a: {,}\n", "[a, ]\n",
    "{a: , b: }\n",
    "a: {b}\n", "a: {b: [c, {d: e}]}\n", "[[a], {b: c}, d: e]\n", "a: [b\n]\n", "a: [\nb\n]\n",
    "{\n}\n",
    "a: b # c\n#d\n  #e\nf: g", "a: b#c\n", "a: \"b\"#c\n", "a: [b]#c\n", "a: {b: c}d\n",
    "'a'b: c\n",
    "a: |#c\n", "a: >-#c\n  b\n", "a: |+2#c\n  b\n",
    "a: &x\nb: *x\n", "a: &x\n- b\n", "a:\n  &x\n  b: c\n", "&x\na: b\n", "- &x a\n- *x\n- *y\n",
    "a: 1\r\nb:\r\n  - c\r\n", "a: 1\rb: 2\r", "a: |\r\n  b\r\n  c\r\n", "a: 'b\r\n  c'\r\n",
    "🍺: {µ: 'é', ü: 🍺🍺}\n", "\ufeffa: 1\n", "a: \xa0b\n", "\xa0a: b\n",
    "k" * 1025 + ": 1\n", "? " + "k" * 1025 + "\n: 1\n", "{" + "k" * 1025 + ": 1}\n",
    "'" + "k" * 1030 + "': 1\n",
    "a: 1\na: 2\n<<: {b: 1}\n? [c]\n: 1\n~: 1\n", "a: &a [*a]\n", "[" * 200, "- " * 200,
]  # fmt: skip


@pytest.mark.parametrize("text", TEXTS)
def test_on_handwritten_texts(text: str) -> None:
    for written in (text, text.rstrip("\n"), f"k:\n  - {text}", f"# c\n{text}# c\n"):
        by_c = outline(read_text(written, "a.yaml", engine="c"))
        assert by_c == outline(read_text(written, "a.yaml", engine="pure"))


#: Pieces that make YAML, and its edges, far more often than letters by chance do.
PIECES = [
    "a", "b", "key", "15.5 L", "5", "1:30", " - ", "- ", "? ", "?", ": ", ":", ", ", ",", "[",
    "]", "{", "}",
    "'", '"', "\n", "\n  ", "\n    ", "\n- ", "\n  - ", "#", " # x", "|\n  ", ">\n  ", "|2\n  ",
    ">-\n ",
    "|+\n  ", "---\n", "\n---\n", "...\n", "\n...\n", "&x ", "*x", "*x ", "!t ", "!", "%", "@",
    "`", "\\",
    "\\n", "\\/", "\\x41", "\\ud800", " ", "  ", "é", "🍺", "~", "null", "<<: ", "\r\n", "\r", "\t",
    "%YAML 1.2\n", "http://x", "''", '""', "a: 1\n", "k: {a: 1}\n", "\n\n", "--", "\xa0", "=",
]  # fmt: skip

LAYOUT = st.lists(st.sampled_from(PIECES), min_size=1, max_size=16).map("".join)


@settings(max_examples=300, deadline=None)
@given(st.one_of(LAYOUT, LAYOUT.map("k: ".__add__), LAYOUT.map("a: 1\nb:\n  - ".__add__)))
def test_on_texts_made_of_the_signs_of_yaml(text: str) -> None:
    by_c = outline(read_text(text, "a.yaml", engine="c"))
    assert by_c == outline(read_text(text, "a.yaml", engine="pure"))


RECIPE = """\
# head
waterlint: recipe/1
name: "Tidewrack \\u00e9 stout"   # the house's
water:
  mash: &w {volume: 15.5 L, from: [{water: ../a.yaml, share: 60 %}, {water: b, share: 40 %}]}
  sparge: *w
grist:
- {malt: 'pale ''ale''', mass: 4.2 kg}
-
  malt: oats
notes: >-
  first
    deeper

  last
---
waterlint: water/1
"""


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_on_damaged_recipes(data: st.DataObject) -> None:
    text = RECIPE
    for _ in range(data.draw(st.integers(1, 3))):
        start = data.draw(st.integers(0, len(text)))
        end = min(len(text), start + data.draw(st.integers(0, 6)))
        text = text[:start] + data.draw(st.sampled_from(["", *PIECES])) + text[end:]
    by_c = outline(read_text(text, "a.yaml", engine="c"))
    assert by_c == outline(read_text(text, "a.yaml", engine="pure"))


def test_the_c_parser_alone_reads_an_ordinary_recipe(monkeypatch: pytest.MonkeyPatch) -> None:
    # Otherwise the comparison above would compare the pure parser with itself.
    assert not is_disputed(RECIPE)

    def refuse(*_: object) -> None:
        raise AssertionError("the pure parser was asked")

    monkeypatch.setattr(reading, "feed_from_pure", refuse)
    assert len(read_text(RECIPE, "a.yaml").documents) == 2


def test_how_many_of_the_handwritten_texts_the_c_parser_reads(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[str] = []
    by_pure = reading.feed_from_pure
    monkeypatch.setattr(
        reading, "feed_from_pure", lambda text, take: (asked.append(text), by_pure(text, take))
    )
    by_c = [text for text in TEXTS if not (asked.clear() or (read_text(text, "a.yaml") and asked))]
    assert len(by_c) > len(TEXTS) // 3
