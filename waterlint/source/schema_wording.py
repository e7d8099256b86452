"""What is said about a violation of a schema, in a brewer's words and with an example."""

from __future__ import annotations

from waterlint.hints import Final
from waterlint.records import Record
from waterlint.source.faults import shorten
from waterlint.source.nodes import Mapping, Node, Scalar, Sequence
from waterlint.source.schema_fields import Path, Schema, as_yaml, meant_word, near_words
from waterlint.source.schema_validator import Violation, as_date
from waterlint.units import QuantityError

#: What YAML 1.1 took for true and false, and YAML 1.2 takes for words.
_SPOKEN_TRUTH: Final = {
    "yes": "true",
    "y": "true",
    "on": "true",
    "no": "false",
    "n": "false",
    "off": "false",
}


class Words(Record):
    """A message, what to do, and what to write in the place of what stands there."""

    message: str
    help: str
    replacement: str | None = None


def place_name(path: Path, schema: Schema) -> str:
    """A place in a sentence: ``the recipe``, `` `batch` ``, ``item 2 of `grist` ``.

    Examples
    --------
    >>> place_name((), {"title": "Recipe"}), place_name(("grist", 1), {})
    ('the recipe', 'item 2 of `grist`')
    """
    if not path:
        return f"the {schema.get('title', 'file').lower()}"
    if isinstance(path[-1], int):
        return f"item {path[-1] + 1} of {place_name(path[:-1], schema)}"
    return f"`{shorten(path[-1])}`"


def unknown_key(
    key: str, value: Node, parent: Node, where: str, known: list[str], near: list[str]
) -> Words:
    """A key that the schema does not know.

    Parameters
    ----------
    key : str
    value : Node
        What stands under it.
    parent : Node
        The mapping that it stands in.
    where : str
        That mapping, in a sentence.
    known, near : list of str
        All keys of the mapping, and those that this one may stand for.
    """
    message = f"`{shorten(key)}` is no key of {where}"
    taken = parent.entries if isinstance(parent, Mapping) else {}
    free = [word for word in near if word not in taken]
    meant = free[0] if len(free) == 1 else meant_word(key, free)
    if meant is not None:
        return Words(message, f"Write `{meant}`.", meant)
    if free:
        return Words(message, f"Did you mean {either(free[:3])}?")
    twin = next((word for word in near if word.casefold() == key.casefold()), None)
    if twin is not None:
        return Words(message, f"`{twin}` stands here already. Take one of the two away.")
    if _is_loose_word(key, value):
        return Words(
            f"{message}, and has no value",
            "Between { and } a comma starts a new key: put a text with a comma in quotes. "
            f"{keys_of(where, known)}",
        )
    return Words(message, keys_of(where, known))


def _is_loose_word(key: str, value: Node) -> bool:
    """Whether a key stands between commas without colon and value, as words of a text do."""
    if not isinstance(value, Scalar) or value.kind != "null" or value.start != value.end:
        return False
    return value.lines.text[: value.start].rstrip().endswith(key)


def keys_of(where: str, known: list[str]) -> str:
    """A sentence that lists the keys of a mapping."""
    return f"{where[0].upper()}{where[1:]} takes {listed(known)}."


def missing_key(violation: Violation, where: str, field: Schema) -> Words:
    """A key that is required and not there; `field` is what it should hold."""
    branch = violation.schema
    if "title" in branch and violation.condition is not None:
        example = as_yaml(branch["examples"][0]).strip("{}")
        return Words(
            f"{where} has no {branch['title']}",
            f"{branch['description']} For example `{example}`.",
        )
    key = violation.detail
    return Words(
        f"{where} has no `{key}`",
        f"Add `{key}: {as_yaml(first_example(field))}`. {field.get('description', '')}".strip(),
    )


def wrong_type(node: Node, where: str, path: Path, field: Schema) -> Words:
    """A value of the wrong shape."""
    help = f"Write `{written(path, field)}`. {field.get('description', '')}".strip()
    types = field.get("type", ())
    types = [types] if isinstance(types, str) else list(types)
    if isinstance(node, Scalar) and node.kind == "null":
        return Words(f"{where} has no value", help)
    wanted = either([_TYPE_NAMES[each] for each in types if each in _TYPE_NAMES], quoted=False)
    message = f"{where} is {shape(node)}, and {wanted} belongs there"
    if types == ["boolean"] and isinstance(node, Scalar):
        spoken = _SPOKEN_TRUTH.get(node.text.casefold())
        return Words(message, help if spoken is None else f"Write `{spoken}`.", spoken)
    return Words(message, help)


