"""Files that mean harm, or that no program should stumble over: each with what is said of it."""

from __future__ import annotations

import gzip
from dataclasses import dataclass

RECIPE = """\
waterlint: recipe/1
name: Slipway pale ale
batch: {volume: 20 L, evaporation: 3 L, losses: 1 L}
water:
  mash: {volume: 15 L, from: ./well.yaml}
  sparge: {volume: 13.5 L, from: ./well.yaml}
mash: {mill_gap: 1 mm, temperature: 66 °C}
grist:
  - {malt: pale malt, kind: pale, mass: 4.2 kg, color: 6 EBC}
  - {malt: light crystal, kind: crystal, mass: 300 g, color: 60 EBC}
additions:
  - {add: gypsum, mash: 1 g}
"""
WELL = """\
waterlint: water/1
name: Quarry Lane well
sampled: 2026-03-14
ph: 7.4
ions: {calcium: 56 mg/L, magnesium: 6 mg/L, sodium: 11 mg/L, chloride: 60 mg/L, sulfate: 61 mg/L}
alkalinity: 40 mg/L as CaCO3
"""

#: A file beside each trap in every call, with one fault at a known place.
NEIGHBOUR = RECIPE.replace("mill_gap", "mil_gap")
NEIGHBOUR_FAULT = ("unknown-key", 7, 8)

_MIB = 1024 * 1024


@dataclass(frozen=True)
class Trap:
    """A file and one finding that is made about it; `column` is `None` where it hardly matters."""

    name: str
    data: bytes
    rule: str
    line: int
    column: int | None = None


def put(before: str, after: str, text: str = RECIPE) -> str:
    """The recipe with a piece of it replaced."""
    assert before in text
    return text.replace(before, after, 1)


def _named(value: str) -> str:
    return put("Slipway pale ale", value)


def _bomb(levels: int, width: int) -> str:
    lines = [f"a0: &a0 [{', '.join(['x'] * width)}]"]
    for level in range(1, levels):
        lines.append(f"a{level}: &a{level} [{', '.join([f'*a{level - 1}'] * width)}]")
    return "\n".join(lines) + "\n"


def _trap(name: str, text: str, rule: str, line: int, column: int | None = None) -> Trap:
    return Trap(name, text.encode("utf-8", "surrogatepass"), rule, line, column)


_ALIASES = (
    _trap("alias-bomb", RECIPE + _bomb(9, 9), "expansion-limit", 17),
    _trap(
        "alias-bomb-of-keys",
        RECIPE
        + "k0: &k0 {a: x, b: x, c: x}\n"
        + "".join(
            f"k{n}: &k{n} {{a: *k{n - 1}, b: *k{n - 1}, c: *k{n - 1}, d: *k{n - 1}}}\n"
            for n in range(1, 30)
        ),
        "expansion-limit",
        19,
    ),
    _trap("cycle-in-a-list", RECIPE + "a: &a [*a]\n", "expansion-limit", 13, 8),
    _trap("cycle-in-a-mapping", RECIPE + "a: &a {b: {c: *a}}\n", "expansion-limit", 13, 15),
    _trap("cycle-at-the-top", "&a\n" + RECIPE + "b: *a\n", "expansion-limit", 14, 4),
    _trap("alias-of-nothing", _named("*nowhere"), "invalid-yaml", 2, 7),
    _trap(
        "alias-of-a-wrong-kind", put("1 mm", "*ale", _named("&ale Slipway")), "bad-quantity", 7, 18
    ),
    _trap(
        "five-thousand-anchors",
        RECIPE + "x:\n" + "".join(f"  - &a{n} {n}\n" for n in range(5000)),
        "unknown-key",
        13,
        1,
    ),
    _trap("anchor-as-key", RECIPE + "&a b: 1\n*a : 2\n", "invalid-yaml", 14, 1),
    _trap("merge-keys-twice", RECIPE + "x: &x {a: b}\ny: {<<: *x, <<: *x}\n", "merge-key", 14, 5),
    _trap("merge-key-at-the-top", RECIPE + "<<: {notes: x}\n", "merge-key", 13, 1),
    _trap(
        "merge-bomb",
        RECIPE
        + "m0: &m0 {a: x}\n"
        + "".join(
            f"m{n}: &m{n} {{<<: [{', '.join([f'*m{n - 1}'] * 9)}], a{n}: x}}\n" for n in range(1, 9)
        ),
        "merge-key",
        14,
    ),
)

