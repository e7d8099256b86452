"""Predictions as tables for people and as the JSON of the contract."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial

from waterlint.hints import TYPE_CHECKING
from waterlint.model.water import IONS
from waterlint.output.text import one_line, path_text
from waterlint.prediction.result import Figure, MashFigures, Prediction, WaterFigures
from waterlint.rules.wording import fixed, with_spread
from waterlint.version import __version__

if TYPE_CHECKING:
    from waterlint.output.chances import Chances


def render_json(predictions: Iterable[Prediction], chances: Sequence[Chances] = ()) -> str:
    """All predictions as JSON text, exactly the keys of the contract; with their chances, if any.

    Where there are chances, there are as many as predictions.
    """
    made = [as_data(prediction) for prediction in predictions]
    if chances:
        # Imported late, as in the table: few calls ask for them.
        from waterlint.output.chances import as_data as chances_data

        for data_of, chance in zip(made, chances, strict=True):
            data_of["chances"] = chances_data(chance)
    data = {"waterlint": __version__, "predictions": made}
    return json.dumps(data, indent=2, ensure_ascii=True, allow_nan=False) + "\n"


def as_data(prediction: Prediction) -> dict[str, object]:
    """One prediction as plain data; what could not be computed is `None`."""
    wort = prediction.wort
    color = prediction.color
    return {
        "path": prediction.path,
        "document": prediction.document,
        "name": prediction.name,
        "mash_water": _water(prediction.mash_water),
        "sparge_water": _water(prediction.sparge_water),
        "batch_water": _water(prediction.batch_water),
        "wort": None
        if wort is None
        else {
            "volume_l": _round(wort.volume_l),
            "ions_mg_l": {ion: _round(figure.value) for ion, figure in wort.ions.items()},
        },
        "kettle_share": {ion: _round(share) for ion, share in prediction.kettle_share.items()},
        "mash": None if prediction.mash is None else _mash(prediction.mash),
        "color": None
        if color is None
        else {"srm": _round(color.srm.value), "ebc": _round(color.ebc)},
    }


def _water(water: WaterFigures | None) -> dict[str, object] | None:
    if water is None:
        return None
    return {
        "volume_l": _round(water.volume_l),
        "ions_mg_l": {ion: _value(water.ion(ion)) for ion in water.ions},
        "ions_sd_mg_l": {ion: _sd(water.ion(ion)) for ion in water.ions},
        "ph": _value(water.ph),
        "alkalinity_mg_l_caco3": _value(water.alkalinity),
        "hardness_mg_l_caco3": _value(water.hardness),
        "residual_alkalinity_mg_l_caco3": _value(water.residual_alkalinity),
        "chloride_to_sulfate": _value(water.chloride_to_sulfate),
        "calcite_saturation_index": _round(water.calcite_saturation_index),
        "conductivity_us_cm": _round(water.conductivity),
        "ionic_strength_mol_l": _round(water.ionic_strength),
    }


def _mash(mash: MashFigures) -> dict[str, object]:
    return {
        "ph": _value(mash.ph),
        "ph_low": None if mash.ph is None else _round(mash.ph.low),
        "ph_high": None if mash.ph is None else _round(mash.ph.high),
        "reference_temperature_c": mash.reference_temperature_c,
        "thickness_l_per_kg": _round(mash.thickness_l_per_kg),
    }


def _value(figure: Figure | None) -> float | None:
    return None if figure is None else _round(figure.value)


def _sd(figure: Figure | None) -> float | None:
    return None if figure is None else _round(figure.sd)


def _round(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.7g}")


_COLUMNS = ("mash", "sparge", "batch", "wort")

#: Columns of a name, and of a figure with the blanks before it; wider where a table needs it.
_FIRST = 33
_COLUMN = 13

#: Blanks between two figures at the least: "± 0.09" and "20.59" must not become one number.
_GAP = 2


def render_table(predictions: Iterable[Prediction], chances: Sequence[Chances] = ()) -> str:
    """A table for each recipe: ions as rows, vessels as columns, ± one standard deviation.

    Where there are chances, there are as many as predictions, and each follows its own.
    """
    tables = ["\n".join(_table(prediction)) + "\n" for prediction in predictions]
    if chances:
        from waterlint.output.chances import render, render_summary

        pairs = zip(tables, chances, strict=True)
        tables = [f"{table}\n{render(chance)}" for table, chance in pairs]
        tables += filter(None, [render_summary(chances)])
    return "\n".join(tables)


def _table(prediction: Prediction) -> Iterator[str]:
    yield f"{one_line(prediction.name)} ({path_text(prediction.path)})"
    yield from _in_columns([("", *_COLUMNS), *_rows(prediction)])
    yield from _sentences(prediction)


def _rows(prediction: Prediction) -> Iterator[tuple[str, ...]]:
    """A row for each figure: its name, and what it is in each vessel."""
    waters = (prediction.mash_water, prediction.sparge_water, prediction.batch_water)

    def row(name: str, figure: Callable[[WaterFigures], str], wort: str = "") -> tuple[str, ...]:
        return (name, *("–" if water is None else figure(water) for water in waters), wort)

    wort = prediction.wort
    volume = None if wort is None else wort.volume_l
    yield row("volume [L]", lambda water: _plain(water.volume_l, 2), _plain(volume, 2))
    for ion in (*IONS, *_further(waters)):
        left = None if wort is None else wort.ions.get(ion)
        yield row(f"{ion} [mg/L]", partial(_ion, ion), _spread(left, 0))
    yield row("alkalinity [mg/L CaCO3]", lambda water: _spread(water.alkalinity, 0))
    yield row("hardness [mg/L CaCO3]", lambda water: _spread(water.hardness, 0))
    yield row(
        "residual alkalinity [mg/L CaCO3]",
        lambda water: _spread(water.residual_alkalinity, 0),
    )
    yield row("chloride to sulfate", lambda water: _spread(water.chloride_to_sulfate, 2))
    yield row("pH of the water", lambda water: _spread(water.ph, 2))
    yield row("calcite saturation index", lambda water: _plain(water.calcite_saturation_index, 2))
    yield row("conductivity [µS/cm]", lambda water: _plain(water.conductivity, 0))


def _in_columns(rows: Sequence[tuple[str, ...]]) -> Iterator[str]:
    first, *others = zip(*rows, strict=True)
    name_width = max(_FIRST, *map(len, first))
    widths = [max(_COLUMN, _GAP + max(map(len, cells))) for cells in others]
    for name, *cells in rows:
        figures = (cell.rjust(width) for cell, width in zip(cells, widths, strict=True))
        yield (name.ljust(name_width) + "".join(figures)).rstrip()


def _ion(ion: str, water: WaterFigures) -> str:
    return _spread(water.ion(ion), 0)


def _further(waters: Iterable[WaterFigures | None]) -> list[str]:
    """Ions beyond the usual ones that some vessel holds: lactate, phosphate, citrate …"""
    names = {
        ion: None
        for water in waters
        if water is not None
        for ion, figure in water.ions.items()
        if ion not in IONS and figure.value > 0.0
    }
    return list(names)


def _sentences(prediction: Prediction) -> Iterator[str]:
    mash, color = prediction.mash, prediction.color
    if mash is not None and mash.ph is not None:
        yield (
            f"The mash, {_plain(mash.thickness_l_per_kg, 1)} L/kg, should settle at pH "
            f"{mash.ph.value:.2f} (two times in three within {mash.ph.low:.2f} to "
            f"{mash.ph.high:.2f}), read on a sample cooled to "
            f"{mash.reference_temperature_c:.0f} °C."
        )
    shares = prediction.kettle_share.items()
    kettle = [f"{ion} {share:.0f}" for ion, share in shares if share is not None and share > 0.5]
    if kettle:
        yield f"Of the batch, the kettle additions alone bring [mg/L]: {', '.join(kettle)}."
    if color is not None:
        beyond = "" if color.in_range else ", beyond the range of Morey's formula"
        srm = color.srm.value
        yield f"The grist colours the beer about {color.ebc:.0f} EBC ({srm:.0f} SRM){beyond}."
    told: dict[str, None] = {}  # what two vessels lack for one reason is one thing to know
    for gap in prediction.gaps:
        is_rough = gap.figure == "mash_ph" and mash is not None and mash.ph is not None
        opening = "Known only roughly" if is_rough else "Not computed"
        told[f"{opening}: {_in_words(gap.figure)}: {gap.reason}"] = None
    yield from told


def _in_words(figure: str) -> str:
    """``mash_water.ph`` as ``mash water pH``."""
    words = figure.replace(".", " ").replace("_", " ").split()
    return " ".join("pH" if word == "ph" else word for word in words)


def _plain(value: float | None, digits: int) -> str:
    return "–" if value is None else fixed(value, digits)


def _spread(figure: Figure | None, digits: int) -> str:
    return "–" if figure is None else with_spread(figure.value, figure.sd, digits)
