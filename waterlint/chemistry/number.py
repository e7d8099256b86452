"""The type of what a formula takes that serves single figures and arrays alike."""

from __future__ import annotations

from waterlint.hints import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Number = TypeVar("Number", float, NDArray[np.float64])
else:  # numpy stays unimported until someone brings arrays
    Number = TypeVar("Number")