_DEPTH = (
    _trap("deep-brackets", RECIPE + "x: " + "[" * 200_000, "expansion-limit", 13),
    _trap("deep-braces", RECIPE + "x: " + "{a: " * 100_000, "expansion-limit", 13),
    _trap(
        "deep-brackets-closed", RECIPE + f"x: {'[' * 50_000}{']' * 50_000}\n", "expansion-limit", 13
    ),
    _trap("deep-dashes", RECIPE + "x:\n  " + "- " * 100_000 + "a\n", "expansion-limit", 14),
    _trap(
        "deep-indentation",
        RECIPE + "".join(f"{' ' * n}k:\n" for n in range(1200)),
        "expansion-limit",
        113,
        101,
    ),
    _trap("deep-question-marks", RECIPE + "? " * 50_000 + "a\n", "expansion-limit", 13, 201),
    _trap("deep-config", "waterlint: config/1\nx: " + "[" * 5_000, "expansion-limit", 2),
)

_NUMBERS = (
    _trap("five-thousand-digits", put("20 L", "9" * 5000 + " L"), "bad-quantity", 3, 17),
    _trap("five-thousand-digits-alone", put("20 L", "9" * 5000), "bad-quantity", 3, 17),
    _trap(
        "five-thousand-digits-behind-the-point", put("20 L", f"0.{'3' * 5000} L"), "bad-quantity", 3
    ),
    _trap("a-million-digits", put("1 mm", "7" * 1_000_000 + " mm"), "bad-quantity", 7, 18),
    _trap("not-a-number", put("20 L", ".nan"), "bad-quantity", 3, 17),
    _trap("not-a-number-with-unit", put("20 L", "NaN L"), "bad-quantity", 3, 17),
    _trap("infinity", put("20 L", ".inf"), "bad-quantity", 3, 17),
    _trap("minus-infinity", put("20 L", "-.inf L"), "bad-quantity", 3, 17),
    _trap("exponent", put("20 L", "1e400 L"), "bad-quantity", 3, 17),
    _trap("negative", put("20 L", "-20 L"), "bad-quantity", 3, 17),
    _trap("base-sixty", put("20 L", "1:30"), "bad-quantity", 3, 17),
    _trap("octal", put("20 L", "0o17"), "bad-quantity", 3, 17),
    _trap("other-digits", put("20 L", "٢٠ L"), "bad-quantity", 3, 17),
    _trap("a-million-blanks", put("20 L", f"20{' ' * 1_000_000}x"), "bad-quantity", 3, 17),
    _trap("many-points", put("20 L", "1." * 100_000 + " L"), "bad-quantity", 3, 17),
    _trap(
        "many-ranges",
        RECIPE + f"targets: {{mash_ph: {'5 .. ' * 50_000}}}\n",
        "bad-quantity",
        13,
        20,
    ),
    _trap("many-plus-minus", put("20 L", "1 ± " * 50_000 + "L"), "bad-quantity", 3, 17),
    _trap("no-such-month", put("2026-03-14", "2026-99-99", WELL), "bad-value", 3, 10),
    _trap(
        "five-thousand-digit-day",
        put("2026-03-14", "1" * 5000 + "-01-01", WELL),
        "bad-value",
        3,
        10,
    ),
    _trap(
        "five-thousand-digit-version", put("recipe/1", f"recipe/{'1' * 5000}"), "bad-value", 1, 12
    ),
)

