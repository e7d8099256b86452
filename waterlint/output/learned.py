"""What measured mashes told of a house's malts, for people, and as a block of configuration."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator, Sequence

from waterlint.output.text import one_line, path_text
from waterlint.records import Record
from waterlint.version import __version__


class MaltRow(Record):
    """A malt, or the other malts of a kind: its own pH by default and as learned.

    `told` is whether the mashes say enough of it for an entry.
    """

    kind: str
    name: str
    mashes: int
    default: float | None
    default_sd: float
    learned: float | None
    sd: float
    told: bool


class Entry(Record):
    """A line of `malts:` in a configuration. `written_for` names the malt whose recipes have to
    name the entry; empty where they do already."""

    key: str
    like: str
    di_ph: str
    color: str
    basis: str
    written_for: str

    def line(self) -> str:
        """The entry as YAML."""
        color = f", color: {self.color}" if self.color else ""
        return (
            f"  {self.key}: {{like: {self.like}, di_ph: {self.di_ph}{color}, basis: {self.basis}}}"
        )


class Reading(Record):
    """A mash pH against what the other mashes predict."""

    path: str
    name: str
    measured: float
    predicted: float
    sd: float


class Learned(Record):
    """The outcome for one house.

    `left_out` gives path and reason. `gain` and `gain_sd` are the mean of the paired differences
    of squared errors and its standard error. `too_few` says why nothing was fitted.
    """

    mashes: int
    rows: tuple[MaltRow, ...]
    entries: tuple[Entry, ...]
    outliers: tuple[Reading, ...]
    left_out: tuple[tuple[str, str], ...]
    rms_default: float = 0.0
    rms_learned: float = 0.0
    nearer: int = 0
    gain: float = 0.0
    gain_sd: float = 0.0
    widened: float = 1.0
    too_few: str = ""

    @property
    def is_better(self) -> bool:
        """Whether what was learned predicts mashes that it does not know better than defaults."""
        return not self.too_few and self.rms_learned < self.rms_default

    @property
    def is_clear(self) -> bool:
        """Whether the paired difference is more than twice its standard error."""
        return abs(self.gain) > 2.0 * self.gain_sd


def config_block(entries: Sequence[Entry]) -> str:
    """The entries as they stand in `waterlint.yaml`."""
    return "\n".join(["malts:", *(entry.line() for entry in entries)]) + "\n"


def render_json(learned: Learned) -> str:
    """What was learned, for programs."""
    data = {
        "waterlint": __version__,
        "mashes": learned.mashes,
        "too_few": learned.too_few or None,
        "malts": [
            {
                "kind": row.kind,
                "name": row.name or None,
                "mashes": row.mashes,
                "default": _rounded(row.default),
                "default_sd": _rounded(row.default_sd),
                "learned": _rounded(row.learned),
                "learned_sd": _rounded(row.sd),
            }
            for row in learned.rows
        ],
        "left_out_error": {
            "default_rms": _rounded(learned.rms_default),
            "learned_rms": _rounded(learned.rms_learned),
            "nearer": learned.nearer,
            "paired_difference": _rounded(learned.gain),
            "paired_difference_sd": _rounded(learned.gain_sd),
        },
        "widened": _rounded(learned.widened),
        "outliers": [
            {
                "path": each.path,
                "name": each.name,
                "measured": _rounded(each.measured),
                "predicted": _rounded(each.predicted),
                "predicted_sd": _rounded(each.sd),
            }
            for each in learned.outliers
        ],
        "left_out": [{"path": path, "reason": reason} for path, reason in learned.left_out],
        "block": config_block(learned.entries) if learned.is_better and learned.entries else None,
    }
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 6)


def render_text(learned: Learned, width: int = 80) -> str:
    """What was learned, for people."""
    lines: list[str] = []
    for part in (_mashes(learned), _malts(learned), _verdict(learned), _block(learned)):
        told = list(part)
        if told and lines:
            lines.append("")
        for line in told:
            as_is = not line or line.startswith("  ") or line == "malts:"
            lines += [line] if as_is else textwrap.wrap(line, width, break_on_hyphens=False)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _mashes(learned: Learned) -> Iterator[str]:
    if learned.too_few:
        yield f"Nothing was learned: {learned.too_few}."
        yield (
            "Measure a cooled sample of each mash and write it into its recipe, such as "
            "`measured: {mash_ph: {value: 5.48, temperature: 20 °C}}`."
        )
    else:
        yield (
            f"Learned from {learned.mashes} measured mashes: each malt's own pH, which is that of "
            "its mash in distilled water (`di_ph`)."
        )
    for reading in learned.outliers:
        yield (
            f"Set aside: {path_text(reading.path)}, {one_line(reading.name)}: pH "
            f"{reading.measured:.2f} at 25 °C, where the others say {reading.predicted:.2f} ± "
            f"{reading.sd:.2f}. Look for a slip in the reading, the water or the doses."
        )
    for path, reason in learned.left_out:
        yield f"Left out: {path_text(path)}: {one_line(reason)}."
    if learned.widened > 1.0:
        yield (
            f"The readings scatter {learned.widened:.1f} times as much as the model, the meter and "
            "the weighing explain; the spreads below are wider by that."
        )


def _malts(learned: Learned) -> Iterator[str]:
    if not learned.rows:
        return
    names = [_shown(row) for row in learned.rows]
    first = max(len("own pH of"), *map(len, names))
    yield f"  {'own pH of'.ljust(first)}  mashes  by default     learned"
    for name, row in zip(names, learned.rows, strict=True):
        default = _figure(row.default, row.default_sd)
        learned_ph = _figure(row.learned, row.sd)
        remark = "" if row.told else "  (hardly more than the default)"
        yield f"  {name.ljust(first)}  {row.mashes:>6}  {default:<13}  {learned_ph}{remark}"


def _shown(row: MaltRow) -> str:
    return f"{row.kind}: {one_line(row.name)}" if row.name else f"{row.kind}: any other"


def _figure(value: float | None, sd: float) -> str:
    return f"by color ± {sd:.2f}" if value is None else f"{value:.2f} ± {sd:.2f}"


def _verdict(learned: Learned) -> Iterator[str]:
    if learned.too_few:
        return
    yield (
        "Each mash predicted from the others, it is missed by "
        f"{learned.rms_learned:.3f} pH (root mean square), with the defaults by "
        f"{learned.rms_default:.3f}; nearer in {learned.nearer} of {learned.mashes}."
    )
    if not learned.is_better:
        yield "That is no better: keep the defaults, and measure on."
    elif not learned.is_clear:
        yield (
            "So few mashes could show that by chance: what was learned is likely better, and more "
            "mashes will tell."
        )
    else:
        yield "That is more than chance: what was learned is better for this house."


def _block(learned: Learned) -> Iterator[str]:
    if not learned.is_better:
        return
    if not learned.entries:
        yield "Of no malt is enough known for an entry of its own."
        return
    yield "For waterlint.yaml (under `malts:`, if there is one):"
    yield ""
    yield from config_block(learned.entries).splitlines()
    yield ""
    for entry in learned.entries:
        if entry.written_for:
            yield f"Write `kind: {entry.key}` for {one_line(entry.written_for)} in the recipes."
    yield (
        "These figures hold the house's mill, meter and water report too: they serve this house. "
        "Learn again after more mashes; what was learned before is not counted twice."
    )
