"""The mutants of a module: those of Cosmic Ray, and those of what its findings say.

Cosmic Ray changes numbers, comparisons, operators and conditions. It leaves texts alone, though a
message with another figure in it, or a finding at another pointer, is as wrong as a wrong limit.
So two more kinds are made here: a figure shown in an f-string is replaced by 0, and a text of one
word (a pointer, a level, a key) by another.

Left out is what means nothing to the program: docstrings, annotations, assertions for the type
checker, the documentation of a rule, and a mutant that is the same program or none at all. So is
what any test that comes by would notice and none could miss, lest it flatter the share: bitwise
operators for numbers, arithmetic for sets; and `is` for `==`, which means the same for a word.
"""

from __future__ import annotations

import ast
import hashlib
import importlib
import random
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial

#: The kinds of mutant, as they are counted.
KINDS = ("code", "text")

_WORD = re.compile(r"""(?P<quote>["'])(?P<word>[\w./-]+)(?P=quote)""")

_Place = tuple[int, int]


@dataclass(frozen=True)
class Mutant:
    """A changed module: `what` was done to `line`, and the whole `source` that comes of it."""

    kind: str
    line: int
    what: str
    source: str

    @property
    def key(self) -> str:
        """The same for the same changed module."""
        return hashlib.sha256(self.source.encode()).hexdigest()


def mutants_of(source: str, kind: str, sample: int | None = None) -> list[Mutant]:
    """The mutants of a module that mean something, in the order of the lines.

    Parameters
    ----------
    source : str
        Of the module.
    kind : {'code', 'text'}
    sample : int, optional
        No more than so many, chosen at random but the same ones every time.
    """
    skipped = list(_meaningless(ast.parse(source)))
    as_it_is = ast.dump(ast.parse(source))
    possible = [
        (start, what, change)
        for start, what, change in (_in_code if kind == "code" else _in_texts)(source)
        if not source.splitlines()[start[0] - 1][start[1] :].startswith("*,")  # only by name
        if not any(low <= start < high for low, high in skipped)
    ]
    random.Random(1).shuffle(possible)
    found: list[Mutant] = []
    for (line, _), what, change in possible:
        changed = change()
        if changed is not None and _program(changed) not in (None, as_it_is):
            found.append(Mutant(kind, line, what, changed))
        if len(found) == sample:
            break
    return sorted(found, key=lambda each: (each.line, each.what, each.source))


def difference(before: str, after: str) -> str:
    """The lines that differ, as they were and as they are."""
    import difflib

    lines = difflib.unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=0)
    return "\n".join(line for line in lines if not line.startswith(("---", "+++", "@@")))


def tests_of_line(source: str, line: int, by_function: dict[int, set[str]]) -> set[str] | None:
    """The tests that call the function a line is in.

    `None`, which is all, outside of any function and for one that is called on import only.
    """
    functions = [
        (min([each.lineno, *(decorator.lineno for decorator in each.decorator_list)]), each)
        for each in ast.walk(ast.parse(source))
        if isinstance(each, ast.FunctionDef)
    ]
    # A change of a decorator or of the names of parameters is one of the module.
    around = [
        (first, each.end_lineno or first)
        for first, each in functions
        if each.body[0].lineno <= line <= (each.end_lineno or first)
    ]
    if not around:
        return None
    first, last = max(around)
    inner = (tests for start, tests in by_function.items() if first <= start <= last)
    return set().union(*inner) or None


def _program(source: str) -> str | None:
    try:
        return ast.dump(ast.parse(source))
    except (SyntaxError, ValueError):
        return None


def _in_code(source: str) -> Iterator[tuple[_Place, str, Callable[[], str | None]]]:
    plugins = importlib.import_module("cosmic_ray.plugins")
    trees = importlib.import_module("cosmic_ray.ast")
    mutate = importlib.import_module("cosmic_ray.mutating").mutate_code
    nodes = list(trees.ast_nodes(trees.get_ast(source)))
    for name in plugins.operator_names():
        if plugins.get_operator(name).arguments() or _is_idle(name):
            continue
        operator = plugins.get_operator(name)()
        places = [place for node in nodes for place in operator.mutation_positions(node)]
        for occurrence, (start, _) in enumerate(places):
            yield start, name.partition("/")[2], partial(mutate, source, operator, occurrence)


def _is_idle(operator: str) -> bool:
    """Whether an operator of Cosmic Ray changes the kind of what is worked out."""
    before, _, after = operator.partition("_")[2].partition("_")
    if "BinaryOperator" in operator:
        return (before in _BITWISE) != (after in _BITWISE)
    return (before, after) in {("Eq", "Is"), ("NotEq", "IsNot")}


#: What Cosmic Ray calls the operators of bits and sets. Sets know `-` too.
_BITWISE = frozenset({"BitAnd", "BitOr", "BitXor", "LShift", "RShift"})


def _in_texts(source: str) -> Iterator[tuple[_Place, str, Callable[[], str | None]]]:
    trees = importlib.import_module("cosmic_ray.ast")
    lines = source.splitlines(keepends=True)
    for node in trees.ast_nodes(trees.get_ast(source)):
        start, end = node.start_pos, node.end_pos
        if node.type == "fstring_expr":
            yield start, "another figure", partial(_replaced, lines, start, end, "{0}")
        elif node.type == "string" and _WORD.fullmatch(node.value):
            text = _WORD.sub(r"\g<quote>other\g<quote>", node.value)
            yield start, "another word", partial(_replaced, lines, start, end, text)


def _replaced(lines: list[str], start: _Place, end: _Place, text: str) -> str:
    before = "".join(lines[: start[0] - 1]) + lines[start[0] - 1][: start[1]]
    return before + text + lines[end[0] - 1][end[1] :] + "".join(lines[end[0] :])


def _meaningless(tree: ast.Module) -> Iterator[tuple[_Place, _Place]]:
    """From where to where a change means nothing to the program."""
    for node in ast.walk(tree):
        for part in _unused_parts(node):
            end = (part.end_lineno or part.lineno, part.end_col_offset or 0)
            yield (part.lineno, part.col_offset), end


def _unused_parts(node: ast.AST) -> Iterable[ast.expr | ast.stmt]:
    if isinstance(node, ast.Assert) or (
        isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    ):
        yield node
    if isinstance(node, ast.AnnAssign):
        yield node.annotation
    if isinstance(node, ast.FunctionDef):
        if node.returns is not None:
            yield node.returns
        for decorator in node.decorator_list:
            if ast.unparse(decorator).partition("(")[0] in _REMEMBERING:
                yield decorator
            # The documentation of a rule. That its name, subject and levels are right is seen.
            if isinstance(decorator, ast.Call):
                yield from (each.value for each in decorator.keywords if each.arg in _DOCUMENTATION)
    if isinstance(
        node, ast.ClassDef
    ):  # frozen and slots: for speed and order, not for what it does
        yield from node.decorator_list
    if isinstance(node, ast.arg) and node.annotation is not None:
        yield node.annotation
    if isinstance(node, ast.Assign) and _is_typing(node.value):
        yield node
    if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
        yield node


#: Decorators that save time and change no answer.
_REMEMBERING = frozenset({"once", "lru_cache", "cache"})

_DOCUMENTATION = frozenset({"what", "why", "limits", "configure", "failing", "passing", "group"})


def _is_typing(value: ast.expr) -> bool:
    """Whether a value is a name for a type."""
    text = ast.unparse(value)
    return text.startswith(("Literal[", "Callable["))