_SYNTAX = (
    _trap("yaml-1.1", "%YAML 1.1\n---\n" + _named("no"), "invalid-yaml", 1, 1),
    _trap("yaml-9.9", "%YAML 9.9\n---\n" + RECIPE, "invalid-yaml", 1, 1),
    _trap("tag-directive", "%TAG ! tag:example.org,2026:\n---\n" + RECIPE, "invalid-yaml", 1, 1),
    _trap("a-thousand-directives", "%YAML 1.1\n" * 1000 + "---\n" + RECIPE, "invalid-yaml", 1, 1),
    _trap("python-tag", _named("!!python/object/apply:os.system [id]"), "invalid-yaml", 2, 7),
    _trap("python-name-tag", _named("!!python/name:os.system x"), "invalid-yaml", 2, 7),
    _trap("binary-tag", _named("!!binary aGk="), "invalid-yaml", 2, 7),
    _trap("float-tag", put("20 L", "!!float nan"), "invalid-yaml", 3, 17),
    _trap("local-tag", _named("!include /etc/passwd"), "invalid-yaml", 2, 7),
    _trap("tag-of-a-megabyte", _named("!" + "a" * 1_000_000 + " x"), "invalid-yaml", 2, 7),
    _trap("key-of-a-list", RECIPE + "? [a, b]\n: c\n", "invalid-yaml", 13),
    _trap("key-of-a-mapping", RECIPE + "? {a: b}\n: c\n", "invalid-yaml", 13),
    _trap("key-in-brackets", RECIPE + "{a: b}: c\n", "invalid-yaml", 13),
    _trap("tab-after-colon", _named("\tSlipway"), "invalid-yaml", 2),
    _trap("tab-for-indentation", put("  mash:", "\tmash:"), "invalid-yaml", 5, 1),
    _trap("carriage-returns-only", NEIGHBOUR.replace("\n", "\r"), "unknown-key", 7, 8),
    _trap("two-line-ends-mixed", NEIGHBOUR.replace("\n", "\r\n", 3), "unknown-key", 7, 8),
    _trap("open-quote", _named('"' + "a" * 900_000), "invalid-yaml", 2, 7),
    _trap("escape-too-large", _named('"\\U99999999"'), "invalid-yaml", 2),
    _trap("same-key-20,000-times", RECIPE + "notes: x\n" * 20_000, "duplicate-key", 14, 1),
    _trap("20,000-keys", RECIPE + "".join(f"k{n}: x\n" for n in range(20_000)), "expansion-limit", 9981, 8),
    _trap("4,000-keys", RECIPE + "".join(f"key{n}: x\n" for n in range(4_000)), "unknown-key", 13, 1),
    _trap("4,000-near-keys", RECIPE + "".join(
        f"additi{chr(97 + n % 26)}{chr(97 + n // 26 % 26)}{n}: x\n" for n in range(4_000)
    ), "unknown-key", 13, 1),
    _trap("key-of-a-megabyte", RECIPE + "k" * 1_000_000 + ": x\n", "invalid-yaml", 13),
    _trap("key-of-a-thousand", RECIPE + "k" * 1_000 + ": x\n", "unknown-key", 13, 1),
    _trap("quoted-key-of-a-megabyte", RECIPE + '? "' + "k" * 1_000_000 + '"\n: x\n', "unknown-key", 13),
    _trap("scalar-of-a-megabyte", put("1 mm", "a" * 1_000_000), "bad-quantity", 7, 18),
    _trap("block-of-a-megabyte", NEIGHBOUR + "notes: |\n" + f"  {'a' * 98}\n" * 10_000, "unknown-key", 7, 8),
    _trap("quoted-lines-of-a-megabyte", NEIGHBOUR + 'notes: "\n' + "  a\n" * 200_000 + '"\n', "unknown-key", 7, 8),
    _trap("comment-of-a-megabyte", NEIGHBOUR + "#" * 1_000_000 + "\n", "unknown-key", 7, 8),
    _trap("200,000-comments", NEIGHBOUR + "# a\n" * 200_000, "unknown-key", 7, 8),
    _trap("10,000-bad-exceptions", RECIPE + "# waterlint: accept\n" * 10_000, "malformed-exception", 113, 1),
    _trap("5,000-idle-exceptions", RECIPE + "# waterlint: accept batch-sodium because so\n" * 5_000, "malformed-exception", 113, 1),
    _trap("10,000-misspelt-exceptions", RECIPE + "".join(f"# waterlint: accept bach-sodum-{chr(97 + n % 26)} because so\n" for n in range(10_000)), "malformed-exception", 113, 1),
    _trap("exception-of-70,000-rules", RECIPE + "# waterlint: accept " + "batch-sodium, " * 70_000 + "mash-ph because so\n", "malformed-exception", 13, 1),
    _trap("exception-of-a-megabyte", RECIPE + "# waterlint: accept " + "a, " * 300_000 + "\n", "malformed-exception", 13),
)  # fmt: skip

