"""Patterns of the configuration, compared with paths."""

from __future__ import annotations

import re
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from waterlint.project.glob import Glob, problem_of


@pytest.mark.parametrize(
    ("pattern", "path"),
    [
        ("attic/**", "attic/old.yaml"),
        ("attic/**", "attic/1999/old.yaml"),
        ("attic/**", "attic"),
        ("attic", "attic/1999/old.yaml"),
        ("attic/", "attic/old.yaml"),
        ("./attic/**", "attic/old.yaml"),
        ("attic//**", "attic/old.yaml"),
        ("*.yaml", "a.yaml"),
        ("lagers/*", "lagers/a.yaml"),
        ("lagers/*/", "lagers/2026/a.yaml"),
        ("**/*.draft.yaml", "a.draft.yaml"),
        ("**/*.draft.yaml", "x/y/a.draft.yaml"),
        ("**", "x/y/z.yaml"),
        ("**/**", "x"),
        ("**/b/**/d.yaml", "a/b/b/c/d.yaml"),
        ("a/**/b/*.yaml", "a/b/b/x.yaml"),
        ("a/**/c", "a/c"),
        ("beer-?.yaml", "beer-1.yaml"),
        ("beer-?.yaml", "beer-ß.yaml"),
        ("[ab]*.yaml", "bock.yaml"),
        ("[a-c]*.yaml", "bock.yaml"),
        ("[!a]*.yaml", "bock.yaml"),
        ("[]x].yaml", "].yaml"),
        ("[a-].yaml", "-.yaml"),
        ("[ale.yaml", "[ale.yaml"),
        ("a+b(c).yaml", "a+b(c).yaml"),
        ("my beers/*.yaml", "my beers/pale ale.yaml"),
        ("x**y.yaml", "x-long-y.yaml"),
        ("*a*b*c", "xaxbxabc"),
        ("**/a\nb.yaml", "x/a\nb.yaml"),
    ],
)
def test_matches(pattern: str, path: str) -> None:
    assert Glob.of(pattern).matches(path)


@pytest.mark.parametrize(
    ("pattern", "path"),
    [
        ("attic/**", "attics/old.yaml"),
        ("attic/**", "beers/attic/old.yaml"),
        ("attic", "beers/attic/old.yaml"),
        ("*.yaml", "lagers/a.yaml"),
        ("lagers/*", "lagers/2026/a.yaml"),
        ("lagers/*.yaml", "lagers"),
        ("lagers/**", "Lagers/a.yaml"),
        ("x**y.yaml", "x/y.yaml"),
        ("beer-?.yaml", "beer-.yaml"),
        ("beer-?.yaml", "beer-12.yaml"),
        ("a?b", "a/b"),
        ("[!a]*.yaml", "ale.yaml"),
        ("a.yaml", "axyaml"),
        ("**/b/**/d.yaml", "a/b/c/e.yaml"),
        ("a/**/b/c.yaml", "a/b/d.yaml"),
        ("*.yaml", "a.yaml\n"),
        ("", "a.yaml"),
    ],
)
def test_stays_silent(pattern: str, path: str) -> None:
    assert not Glob.of(pattern).matches(path)


@pytest.mark.parametrize(
    ("pattern", "word"),
    [
        ("attic\\**", "attic/**"),
        ("/attic/**", "absolute"),
        ("C:/attic", "absolute"),
        ("../attic/**", "leaves"),
        ("a/../b", "leaves"),
        ("", "names nothing"),
        ("./", "names nothing"),
        ("..", "names nothing"),
    ],
)
def test_a_pattern_that_can_never_match_is_told(pattern: str, word: str) -> None:
    problem = problem_of(pattern)
    assert problem is not None
    assert word in " ".join(problem)


@pytest.mark.parametrize("pattern", ["attic/**", "**", "*", "...x", "a..b/*.yaml", "[!a]"])
def test_a_sound_pattern_has_no_problem(pattern: str) -> None:
    assert problem_of(pattern) is None


@pytest.mark.parametrize(
    ("pattern", "path"),
    [("*a" * 100 + "b", "a" * 5000), ("**/a/" * 100 + "b?", "/".join("a" * 2000))],
)
def test_a_hostile_pattern_takes_no_time(pattern: str, path: str) -> None:
    start = time.process_time()
    assert not Glob.of(pattern).matches(path)
    assert time.process_time() - start < 2.0


def _regex(pattern: str) -> re.Pattern[str]:
    """The same meaning, written the other way, for patterns of a, b, *, ? and /."""
    parts = pattern.split("/")
    if not set(parts[-1]) & set("*?"):
        parts.append("**")
    out = "".join(
        "(?:[^/]*/)*"
        if part == "**"
        else re.sub(r"\*+", "*", part).replace("*", "[^/]*").replace("?", "[^/]") + "/"
        for part in parts
    )
    return re.compile(out)


_PART = st.text("ab*?", min_size=1, max_size=4)
_NAME = st.text("ab", min_size=1, max_size=4)


@given(
    st.lists(_PART | st.just("**"), min_size=1, max_size=5),
    st.lists(_NAME, min_size=1, max_size=5),
)
def test_agrees_with_a_regular_expression(parts: list[str], names: list[str]) -> None:
    pattern, path = "/".join(parts), "/".join(names)
    assert Glob.of(pattern).matches(path) == bool(_regex(pattern).fullmatch(path + "/"))
