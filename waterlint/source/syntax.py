"""What a parser's refusal means to a person who writes recipes.

A parser says what it missed at the place where it noticed, which is often not the place of the
slip: an open bracket shows at the end of the file, a missing colon one line later. Each
recogniser knows one kind of slip, looks at the text around, and tells the place of the slip and
what to write instead.
"""

from __future__ import annotations

from collections.abc import Callable

from waterlint.source import slips_in_layout, slips_in_texts
from waterlint.source.lines import Lines
from waterlint.source.parsing import SyntaxFault
from waterlint.source.slip import Slip, word_at

_RECOGNISERS: tuple[Callable[[Lines, SyntaxFault], Slip | None], ...] = (
    slips_in_texts.tab,
    slips_in_texts.open_quote,
    slips_in_texts.escape,
    slips_in_layout.missing_colon,
    slips_in_layout.second_colon,
    slips_in_layout.list_on_key_line,
    slips_in_layout.open_bracket,
    slips_in_layout.bracket_open_at_end,
    slips_in_texts.stray_sign,
    slips_in_texts.after_quote,
    slips_in_texts.block_header,
    slips_in_texts.anchor_name,
    slips_in_layout.end_mark,
    slips_in_layout.indentation,
)


def explain(lines: Lines, fault: SyntaxFault) -> Slip:
    """The slip behind a parser's refusal."""
    for recognise in _RECOGNISERS:
        slip = recognise(lines, fault)
        if slip is not None:
            return slip
    return Slip(
        *word_at(lines.text, fault.offset),
        "this is not valid YAML",
        "Compare the indentation, the quotes and the brackets here with the lines around.",
    )