_CHARACTERS = (
    _trap("nul", _named("a\0b"), "unreadable-file", 2, 8),
    _trap("escape-sequence", _named("a\x1b[31mb"), "invalid-yaml", 2, 8),
    _trap("bell", _named("a\x07b"), "invalid-yaml", 2, 8),
    _trap("delete", _named("a\x7fb"), "invalid-yaml", 2, 8),
    _trap("next-line", _named("a\x85b"), "invalid-yaml", 2, 8),
    _trap("line-separator", _named("a\u2028b"), "invalid-yaml", 2, 8),
    _trap("paragraph-separator", _named("a\u2029b"), "invalid-yaml", 2, 8),
    _trap("mark-in-the-middle", _named("a\ufeffb"), "invalid-yaml", 2, 8),
    _trap("two-marks", "\ufeff\ufeff" + RECIPE, "invalid-yaml", 1, 1),
    _trap("mark-at-the-start", "\ufeff" + NEIGHBOUR, "unknown-key", 7, 8),
    _trap("no-character", _named("a\uffffb"), "invalid-yaml", 2, 8),
    _trap("half-character-as-bytes", _named("a\ud800b"), "unreadable-file", 2, 8),
    _trap("half-character-escaped", _named('"a\\ud800b"'), "invalid-yaml", 2, 9),
    _trap("control-character-escaped", _named('"a\\x1bb"'), "invalid-yaml", 2, 9),
    _trap("nul-escaped", _named('"a\\0b"'), "invalid-yaml", 2, 9),
    Trap("utf-16", RECIPE.encode("utf-16"), "unreadable-file", 1, 1),
    Trap("utf-16-little-no-mark", RECIPE.encode("utf-16-le"), "unreadable-file", 1, 1),
    Trap("utf-16-big-no-mark", RECIPE.encode("utf-16-be"), "unreadable-file", 1, 1),
    Trap("utf-32", RECIPE.encode("utf-32"), "unreadable-file", 1, 1),
    Trap("latin-1", put("Slipway", "Bière", RECIPE).encode("latin-1"), "unreadable-file", 2, 9),
    Trap("truncated-utf-8", _named("a 🍺").encode()[:31], "unreadable-file", 2, 9),
    Trap("overlong-utf-8", _named("ab").encode().replace(b"ab", b"a\xc0\xaf"), "unreadable-file", 2, 8),
    Trap("a-picture", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + bytes(range(256)), "unreadable-file", 1, 1),
    Trap("packed", gzip.compress(RECIPE.encode(), mtime=0), "unreadable-file", 1),
    Trap("zeros", bytes(100_000), "unreadable-file", 1, 1),
)  # fmt: skip

