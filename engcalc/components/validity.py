"""Validity ranges as data, and the one function that compares a value with its range."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engcalc.units import Array
from engcalc.words.texts import plant_texts


@dataclass(frozen=True)
class ValidRange:
    """The range of one quantity over which a correlation was fitted or is stated to hold (SI)."""

    low: float
    high: float
    unit: str  # SI; "" for a ratio
    source: str


@dataclass(frozen=True, eq=False)
class Outside:
    """One quantity that left its range, and for which members."""

    quantity: str
    value: Array
    span: ValidRange
    members: NDArray[np.bool_]

    def of_first(self, count: int) -> Outside | None:
        """The same of the first members alone; None where those stay within. What is one for all stays."""
        if self.members.size == 1:
            return self
        members = self.members[:count]
        if members.any():
            return replace(self, value=self.value[:count], members=members)
        return None

    def __str__(self) -> str:
        worst = self.value[self.members].ravel()[0]
        unit = f" {self.span.unit}" if self.span.unit else ""
        return plant_texts.LIES_OUTSIDE_TO.format(
            quantity=self.quantity, worst=worst, unit=unit, low=self.span.low, high=self.span.high
        )


def outside(spans: Mapping[str, ValidRange], values: Mapping[str, Array]) -> tuple[Outside, ...]:
    """Those of ``values`` (SI, by quantity name) that leave their span, with a mask over the members.

    A thousandth of slack keeps a value given in rounded units from failing at the very edge.
    """
    found = []
    for quantity, value in values.items():
        span = spans[quantity]
        given = np.atleast_1d(np.asarray(value, dtype=np.float64))
        members = ~((given >= span.low * 0.999) & (given <= span.high * 1.001))
        if members.any():
            found.append(Outside(quantity, given, span, members))
    return tuple(found)
