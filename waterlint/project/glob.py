"""Patterns for paths, as `exclude` and `paths` of a configuration write them.

A pattern is compared with the whole path below the configuration's folder, part by part:
``*`` stands for any run of characters within a part, ``?`` for one character, ``[abc]``,
``[a-z]`` and ``[!abc]`` for one of a set, and ``**`` as a whole part for any number of parts,
also none. Everything else stands for itself, upper and lower case apart. Where the last part has
no such signs and names a folder, or where a ``/`` ends the pattern, it holds for all that lies
below: ``attic`` says the same as ``attic/**``.

Patterns come with the files of a repository, also with those of strangers, so they are matched
by walking and not by a regular expression: the work grows with the length of pattern times path.
"""

from __future__ import annotations

from functools import lru_cache

from waterlint.records import Record

#: One character of a pattern: itself, a set (`frozenset` of pairs, whether negated), or a sign.
_Set = tuple[tuple[tuple[str, str], ...], bool]
_Token = str | _Set
_STAR = ""
_ANY: _Set = ((), True)


class Glob(Record):
    """A pattern, ready to be compared with paths.

    Examples
    --------
    >>> Glob.of("lagers/**").matches("lagers/2026/helles.yaml")
    True
    >>> Glob.of("*.yaml").matches("lagers/helles.yaml")
    False
    """

    pattern: str
    parts: tuple[tuple[_Token, ...] | None, ...]

    @staticmethod
    def of(pattern: str) -> Glob:
        """The pattern as written; a leading ``./`` says nothing."""
        return _compiled(pattern)

    def matches(self, path: str) -> bool:
        """Whether the pattern holds for `path`.

        Parameters
        ----------
        path : str
            Relative to the folder of the pattern's configuration, with ``/``.
        """
        return _match_parts(self.parts, tuple(path.split("/")))


def problem_of(pattern: str) -> tuple[str, str] | None:
    """Why a pattern can never match, and what to write instead; `None` where it is sound."""
    if "\\" in pattern:
        return (
            "the pattern has a backslash",
            f"Write it with slashes: {pattern.replace(chr(92), '/')}",
        )
    if pattern.startswith("/") or pattern[1:3] in (":/", ":"):
        return (
            "the pattern is an absolute path",
            "Write it from the folder of this configuration on, as in lagers/**.",
        )
    if not pattern.strip("./"):
        return (
            "the pattern names nothing",
            "Write a folder or files below this configuration, as in attic/** or **/*.draft.yaml.",
        )
    if ".." in pattern.split("/"):
        return (
            "the pattern leaves the folder of this configuration",
            "Put a configuration into the folder that is meant, and the pattern into that.",
        )
    return None


@lru_cache(maxsize=1024)
def _compiled(pattern: str) -> Glob:
    written = [part for part in pattern.split("/") if part not in ("", ".")]
    parts: list[tuple[_Token, ...] | None] = []
    for part in written:
        if part != "**":
            parts.append(_tokens(part))
        elif not parts or parts[-1] is not None:
            parts.append(None)
    # A folder may be meant, so the pattern goes on below it.
    if parts and (pattern.endswith("/") or _is_literal(parts[-1])):
        parts.append(None)
    return Glob(pattern, tuple(parts))


def _is_literal(tokens: tuple[_Token, ...] | None) -> bool:
    return tokens is not None and all(isinstance(each, str) and each for each in tokens)


def _tokens(part: str) -> tuple[_Token, ...]:
    tokens: list[_Token] = []
    index = 0
    while index < len(part):
        sign = part[index]
        index += 1
        if sign == "*":
            if not tokens or tokens[-1] != _STAR:
                tokens.append(_STAR)
        elif sign == "?":
            tokens.append(_ANY)
        elif sign == "[" and (end := _set_end(part, index)) is not None:
            tokens.append(_set(part[index:end]))
            index = end + 1
        else:
            tokens.append(sign)
    return tuple(tokens)


def _set_end(part: str, start: int) -> int | None:
    """Where the set that opens before `start` closes; an unclosed bracket is a plain sign."""
    first = start + 1 if part[start : start + 1] == "!" else start
    end = part.find("]", first + 1)
    return None if end < 0 else end


def _set(body: str) -> _Set:
    negated = body.startswith("!")
    body = body[1:] if negated else body
    pairs: list[tuple[str, str]] = []
    index = 0
    while index < len(body):
        if body[index + 1 : index + 2] == "-" and index + 2 < len(body):
            pairs.append((body[index], body[index + 2]))
            index += 3
        else:
            pairs.append((body[index], body[index]))
            index += 1
    return tuple(pairs), negated


def _match_parts(parts: tuple[tuple[_Token, ...] | None, ...], names: tuple[str, ...]) -> bool:
    """Greedy, with one way back: to the last `**`, which then takes one name more.

    One way is enough, since whatever a longer bite of an earlier `**` could reach, a longer
    bite of the last one reaches too. The same holds for `*` below.
    """
    part = place = 0
    back: tuple[int, int] | None = None
    while place < len(names) or part < len(parts):
        if part < len(parts):
            tokens = parts[part]
            if tokens is None:
                part += 1
                back = (part, place)
                continue
            if place < len(names) and _match_part(tokens, names[place]):
                part += 1
                place += 1
                continue
        if back is None or back[1] >= len(names):
            return False
        back = (back[0], back[1] + 1)
        part, place = back
    return True


def _match_part(tokens: tuple[_Token, ...], name: str) -> bool:
    token = place = 0
    back: tuple[int, int] | None = None
    while place < len(name) or token < len(tokens):
        if token < len(tokens):
            wanted = tokens[token]
            if wanted == _STAR:
                token += 1
                back = (token, place)
                continue
            if place < len(name) and _is_one(wanted, name[place]):
                token += 1
                place += 1
                continue
        if back is None or back[1] >= len(name):
            return False
        back = (back[0], back[1] + 1)
        token, place = back
    return True


def _is_one(wanted: _Token, sign: str) -> bool:
    if isinstance(wanted, str):
        return wanted == sign
    pairs, negated = wanted
    return any(low <= sign <= high for low, high in pairs) != negated
