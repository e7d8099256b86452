"""Waters and doses drawn at random: what vessels hold, by the same rules as the prediction."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from waterlint.chances.draws import Draws
from waterlint.hints import TYPE_CHECKING, Final
from waterlint.prediction.contents import Contents, DosePart
from waterlint.prediction.doses import LIQUOR_VESSELS
from waterlint.prediction.rows import ALKALINITY, CARBON, INDEX, ROWS
from waterlint.prediction.sources import SourceWater

if TYPE_CHECKING:
    from waterlint.chances.draws import Samples

_ALKALINITY: Final = INDEX[ALKALINITY]
_CARBON: Final = INDEX[CARBON]

#: What can be no less than nothing; alkalinity below nothing is strong acid.
_AMOUNTS: Final = [place for place in range(len(ROWS)) if place != _ALKALINITY]

LEAST_VOLUME: Final = 0.05
"""No draw of a volume is less than this fraction of what the recipe says [-]; common practice:
nobody misreads a kettle by more."""


class Vessels:
    """The vessels of a recipe in every draw.

    Parameters
    ----------
    contents : mapping of str to Contents
        By vessel, as the recipe fills them.
    draws : Draws
    """

    def __init__(self, contents: Mapping[str, Contents], draws: Draws) -> None:
        import numpy as np

        self._contents = contents
        self._draws = draws
        self._sources: dict[int, Samples] = {}
        self._waters: dict[str, Samples] = {}
        self._totals: dict[str, Samples] = {}
        self._labels = _labels(contents.values())
        #: By vessel, shape (n,) [L].
        self.volumes = {name: self._volume(each) for name, each in contents.items()}
        liquor = [volume for name, volume in self.volumes.items() if name in LIQUOR_VESSELS]
        self._liquor = sum(liquor, np.zeros(draws.samples))

    def _volume(self, contents: Contents) -> Samples:
        import numpy as np

        if not contents.volume_sd:
            return np.full(self._draws.samples, contents.volume)
        z = self._draws.normal("volumes", contents.name)
        drawn = contents.volume + contents.volume_sd * z
        return np.maximum(drawn, LEAST_VOLUME * contents.volume)

    def water(self, name: str) -> Samples:
        """A vessel's own water, shape (rows, n) [per L]."""
        import numpy as np

        if name not in self._waters:
            total = np.zeros((len(ROWS), self._draws.samples))
            for part in self._contents[name].waters:
                total += part.share * self._source(part.source)
            self._waters[name] = total
        return self._waters[name]

    def _source(self, source: SourceWater) -> Samples:
        """A water before anything is added; the same object is the same variable."""
        drawn = self._sources.get(id(source))
        if drawn is None:
            drawn = self._sources[id(source)] = self._draw(source)
        return drawn

    def _draw(self, source: SourceWater) -> Samples:
        import numpy as np

        label = self._labels[id(source)]
        rows = np.repeat(np.array(source.values)[:, None], self._draws.samples, axis=1)
        for kind, spread in (("report", source.sd_report), ("seasons", source.sd_seasons)):
            for place, sd in enumerate(spread):
                if not sd:
                    continue
                move = sd * self._draws.normal(kind, label, ROWS[place])
                rows[place] += move
                if place == _ALKALINITY:
                    rows[_CARBON] += source.carbon_per_alkalinity * move
        for number, (kind, moves) in enumerate(source.joint):
            rows += np.outer(moves, self._draws.normal(kind, label, "joint", number))
        rows[_AMOUNTS] = np.maximum(rows[_AMOUNTS], 0.0)
        return rows

    def factor(self, vessel: str, dose: DosePart) -> Samples:
        """How much of a dose gets into a vessel, of what the recipe says, shape (n,)."""
        import numpy as np

        factor = np.ones(self._draws.samples)
        if dose.weighing_sd:
            factor += dose.weighing_sd * self._draws.normal("weighing", dose.pointer)
        factor = np.maximum(factor, 0.0)
        contents = self._contents[vessel]
        if dose.place == "liquor" and contents.liquor_volume:
            # The vessel's part of the liquor follows its volume.
            factor *= self.volumes[vessel] / contents.volume
            factor *= contents.liquor_volume / self._liquor
        return factor

    def chalk(self, dose: DosePart) -> Samples:
        """How much of chalk dissolves, of what is credited to it, shape (n,)."""
        import numpy as np

        if not dose.chalk_sd:
            return np.ones(self._draws.samples)
        z = self._draws.normal("treatment", "chalk")
        return np.maximum(1.0 + dose.chalk_sd * z, 0.0)

    def total(self, vessel: str) -> Samples:
        """All that is in a vessel, shape (rows, n)."""
        if vessel not in self._totals:
            self._totals[vessel] = self.with_doses(vessel, self._contents[vessel].doses)
        return self._totals[vessel]

    def with_doses(self, vessel: str, doses: Iterable[DosePart]) -> Samples:
        """A vessel's water and some of its doses, shape (rows, n)."""
        total = self.water(vessel) * self.volumes[vessel]
        for dose in doses:
            factor = self.factor(vessel, dose) * self.chalk(dose)
            for place, amount in enumerate(dose.amounts):
                if amount:
                    total[place] += amount * factor
        return total

    def mixed(self, names: Iterable[str]) -> Samples | None:
        """Vessels mixed as they are, shape (rows, n) [per L]; `None` where there is no water."""
        names = list(names)
        if not any(self._contents[name].volume > 0.0 for name in names):
            return None
        total = sum(self.total(name) for name in names[1:])
        volume = sum(self.volumes[name] for name in names)
        mixture: Samples = (self.total(names[0]) + total) / volume
        return mixture


def _labels(vessels: Iterable[Contents]) -> dict[int, str]:
    """A name for each water: its report's, and a number where several waters have one name."""
    labels: dict[int, str] = {}
    seen: dict[str, int] = {}
    for contents in vessels:
        for part in contents.waters:
            if id(part.source) not in labels:
                number = seen[part.source.label] = seen.get(part.source.label, 0) + 1
                labels[id(part.source)] = f"{part.source.label} {number}"
    return labels
