"""What many rules ask about a case is worked out once for each case."""

from __future__ import annotations

from waterlint.records import replace
from waterlint.rules.registry import Case, once
from waterlint.rules.samples import recipe

from .making import recipe_case


def test_an_answer_is_kept_for_its_case_and_arguments() -> None:
    asked: list[tuple[str, bool]] = []

    @once
    def length(case: Case, word: str, *, even: bool = False) -> int:
        """How long."""
        asked.append((word, even))
        return len(word)

    case = recipe_case(recipe(), {})
    other = replace(case, path="b.yaml")
    for each in (case, case, other):
        assert [length(each, "a"), length(each, "bc"), length(each, "bc", even=True)] == [1, 2, 2]
    assert asked == [("a", False), ("bc", False), ("bc", True)] * 2
    assert length.__doc__ == "How long."
    assert case == replace(case)


def test_none_is_an_answer() -> None:
    asked: list[Case] = []

    @once
    def nothing(case: Case) -> None:
        asked.append(case)

    case = recipe_case(recipe(), {})
    nothing(case)
    nothing(case)
    assert len(asked) == 1
