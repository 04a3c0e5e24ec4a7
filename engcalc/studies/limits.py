"""The two ambient results, never to be mixed.

limiting ambient: solved; the ambient at which the duty's limit is just held, with the valve free, the fan under its
    control and the air's density as it then is.
air-to-boil: SAE J1393, 100 degC less engine outlet plus ambient, with the valve HELD OPEN and the fan on. On a
    regulating valve or a switching fan the formula has no meaning.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from engcalc.case.conditions import Conditions
from engcalc.system.state import OperatingPoint
from engcalc.units import Array

AIR_TO_BOIL_REFERENCE = 373.15  # K; the 100 degC of SAE J1393
AMBIENT_RANGE = (213.15, 343.15)  # K; -60 to 70 degC, what a duty may be given
CLOSE = 0.02  # K; how near to the limit the engine outlet has to come; a fifth of the 0.1 K that is promised
NARROW = 1e-4  # K; a bracket narrower than this holds a jump
MOST_STEPS = 60


class AmbientFound(IntEnum):
    """Whether the ambient lies in the range that a duty may be given."""

    YES = 0
    ABOVE = 1  # the limit holds in the hottest air
    BELOW = 2  # the limit breaks in the coldest air


@dataclass(frozen=True, eq=False)
class LimitingAmbient:
    """The limiting ambient of each duty; at the end of the range where it lies beyond."""

    ambient: Array  # K
    found: NDArray[np.int64]  # Found
    coolant_out: Array  # K, at that ambient: within ``CLOSE`` of the limit where found


def air_to_boil(coolant_out: Array, ambient: Array) -> Array:
    """100 degC - T_out + T_amb [K], engine outlet with the valve held open; SAE J1393 (2023)."""
    return np.asarray(AIR_TO_BOIL_REFERENCE - coolant_out + ambient)


def excess(point: OperatingPoint, limit: Array) -> Array:
    """Settled peak over the limit [K]; where nothing settles below boiling, the boiling point over it, plus 1 K."""
    over = point.peak - limit
    return np.asarray(np.where(point.solved, over, np.maximum(over, 0.0) + 1.0))


def limiting_ambient(
    over: Callable[[Conditions], Array], conditions: Conditions, limit: Array, guess: Array | None = None
) -> LimitingAmbient:
    """The ambient at which each member's limit is just held, all members in each step.

    ``over`` tells how far the peak is over the limit [K] under conditions of the same members (:func:`excess` of the
    settled one, or what is reached in the duty's time); ``limit`` [K] and ``guess`` [K] (a first ambient) have the
    members' shape. Bracketed secant: above full opening the engine outlet rises about kelvin for kelvin with the
    ambient, so a first step of slope 1 lands close; it is halved where that is slow. Where the outlet jumps over the
    limit (a fan that switches) the coolest side of the jump is given.
    """
    n = conditions.count
    low = np.full(n, AMBIENT_RANGE[0])
    high = np.full(n, AMBIENT_RANGE[1])
    x = np.clip(np.broadcast_to(conditions.ambient if guess is None else guess, (n,)), low, high)
    found = np.full(n, AmbientFound.YES, dtype=np.int64)
    x_before = x
    f_before = np.full(n, np.inf)
    best = x
    best_f = f_before
    open_ = np.ones(n, dtype=np.bool_)
    for step in range(MOST_STEPS):
        f = over(conditions.replace(ambient=x))
        holds = f <= 0.0
        off = np.abs(f)
        better = open_ & (holds | ~np.isfinite(best_f) | (off <= CLOSE) | (best_f > 0.0))
        best = np.where(better, x, best)
        best_f = np.where(better, f, best_f)
        found = np.where(open_, _at_an_end(x, holds), found)
        low = np.where(open_ & holds, x, low)
        high = np.where(open_ & ~holds, x, high)
        open_ = open_ & (off > CLOSE) & (found == AmbientFound.YES) & (high - low > NARROW)
        if not open_.any():
            break
        following = _following(x, f, x_before, f_before, low, high, step)
        x_before = x
        f_before = f
        x = np.where(open_, following, x)
    return LimitingAmbient(best, found, np.asarray(limit + best_f))


def _at_an_end(x: Array, holds: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Whether an ambient at an end of the range already tells: at the highest it holds, at the lowest it does not."""
    above = holds & (x >= AMBIENT_RANGE[1])
    below = ~holds & (x <= AMBIENT_RANGE[0])
    return np.where(above, AmbientFound.ABOVE, np.where(below, AmbientFound.BELOW, AmbientFound.YES))


def _following(x: Array, f: Array, x_before: Array, f_before: Array, low: Array, high: Array, step: int) -> Array:
    """The next ambient [K] to try: along the secant, within the bracket, its middle at every fourth step."""
    run = x - x_before
    usable = np.isfinite(f_before) & (np.abs(run) > NARROW)
    slope = np.where(usable, (f - np.where(usable, f_before, 0.0)) / np.where(usable, run, 1.0), 1.0)
    along = x - f / np.clip(slope, 0.5, 3.0)  # kelvin per kelvin; flatter where the valve regulates: then 0.5
    middle = 0.5 * (low + high)
    at_end = np.where(high >= AMBIENT_RANGE[1], AMBIENT_RANGE[1], middle)  # an end not yet looked at
    at_start = np.where(low <= AMBIENT_RANGE[0], AMBIENT_RANGE[0], middle)
    inside = np.where(along >= high, at_end, np.where(along <= low, at_start, along))
    return np.asarray(middle if step % 4 == 3 else inside)
