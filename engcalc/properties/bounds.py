"""One way to refuse an argument that lies outside what a formula can answer."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from engcalc.errors import RangeError
from engcalc.units import Array
from engcalc.words.texts import plant_texts


def beyond(values: Array, bounds: tuple[float, float]) -> NDArray[np.bool_]:
    """Where values lie outside the closed range; NaN counts as outside."""
    low, high = bounds
    return np.asarray(~((values >= low) & (values <= high)))


def require(name: str, values: Array, bounds: tuple[float, float], unit: str) -> Array:
    """The values as a float64 array; RangeError naming the argument and the first bad value otherwise."""
    values = np.asarray(values, dtype=np.float64)
    bad = beyond(values, bounds)
    if np.any(bad):
        low, high = bounds
        unit = f" {unit}" if unit else ""
        raise RangeError(
            plant_texts.WAS_GIVEN_TO_WOULD_DO.format(name=name, flat=values[bad].flat[0], unit=unit, low=low, high=high)
        )
    return values
