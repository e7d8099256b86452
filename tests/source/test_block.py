"""What is read without a parser gives the tree, places and comments that a parser gives."""

from __future__ import annotations

import gc

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterlint.source import placing
from waterlint.source.block import read_block
from waterlint.source.document import read_text
from waterlint.source.ledger import MAX_NODES
from waterlint.source.lines import Lines

from .outline import outline
from .test_parsers_agree import TEXTS

RECIPE = """\
# head

waterlint: recipe/1  # its kind
name: "Tidewrack: stout"   # the house's
water:
    mash:
      volume: 15.5 L
      from:
      - {water: ../a.yaml, share: 60 %}
      - water: b
        share: 40 %
    sparge: {volume: 13 L, from: 'the well'}
  # out of line
grist:
- malt: pale
  kind:
- malt: oats
rests: [64 °C, -1, {at: "72 °C"}, []]
"""


def assert_agrees(text: str) -> None:
    """The text reads the same without a parser, where it is read so, and by the fastest one."""
    by_parser = outline(read_text(text, "a.yaml", engine="pure"))
    assert outline(read_text(text, "a.yaml")) == by_parser


@pytest.mark.parametrize("text", TEXTS)
def test_on_texts_at_the_edge_of_yaml(text: str) -> None:
    for written in (text, text.rstrip("\n"), f"k:\n  - {text}", f"# c\n{text}# c\n"):
        assert_agrees(written)


PLAIN = [
    RECIPE, "a: 1", "- 1\n- -2\n- .. 3\n", "  a: b\n  c:\n", "a:\n\n  # c\n\n  - b\n",
    "- a: 1\n  b: 2",
    "a:\n- b\n- c: d\n  e:\n  - f\ng: h\n", "-   a: b\n    c: d\n", "a: null\nb: ~x\n",
    "a: b?! *&|>%@`,[]{}'\"\n", "a: {}\nb: []\n", "a: [b, 'c', \"d\"]  # e\n", "a: ''\nb: \"\"\n",
    "a: 'x # y: z'\n", "a: -1\n", "a: é\n", "\ufeffa: b\n", "true: yes\n",
    "a: 0x1F\nb: .5\nc: 1e3\nd: True\ne: 010\n", "a:    # c\n  b: 1\n", "k-1_x: 1\n",
]  # fmt: skip


@pytest.mark.parametrize("text", PLAIN)
def test_plain_texts_are_read_without_a_parser(text: str) -> None:
    assert read_block(Lines(text.removeprefix("\ufeff"))) is not None
    assert_agrees(text)


@pytest.mark.parametrize(
    "text",
    [
        "", "# c\n", "a\n", "a: b\n  c\n", "a: b: c\n", "a: b:\n", "a: 'it''s'\n", 'a: "\\n"\n',
        "a: |\n  b\n",
        "a: &x b\n", "a: *x\n", "a: !t b\n", "? a\n", "a: - b\n", "- - a\n", "-\n  a\n", "-\n",
        "- \n", "- # c\n",
        "a:\tb\n", "a: b\r\n", "--- \na: b\n", "a: b\n...\n", "%x\na: b\n", "a: 1\na: 2\n",
        "null: 1\n", "<<: a\n",
        "a: [b\n  ]\n", "a: {b: c: d}\n", "a: {b:c}\n", "a: {b, c}\n", "a: [b, ]\n", "a: [,]\n",
        "a: {b: }\n",
        "a: {b: 1, b: 2}\n", "a: [b]c\n", "a: 'b'c\n", "a: 'b'# c\n", "a: [b # c]\n",
        "a: b#c\n", "a : b\n",
        "a b: c\n", "a:\n  b: 1\n c: 2\n", "a: 1\n  b: 2\n", "a:\n- b\n  - c\n",
        "  - a\nb: c\n", "- a\nb: c\n",
        "a: b\n- c\n", "a: b\n  - c\n", f"a: {'[' * 20}{']' * 20}\n",
        "".join(f"{' ' * depth}a:\n" for depth in range(101)),
        "a: b\n" + "# c\n" * (MAX_NODES // 2),
    ],
)  # fmt: skip
def test_other_texts_are_left_to_a_parser(text: str) -> None:
    assert read_block(Lines(text)) is None


#: Lines that make plain block style, and its edges.
LINES = st.builds(
    "".join,
    st.tuples(
        st.sampled_from(["", "", "  ", "  ", "    ", " "]),
        st.sampled_from(["", "", "", "- ", "-  ", "-", "- - "]),
        st.sampled_from(["a:", "a: ", "b: ", "c:  ", "d-e: ", "f", "", "g:x", "'h': ", "null: "]),
        st.sampled_from(
            [
                "",
                "",
                "1",
                "x y",
                "-2",
                "'z'",
                '"z"',
                "[1, x]",
                "{a: 1, b: x}",
                "{a}",
                "- ",
                "x:",
                "|",
            ]
        ),
        st.sampled_from(["", "", "", " ", "  # c", "#c", " #"]),
    ),
)


@settings(max_examples=400, deadline=None)
@given(st.lists(LINES, min_size=1, max_size=8).map("\n".join))
def test_on_generated_lines(text: str) -> None:
    assert_agrees(text)


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_on_damaged_recipes(data: st.DataObject) -> None:
    text = RECIPE
    for _ in range(data.draw(st.integers(1, 3))):
        start = data.draw(st.integers(0, len(text)))
        end = min(len(text), start + data.draw(st.integers(0, 6)))
        piece = data.draw(
            st.sampled_from(["", " ", "\n", "- ", ": ", "#", "'", "{", "]", ",", "a: 1"])
        )
        text = text[:start] + piece + text[end:]
    assert_agrees(text)


def test_what_has_found_the_places_goes_with_them() -> None:
    document = read_block(Lines(RECIPE))
    assert document is not None
    gc.disable()  # as in a run, where nobody looks for what holds itself in a circle
    try:
        assert document.root.end
        del document
        assert not any(isinstance(each, placing._Placer) for each in gc.get_objects())
    finally:
        gc.enable()
