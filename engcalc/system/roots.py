"""Root of a falling function for every member at once: bracketed, so that it always ends."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from engcalc.units import Array

_GRID = 33  # points at which a small ensemble looks at once: there a call costs more than its arithmetic
_SMALL = 400  # members; up to here the grid is used
_LIMIT = 80  # steps; bisection alone needs 50
_TOLERANCE = 1e-15  # of the larger end of the bracket


@dataclass(frozen=True, eq=False)
class Root:
    """Where a function crosses zero, and its value at the upper end of the bracket."""

    x: Array
    at_high: Array


def falling_root(f: Callable[[Array], Array], low: Array, high: Array, enough: Array) -> Root:
    """Root of ``f`` between ``low`` and ``high`` for each element, ``f`` falling with f(low) >= 0 >= f(high).

    ``low`` and ``high`` have one shape (..., members); ``f`` takes arrays of that shape, or with one more axis in
    front, and answers in the same shape; an element has converged where |f| is at most ``enough``. Where the signs at
    the ends are not as said, the nearer end is answered.
    Chandrupatla, Adv. Eng. Software 28 (1997) 145-149, each element frozen as it converges.
    """
    scale = np.maximum(np.abs(low), np.abs(high))
    if low.size <= _SMALL:
        low, high, f_low, f_high, at_high = _narrowed(f, low, high)
        low, high, f_low, f_high, _ = _narrowed(f, low, high)
    else:
        f_low, at_high = f(low), f(high)
        f_high = at_high
    return Root(_chandrupatla(f, low, high, f_low, f_high, _TOLERANCE * scale, enough), at_high)


def _narrowed(f: Callable[[Array], Array], low: Array, high: Array) -> tuple[Array, Array, Array, Array, Array]:
    """The bracket cut to one step of a grid, f at its ends, and f at the old upper end."""
    share = np.linspace(0.0, 1.0, _GRID).reshape(-1, *(1,) * low.ndim)
    x = low + share * (high - low)
    x[-1] = high
    y = f(x)
    last = np.clip(np.sum(np.logical_and.accumulate(y > 0.0, axis=0), axis=0), 1, _GRID - 1)[None]
    pick = [np.take_along_axis(v, i, axis=0)[0] for v in (x, y) for i in (last - 1, last)]
    return pick[0], pick[1], pick[2], pick[3], y[-1]


def _chandrupatla(f: Callable[[Array], Array], low: Array, high: Array, f_low: Array, f_high: Array, tolerance: Array,
                  enough: Array) -> Array:
    a, b, fa, fb = high, low, f_high, f_low
    done = (fa >= 0.0) | (fb <= 0.0)
    answer = np.where(fa >= 0.0, a, b)
    t = _secant(fa, fb)
    for _ in range(_LIMIT):
        if done.all():
            break
        x = a + t * (b - a)
        fx = f(x)
        same = (fx > 0.0) == (fa > 0.0)
        c, fc = np.where(same, a, b), np.where(same, fa, fb)
        b, fb = np.where(same, b, a), np.where(same, fb, fa)
        a, fa = x, fx
        width = np.abs(b - a)
        best = np.where(np.abs(fa) < np.abs(fb), a, b)
        least = tolerance / np.maximum(width, 1e-300)
        ends = (least > 0.5) | (np.abs(fx) <= enough)
        answer = np.where(done, answer, best)
        done = done | ends
        t = np.clip(_next(a, b, c, fa, fb, fc), np.minimum(least, 0.5), 1.0 - np.minimum(least, 0.5))
    return answer


def _secant(fa: Array, fb: Array) -> Array:
    """First look: where the chord crosses, kept off the ends."""
    span = fa - fb
    return np.asarray(np.clip(fa / np.where(span == 0.0, 1.0, span), 0.02, 0.98))


def _next(a: Array, b: Array, c: Array, fa: Array, fb: Array, fc: Array) -> Array:
    """Where in a..b to look next: inverse quadratic where it is safe, else the middle."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):  # equal ordinates: not used then
        xi, ratio = (a - b) / (c - b), (fa - fb) / (fc - fb)
        safe = (ratio**2 < xi) & ((1.0 - ratio) ** 2 < 1.0 - xi)
        quadratic = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
    return np.where(safe & np.isfinite(quadratic), quadratic, 0.5)
