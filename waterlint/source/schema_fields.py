"""What a schema says about a place in a file: its words, its examples, the keys it knows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from waterlint.hints import Any, Final

#: A JSON Schema or a part of one.
Schema = Mapping[str, Any]
#: Steps from the root of a document: keys, and numbers of list items from 0.
Path = tuple[str | int, ...]

#: How alike two words must be before one is offered for the other (0 to 1), and how much more
#: alike than the next one before it is taken for what was meant; by trial on misspelt keys.
LIKENESS: Final = 0.6
_LEAD: Final = 0.08
#: A longer word is no slip of the pen, and comparing it would take its square in time.
_LONGEST_WORD: Final = 100


def resolve(schema: Schema, root: Schema) -> Schema:
    """A schema with its reference followed; words beside the reference win."""
    while "$ref" in schema:
        name = schema["$ref"].removeprefix("#/definitions/")
        words = {key: value for key, value in schema.items() if key != "$ref"}
        schema = {**root["definitions"][name], **words}
    return schema


def field_at(root: Schema, path: Path) -> Schema:
    """What the schema says about the value at a path; empty where it knows no such place."""
    schema: Schema = resolve(root, root)
    for step in path:
        following = _step(schema, step)
        if following is None:
            return {}
        schema = resolve(following, root)
    return schema


def _step(schema: Schema, step: str | int) -> Schema | None:
    for part in (schema, schema.get("then", {}), schema.get("else", {})):
        if isinstance(step, int):
            following = part.get("items")
        else:
            following = part.get("properties", {}).get(step, part.get("additionalProperties"))
        if isinstance(following, Mapping):
            return following
    return None


def known_keys(field: Schema) -> list[str]:
    """The keys that a mapping may have, in the order of the schema."""
    return list(field.get("properties", {}))


def other_names(field: Schema) -> dict[str, list[str]]:
    """What else people call the keys of a mapping, with the keys that are meant."""
    names: dict[str, list[str]] = {}
    for key, inner in field.get("properties", {}).items():
        for name in inner.get("also", ()):
            names.setdefault(name, []).append(key)
    return names


def near_words(word: str, words: Iterable[str]) -> list[str]:
    """The words that are like a written one, the most alike first.

    Examples
    --------
    >>> near_words("chlorid", ["calcium", "chlorine", "chloride"])
    ['chloride', 'chlorine']
    """
    folded = word.casefold()
    if len(folded) > _LONGEST_WORD:
        return []
    scored = ((likeness(folded, each.casefold()), each) for each in words)
    return [each for score, each in sorted(scored, key=lambda pair: -pair[0]) if score >= LIKENESS]


def meant_word(word: str, words: Iterable[str]) -> str | None:
    """The word that was meant beyond doubt, `None` where none or several are as likely.

    Examples
    --------
    >>> meant_word("chlorid", ["calcium", "chlorine", "chloride"])
    'chloride'
    >>> meant_word("chlorie", ["calcium", "chlorine", "chloride"]) is None
    True
    """
    near = near_words(word, words)
    if not near:
        return None
    folded = word.casefold()
    scores = [likeness(folded, each.casefold()) for each in near[:2]]
    return near[0] if len(scores) == 1 or scores[0] - scores[1] >= _LEAD else None


def likeness(word: str, other: str) -> float:
    """How alike two words are (0 to 1)."""
    from difflib import SequenceMatcher

    return SequenceMatcher(None, word, other).ratio()


def mentioned(schema: Schema, path: Path = ()) -> Iterator[Path]:
    """The places that a condition asks about, relative to where it stands."""
    for key in schema.get("required", ()):
        yield (*path, key)
    for key, inner in schema.get("properties", {}).items():
        yield (*path, key)
        if isinstance(inner, Mapping):
            yield from mentioned(inner, (*path, key))
    if "not" in schema:
        yield from mentioned(schema["not"], path)


def as_yaml(value: object) -> str:
    """An example of a schema as one writes it in a file, on one line."""
    if isinstance(value, Mapping):
        return f"{{{', '.join(f'{key}: {as_yaml(inner)}' for key, inner in value.items())}}}"
    if isinstance(value, list):
        return f"[{', '.join(as_yaml(inner) for inner in value)}]"
    if isinstance(value, bool):
        return "true" if value else "false"
    return "" if value is None else str(value)
