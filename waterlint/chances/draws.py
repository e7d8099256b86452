"""Random numbers: a stream for each uncertain input, the same whoever asks for it and when.

A stream hangs on the seed and on what the input is called, not on the order of the questions. So
a recipe gets the same draws alone, among others, and in any process; two recipes of one water see
the same years of that water; and a smaller spread is the same draws, nearer together.
"""

from __future__ import annotations

from hashlib import sha256

from waterlint.hints import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float64]

SOURCES: Final = ("report", "seasons", "treatment", "malt", "weighing", "volumes", "model")
"""What can be uncertain, in plain groups: the laboratory's figures; the supply between reports;
what boiling, lime or undissolved chalk leave; the malt lots and their crush; scale, measure and
strength; volumes as they are read off; the prediction itself and the reading of a pH meter."""


class Streams:
    """The numbers of one recipe, made when they are first asked for, in two independent rounds."""

    def __init__(self, seed: int, samples: int) -> None:
        self.seed = seed
        self.samples = samples
        self._made: dict[tuple[int, str, str], Samples] = {}

    def normal(self, round_: int, source: str, name: str) -> Samples:
        """Standard normal numbers of an input, shape (samples,)."""
        key = (round_, source, name)
        made = self._made.get(key)
        if made is None:
            import numpy as np

            text = "\0".join((str(self.seed), *map(str, key)))
            digest = sha256(text.encode("utf-8", errors="surrogatepass")).digest()
            generator = np.random.Generator(np.random.Philox(key=int.from_bytes(digest[:16])))
            made = self._made[key] = generator.standard_normal(self.samples)
        return made


class Draws:
    """One set of draws.

    Parameters
    ----------
    streams : Streams
    kept : str
        A source that is as in the first round, whatever the others are; none if empty.
    round_ : int
        From which round the others are.
    mirrored : bool
        Whether the others are on the opposite side of their middle.
    """

    def __init__(
        self, streams: Streams, kept: str = "", round_: int = 0, *, mirrored: bool = False
    ) -> None:
        self._streams = streams
        self._kept, self._round, self._mirrored = kept, round_, mirrored
        #: The sources that were asked for.
        self.asked: set[str] = set()

    @property
    def samples(self) -> int:
        """How many there are of each."""
        return self._streams.samples

    def normal(self, source: str, *name: object) -> Samples:
        """Standard normal numbers of an input, shape (samples,)."""
        self.asked.add(source)
        joined = "\0".join(map(str, name))
        if source == self._kept:
            return self._streams.normal(0, source, joined)
        drawn = self._streams.normal(self._round, source, joined)
        return -drawn if self._mirrored else drawn