_TYPE_NAMES: Final = {
    "string": "a single value",
    "boolean": "`true` or `false`",
    "array": "a list",
    "object": "a group of keys",
}


def shape(node: Node) -> str:
    """What a value is, in a sentence."""
    if isinstance(node, Mapping):
        return "a group of keys"
    if isinstance(node, Sequence):
        return "a list"
    assert isinstance(node, Scalar)
    return f"the single value `{shorten(node.text)}`" if node.text else "an empty text"


def no_quantity(error: QuantityError, path: Path) -> Words:
    """A text that is no quantity."""
    return Words(f"{_own_name(path)}: {error.message}", error.help, error.suggestion)


def bad_value(violation: Violation, node: Node, where: str, path: Path, field: Schema) -> Words:
    """A value of the right shape that cannot be."""
    text = node.text if isinstance(node, Scalar) else ""
    keyword, name = violation.keyword, _own_name(path)
    example = f"for example `{written(path, field)}`"
    description = field.get("description", "")
    if keyword == "enum":
        return _unknown_word(text, name, violation.schema["enum"])
    if keyword == "quantity" and violation.detail == "date":
        day = as_date(text)
        return Words(
            f"{name}: `{shorten(text)}` is no day of the calendar",
            f"Write `{day}`." if day else f"Write year-month-day: {example}.",
            day,
        )
    if keyword == "quantity":
        return Words(
            f"{name}: `{shorten(text)}` must be {violation.detail}",
            f"{description} Write, {example}.".strip(),
        )
    if keyword == "uniqueItems":
        first = int(violation.detail) + 1
        return Words(f"{where} says the same as item {first}", "Take one of them away.")
    if keyword == "propertyNames":
        key = shorten(violation.detail)
        wanted = violation.schema["propertyNames"]
        return Words(
            f"`{key}` cannot be a name in {where}",
            f"{wanted['description']} For example `{wanted['examples'][0]}`.",
        )
    if keyword == "pattern":
        return Words(f"{name}: `{shorten(text)}` cannot be", f"{description} Write, {example}.")
    return Words(f"{where} is empty", f"{description} Write, {example}.".strip())


def _unknown_word(text: str, name: str, words: list[str]) -> Words:
    message = f"`{shorten(text)}` is none of the words that `{name}` takes"
    meant, near = meant_word(text, words), near_words(text, words)
    # A slip seldom takes the first letter, and another word may mean something else: `malted`.
    if meant is not None and meant[0] == text[0].casefold():
        return Words(message, f"Write `{meant}`.", meant)
    if near:
        return Words(message, f"Did you mean {either(near[:3])}? Write {either(words)}.")
    return Words(message, f"Write {either(words)}.")


def wrong_kind(node: Node, key: str, expected: list[str]) -> Words:
    """A first key that names no kind of file or no version that is known."""
    text = node.text if isinstance(node, Scalar) else ""
    help = f"Write {either([f'{key}: {each}' for each in expected])}."
    if not text:
        return Words(f"`{key}` does not say what the file is", help)
    kind, _, version = expected[0].partition("/")
    if text == kind:
        return Words(f"`{kind}` does not say which version of the format it is", help, expected[0])
    if len(expected) == 1 and text.partition("/")[0] == kind:
        return Words(
            f"`{shorten(text)}` is no version of the format that this waterlint reads; it reads "
            f"{kind}/{version}",
            f"{help} A newer format needs a newer waterlint.",
        )
    replacement = expected[0] if len(expected) == 1 else None
    return Words(f"`{shorten(text)}` is no kind of file", help, replacement)


def first_example(field: Schema) -> object:
    """An example of what a field holds."""
    examples = field.get("examples", [])
    return examples[0] if examples else ""


def written(path: Path, field: Schema) -> str:
    """A key with an example of its value, as one writes it."""
    example = as_yaml(first_example(field))
    return example if not path or isinstance(path[-1], int) else f"{path[-1]}: {example}"


def either(words: list[str], quoted: bool = True) -> str:
    """Alternatives as a sentence has them."""
    shown = [f"`{word}`" if quoted else word for word in words]
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} or {shown[-1]}"


def listed(words: list[str]) -> str:
    """Words as a list in a sentence."""
    shown = [f"`{word}`" for word in words]
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"


def _own_name(path: Path) -> str:
    """The last key of a path, for the start of a message."""
    return next((shorten(step) for step in reversed(path) if isinstance(step, str)), "value")
