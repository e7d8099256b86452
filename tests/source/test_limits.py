"""Files that would cost more than they are worth: refused, and fast."""

from __future__ import annotations

import time

import pytest

from waterlint.source.document import SourceFile, read_text, walk
from waterlint.source.ledger import MAX_DEPTH, MAX_NODES
from waterlint.source.parsing import available_engine

from .outline import excerpts, faults


def bomb(levels: int, width: int) -> str:
    lines = [f"a0: &a0 [{', '.join(['x'] * width)}]"]
    for level in range(1, levels):
        lines.append(f"a{level}: &a{level} [{', '.join([f'*a{level - 1}'] * width)}]")
    return "\n".join(lines) + "\n"


def timed(text: str, seconds: float) -> SourceFile:
    """Read a text within so many seconds of processor time; the best of three.

    Without the C parser ten times as long is allowed.
    """
    seconds *= 1 if available_engine() == "c" else 10
    spent = []
    for _ in range(3):
        start = time.process_time()
        source = read_text(text, "a.yaml")
        spent.append(time.process_time() - start)
        if spent[-1] < seconds:
            return source
    raise AssertionError(f"took {min(spent):.2f} s, allowed {seconds} s")


def test_nine_to_the_ninth_aliases() -> None:
    source = timed(bomb(9, 9), 0.1)
    # 9 + 1 + 9 * 10 + 1 ...: level 3 would hold 9 x 820 values, level 4 nine times that.
    assert faults(source) == [("expansion-limit", 5, 10)]
    assert source.documents == ()


@pytest.mark.parametrize(
    ("text", "line", "column"),
    [
        ("a: &a [*a]\n", 1, 8),
        ("a: &a {b: *a}\n", 1, 11),
        ("a: &a\n  b: &b\n  - c: [*b]\n", 3, 9),
        ("&a [[[*a]]]", 1, 7),
        ("a: &x 1\nb: &x [*x]\n", 2, 8),  # the latest anchor of that name is the list itself
    ],
)
def test_a_value_within_itself(text: str, line: int, column: int) -> None:
    source = read_text(text, "a.yaml")
    assert faults(source) == [("expansion-limit", line, column)]
    assert "without end" in source.findings[0].message


def test_as_many_values_as_allowed() -> None:
    text = "[" + "x," * (MAX_NODES - 1) + "]"
    assert read_text(text, "a.yaml").findings == ()


def test_one_value_too_many() -> None:
    text = "[\n" + "x,\n" * MAX_NODES + "]"
    assert faults(read_text(text, "a.yaml")) == [("expansion-limit", MAX_NODES + 1, 1)]


def test_alias_uses_count_as_what_they_repeat() -> None:
    # The root, a list of 99 in it and 98 copies: 1 + 99 * 100 = 9,901; one more: 10,001.
    def text(copies: int) -> str:
        return f"a: &a [{'x, ' * 99}]\n" + "".join(f"b{i}: *a\n" for i in range(copies))

    source = read_text(text(98), "a.yaml")
    assert source.findings == ()
    assert sum(1 for _ in walk(source.documents[0].root)) == 9_901
    assert faults(read_text(text(99), "a.yaml")) == [("expansion-limit", 100, 6)]


@pytest.mark.parametrize(("copies", "rules"), [(99, []), (100, ["expansion-limit"])])
def test_copies_up_to_the_limit_itself(copies: int, rules: list[str]) -> None:
    # The root, a list of 98 in it, 99 copies and 99 single texts: 1 + 99 * 100 + 99 = 10,000.
    text = f"a: &a [{'x, ' * 98}]\n" + "".join(f"b{i}: *a\n" for i in range(copies))
    text += "".join(f"c{i}: x\n" for i in range(99))
    source = read_text(text, "a.yaml")
    assert [finding.rule for finding in source.findings] == rules


@pytest.mark.parametrize(("uses", "rules"), [(9_998, []), (9_999, ["expansion-limit"])])
def test_an_alias_of_a_single_text_counts_once(uses: int, rules: list[str]) -> None:
    source = read_text("- &a x\n" + "- *a\n" * uses, "a.yaml")
    assert [finding.rule for finding in source.findings] == rules


def test_an_alias_of_nothing_counts_once() -> None:
    source = read_text("- *a\n" * (MAX_NODES - 1), "a.yaml")
    assert {finding.rule for finding in source.findings} == {"invalid-yaml"}


