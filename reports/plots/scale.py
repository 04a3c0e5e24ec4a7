"""Axes: limits and ticks at round numbers, and the conversion of SI values into the unit that is shown."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from engcalc.units import Array, UnitSystem, raised, to_unit, unit_for
from reports.plots.describe import Axis, LabelledPoint

MOST_TICKS = 7
NAME_WIDTH, NAME_HEIGHT = 0.45, 0.12  # of a chart half a page wide, that a point's name takes
LEAST_SPAN = 1e-10  # of an axis, in the unit shown; less is what rounding leaves, and ticks would be printed alike
STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


def shown(values: ArrayLike, kind: str, system: UnitSystem) -> Array:
    """SI values of a kind in the unit in which the system shows it; read-only, shape kept."""
    unit = unit_for(kind, system)
    given = np.asarray(values, dtype=np.float64)
    result = np.array([to_unit(float(v), unit, kind) for v in given.ravel()], dtype=np.float64).reshape(given.shape)
    result.setflags(write=False)
    return result


def shown_one(value: float, kind: str, system: UnitSystem) -> float:
    """One SI value in the unit in which the system shows it."""
    return to_unit(float(value), unit_for(kind, system), kind)


def axis(
    label: str, kind: str, system: UnitSystem, values: Iterable[float], *, zero: bool = False, most: int = MOST_TICKS
) -> Axis:
    """An axis that holds all of ``values`` (already in the unit shown), with round limits; ``zero`` takes 0 in."""
    finite = [float(v) for v in values if math.isfinite(v)]
    low, high = (min(finite), max(finite)) if finite else (0.0, 1.0)
    if zero:
        low, high = min(low, 0.0), max(high, 0.0)
    ticks = round_ticks(low, high, most)
    return Axis(label, kind, raised(unit_for(kind, system)), (ticks[0], ticks[-1]), ticks)


def round_ticks(low: float, high: float, most: int = MOST_TICKS) -> tuple[float, ...]:
    """Ticks at round numbers from at or below ``low`` to at or above ``high``.

    >>> round_ticks(71.2, 118.0)
    (70.0, 80.0, 90.0, 100.0, 110.0, 120.0)
    """
    if high - low <= LEAST_SPAN:
        wide = max(abs(low) * 0.05, 0.5)
        low, high = low - wide, high + wide
    step = _step((high - low) / (most - 1))
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return tuple(round(i * step, 12) for i in range(first, last + 1))


def _step(least: float) -> float:
    size = 10.0 ** math.floor(math.log10(least))
    return next(factor * size for factor in STEPS if factor * size >= least * (1.0 - 1e-9))


def named_apart(spots: Sequence[LabelledPoint], across: Axis, up: Axis) -> tuple[LabelledPoint, ...]:
    """The points, of which one that lies close to a named one keeps no words: names over one another tell nothing.

    The last of them are named first: problems and what was picked out stand there.
    """
    kept: list[LabelledPoint] = []
    for spot in reversed(spots):
        clear = not any(one.words and _is_close(spot, one, across, up) for one in kept)
        kept.append(spot if clear else replace(spot, words=""))
    return tuple(reversed(kept))


def _is_close(one: LabelledPoint, other: LabelledPoint, across: Axis, up: Axis) -> bool:
    """Whether the names of two points would lie over one another."""
    wide, high = across.limits[1] - across.limits[0], up.limits[1] - up.limits[0]
    return abs(one.x - other.x) < NAME_WIDTH * wide and abs(one.y - other.y) < NAME_HEIGHT * high


def tick_words(axis: Axis) -> tuple[str, ...]:
    """The ticks in words, all with as many decimals as their step needs."""
    ticks = axis.ticks
    step = min((b - a for a, b in pairwise(ticks)), default=1.0)
    places = max(0, -math.floor(math.log10(step) + 1e-9))
    if round(step * 10.0**places, 6) % 1.0:
        places += 1  # steps of 2.5 and 0.25
    return tuple(f"{t:.{places}f}".replace("-0.0", "0.0") if t else f"{0:.{places}f}" for t in ticks)