_DOCUMENTS = (
    Trap("nothing", b"", "not-a-waterlint-file", 1, 1),
    _trap("mark-alone", "\ufeff", "not-a-waterlint-file", 1, 1),
    _trap("comments-alone", "# a\n" * 10, "not-a-waterlint-file", 1, 1),
    _trap("empty-documents", "---\n" * 50_000, "expansion-limit", 10_002, 1),
    _trap("a-text", "just words\n", "not-a-waterlint-file", 1, 1),
    _trap("a-list", "- a\n- b\n", "not-a-waterlint-file", 1, 1),
    _trap("kind-alone", "waterlint: recipe/1\n", "missing-key", 1, 1),
    _trap("kind-is-a-list", "waterlint: [recipe/1]\n", "bad-value", 1),
    _trap("10,000-documents", "---\nwaterlint: recipe/1\n" * 10_000, "expansion-limit", 2001, 1),
    _trap("1,000-documents", "---\nwaterlint: recipe/1\n" * 1_000, "missing-key", 2, 1),
    _trap("10,000-broken-documents", "---\nwaterlint: ]\n" * 10_000, "invalid-yaml", 2),
    _trap("of-others-then-ours", "---\na: b\n" * 900 + "---\n" + NEIGHBOUR, "unknown-key", 1808, 8),
    _trap("larger-than-read", RECIPE + "#" * _MIB, "unreadable-file", 1, 1),
    _trap("as-large-as-read", NEIGHBOUR + "#" * (_MIB - len(NEIGHBOUR.encode())), "unknown-key", 7, 8),
)  # fmt: skip

_MANY = (
    _trap("1,600-malts", NEIGHBOUR.replace("additions:", "".join(
        f"  - {{malt: m{n}, kind: pale, mass: 1 kg, color: 6 EBC}}\n" for n in range(1_600)
    ) + "additions:"), "unknown-key", 7, 8),
    _trap("1,200-long-quantities", RECIPE.replace("4.2 kg", "1 ± " * 200) + "".join(
        f"  - {{add: x{n}, mash: {f'{n} ± ' * 100}}}\n" for n in range(1_200)
    ), "bad-quantity", 9),
    _trap("1,900-additions", RECIPE + "  - {add: table-salt, mash: 1 g, sparge: 1 g}\n" * 1_900, "implausible-quantity", 13),
    _trap("1,900-acids", RECIPE + "  - {add: lactic-acid, strength: 80 %, mash: 1 mL}\n" * 1_900, "implausible-quantity", 13),
    _trap("2,400-shares", put("./well.yaml", "[" + "{water: ./well.yaml, share: 1 %}, " * 2_400 + "]"), "unresolved-water", 5),
    _trap("2,400-waters", put("./well.yaml", "[" + "".join(
        f"{{water: ./w{n}.yaml, share: 1 %}}, " for n in range(2_400)
    ) + "]"), "unresolved-water", 5),
    _trap("2,400-seasons", WELL + "seasons:\n" + "  - {sampled: 2025-08-02, ph: 17}\n" * 2_400, "bad-value", 8, 31),
    _trap("1,600-mild-seasons", WELL + "seasons:\n" + "  - {sampled: 2025-08-02, ions: {calcium: 900 mg/L}}\n" * 1_600, "ion-balance", 8),
    _trap("words-without-end", put("kind: pale", "kind: " + "pale" * 10_000), "bad-value", 9),
    _trap("path-without-end", put("./well.yaml", "./" + "a/" * 100_000 + "b.yaml"), "unresolved-water", 5),
    _trap("path-upward-without-end", put("./well.yaml", "../" * 100_000 + "b.yaml"), "unresolved-water", 5),
    _trap("notes-in-4,000-parts", NEIGHBOUR + "notes: [" + "a, " * 4_000 + "]\n", "unknown-key", 7, 8),
)  # fmt: skip

TRAPS = (*_ALIASES, *_DEPTH, *_NUMBERS, *_SYNTAX, *_CHARACTERS, *_DOCUMENTS, *_MANY)