def test_values_are_counted_over_all_documents() -> None:
    text = f"--- [{'x, ' * 4_999}]\n" * 3
    source = read_text(text, "a.yaml")
    assert faults(source) == [("expansion-limit", 3, 5)]
    assert [document.index for document in source.documents] == [0, 1]
    assert source.findings[0].document == 2


@pytest.mark.parametrize(
    ("text", "line", "column"),
    [
        ("[" * 900, 1, 101),
        ("[" * 5_000, 1, 101),
        ("[\n" * 5_000, 101, 1),
        ("{a: " * 5_000, 1, 401),
        ("- " * 5_000, 1, 201),
        ("".join(" " * depth + "a:\n" for depth in range(300)), 101, 101),
        ("a: " + "[" * 100 + "]" * 100, 1, 103),
    ],
)
def test_deep_nesting(text: str, line: int, column: int) -> None:
    assert faults(timed(text, 1.0)) == [("expansion-limit", line, column)]


def test_as_deep_as_allowed() -> None:
    source = read_text("[" * MAX_DEPTH + "x" + "]" * MAX_DEPTH, "a.yaml")
    assert source.findings == ()
    assert source.documents[0].find("/0" * MAX_DEPTH) is not None


def test_depth_through_aliases_counts() -> None:
    def chain(length: int) -> str:
        lines = ["a1: &a1 [x]"]
        lines += [f"a{i}: &a{i} [*a{i - 1}]" for i in range(2, length + 1)]
        return "\n".join(lines) + "\n"

    # The root is one level, so a chain of 99 lists is as deep as a file may be.
    assert read_text(chain(MAX_DEPTH - 1), "a.yaml").findings == ()
    assert faults(read_text(chain(MAX_DEPTH), "a.yaml")) == [("expansion-limit", 100, 14)]


@pytest.mark.parametrize(("inner", "rules"), [(49, []), (50, ["expansion-limit"])])
def test_depth_of_what_an_alias_repeats(inner: int, rules: list[str]) -> None:
    # The alias stands within the root and 50 lists: 51 levels, and the repeated value's on top.
    nest = "[" * inner + "x" + "]" * inner
    deep_first, deep_last = f"[{nest}, [y]]", f"[[y], {nest}]"
    for value, levels in ((nest, 50), (deep_first, 49), (deep_last, 49)):
        text = f"a: &a {value}\nb: {'[' * levels}*a{']' * levels}\n"
        source = read_text(text, "a.yaml")
        assert [finding.rule for finding in source.findings] == rules


def test_a_single_text_adds_no_depth() -> None:
    text = f"a: &a x\nb: {'[' * 99}*a{']' * 99}\n"
    assert read_text(text, "a.yaml").findings == ()


def test_the_limit_points_at_the_bracket_or_the_value() -> None:
    assert excerpts(read_text("[" * 900, "a.yaml")) == ["["]
    assert excerpts(read_text("[" + "xy, " * MAX_NODES + "]", "a.yaml")) == ["xy"]
    assert excerpts(read_text("[" + "[], " * MAX_NODES + "]", "a.yaml")) == ["["]
    assert excerpts(read_text("a: &a [*a]", "a.yaml")) == ["*a"]


@pytest.mark.parametrize("text", ["[" * 500 + "]" * 500, "- [ { ] }\n" * 200])
def test_brackets_in_texts_nest_nothing(text: str) -> None:
    for written in (f"a: |\n  {text.replace(chr(10), chr(10) + '  ')}\n", f"a: '{text}'\n"):
        assert read_text(written, "a.yaml").findings == ()
    assert read_text(f"a: 1 # {text.splitlines()[0]}\n", "a.yaml").findings == ()


MEBIBYTE = 1024 * 1024


@pytest.mark.parametrize(
    "piece",
    ["a: 1\n", "k: [a]\n", "---\n", "--- a\n", "# x\n", "[", "[a],", "!", "&a ", "- *a\n",
     "a:\t1\n", "<<: 1\n", "[a]: 1\n", "\x07", "a: b: c\n---\n", "%\n", ": ", "'", '"\\e',
     " \n", "\\", "🍺"],
)  # fmt: skip
def test_a_mebibyte_of_anything_is_read_or_refused_in_seconds(piece: str) -> None:
    size = len(piece.encode())
    source = timed(piece * (MEBIBYTE // size), 5.0)
    assert len(source.findings) <= 2 * MAX_NODES


def test_many_broken_documents_make_a_few_findings() -> None:
    source = read_text("a: b: c\n---\n" * 1_000, "a.yaml")
    assert len(source.findings) == 10
