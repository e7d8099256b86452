"""From a fit to what is told of it, and to entries of the configuration."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from math import ceil
from statistics import median

from waterlint.catalog.malts import MALT_KINDS
from waterlint.chemistry.malts import MALT_CLASSES, malt_term
from waterlint.hints import Final
from waterlint.learning.fit import Fit, TooFew, learn
from waterlint.learning.mashes import LEARNED, Label, LeftOut, Mash
from waterlint.learning.system import Held, MaltFit
from waterlint.output.learned import Entry, Learned, MaltRow, Reading

ENOUGH: Final = 0.8
"""Of the default's spread that may be left for an entry to be worth its line [-]; common practice.
A kind's other malts cannot come below 0.71 of it."""

MOVED: Final = 0.1
"""Of the default's spread that a brewed malt must have moved for an entry, even where little is
known of it [-]; common practice: the fit was judged with all malts where it put them, and below
this no mash notices."""


#: What YAML takes for something other than a text.
_YAML_WORDS: Final = frozenset({"true", "false", "null"})


def learned_from(mashes: Sequence[Mash], left_out: Sequence[LeftOut]) -> Learned:
    """What a house's measured mashes tell.

    Parameters
    ----------
    mashes : sequence of Mash
    left_out : sequence of LeftOut
        Measured mashes that tell nothing.

    Returns
    -------
    Learned
        With `too_few` where nothing was fitted.
    """
    others = tuple((each.path, each.reason) for each in left_out)
    try:
        fit = learn(mashes)
    except TooFew as problem:
        return Learned(len(mashes), (), (), (), others, too_few=str(problem))
    used = [each.mash for each in fit.held]
    gain, gain_sd = fit.gain
    return Learned(
        mashes=len(used),
        rows=tuple(_row(malt, used) for malt in fit.malts),
        entries=tuple(_entries(fit, used)),
        outliers=tuple(_reading(each) for each in fit.outliers),
        left_out=others,
        rms_default=fit.rms_default,
        rms_learned=fit.rms_learned,
        nearer=fit.nearer,
        gain=gain,
        gain_sd=gain_sd,
        widened=fit.widened,
    )


def _reading(held: Held) -> Reading:
    return Reading(held.mash.path, held.mash.name, held.mash.ph, held.learned, held.sd)


def _row(malt: MaltFit, mashes: Sequence[Mash]) -> MaltRow:
    default = _default(malt.label, mashes)
    return MaltRow(
        kind=malt.label.like,
        name=malt.label.name,
        mashes=malt.mashes,
        default=default,
        default_sd=malt.prior_sd,
        learned=None if default is None else default + malt.offset,
        sd=malt.sd,
        told=_is_told(malt),
    )


def _is_told(malt: MaltFit) -> bool:
    return malt.sd <= ENOUGH * malt.prior_sd


def _has_moved(malt: MaltFit) -> bool:
    return bool(malt.label.name) and abs(malt.offset) >= MOVED * malt.prior_sd


def _default(label: Label, mashes: Sequence[Mash]) -> float | None:
    """A malt's own pH by default; `None` for a kind whose malts differ by their colour."""
    if label.name:
        return median(
            term.ph_di
            for mash in mashes
            for each, term in zip(mash.labels, mash.inputs.malts, strict=True)
            if each == label
        )
    if MALT_CLASSES[label.like].acidity_per_ebc:
        return None
    term = malt_term(label.like, 1.0)
    return None if term is None else term.ph_di


def _entries(fit: Fit, mashes: Sequence[Mash]) -> Iterator[Entry]:
    """One for the kind where recipes need no change, one for each malt that is known better."""
    names = [malt.label for malt in fit.malts if malt.label.name]
    keys: set[str] = set()
    for malt in fit.malts:
        label = malt.label
        default = _default(label, mashes)
        if default is None or not (_is_told(malt) or _has_moved(malt)):
            continue
        alone = sum(each.like == label.like for each in names) == 1
        by_color = bool(MALT_CLASSES[label.like].acidity_per_ebc)
        if not label.name or label.kind != label.like or (alone and not by_color):
            key, written_for = label.kind, ""
        else:
            key, written_for = _key(label, keys), label.name
        if key in keys:
            continue
        keys.add(key)
        yield Entry(
            key=key,
            like=label.like,
            di_ph=f"{default + malt.offset:.2f} ± {_upwards(malt.sd):.2f}",
            color=_color(label, mashes) if by_color else "",
            basis=f"{LEARNED} ({malt.mashes} with it)",
            written_for=written_for,
        )


def _upwards(sd: float) -> float:
    """To two decimals, never to less than it is."""
    return ceil(100.0 * sd - 1e-9) / 100.0


def _color(label: Label, mashes: Sequence[Mash]) -> str:
    colors = [
        color
        for mash in mashes
        for each, color in zip(mash.labels, mash.colors, strict=True)
        if each == label and color is not None
    ]
    return f"{median(colors):.4g} EBC" if colors else ""


def _key(label: Label, taken: set[str]) -> str:
    """A name for a malt's entry that is no built-in kind and not taken."""
    plain = unicodedata.normalize("NFKD", label.name).encode("ascii", "ignore").decode()
    key = "-".join(re.findall(r"[a-z0-9]+", plain.lower())) or f"our-{label.like}"
    if key in MALT_KINDS or not re.search("[a-z]", key) or key in _YAML_WORDS:
        key = f"our-{key}"
    number = 2
    while key in taken:
        key = f"{key.rstrip('0123456789-')}-{number}"
        number += 1
    return key
