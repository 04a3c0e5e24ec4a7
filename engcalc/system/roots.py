"""Root of a falling function for every member at once: bracketed, so that it always ends."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engcalc.units import Array

_GRID = 33  # points at which a small ensemble looks at once: there a call costs more than its arithmetic
_SMALL = 400  # members; up to here the grid is used
_FEW = 0.4  # of the members still waiting: then it pays to go on with those alone
_LIMIT = 80  # steps; bisection alone needs 50
_TOLERANCE = 1e-15  # of the larger end of the bracket


Some = Callable[[NDArray[np.intp]], Callable[[Array], Array]]
"""The function for some of the members, by their index."""


@dataclass(frozen=True, eq=False)
class Root:
    """Where a function crosses zero, and its value at the upper end of the bracket."""

    x: Array
    at_high: Array


def falling_root(
    f: Callable[[Array], Array],
    low: Array,
    high: Array,
    enough: Array,
    bends: tuple[Array, ...] = (),
    some: Some | None = None,
) -> Root:
    """Root of ``f`` between ``low`` and ``high`` for each element, ``f`` falling with f(low) >= 0 >= f(high).

    ``low`` and ``high`` have one shape (..., members); ``f`` takes arrays of that shape, or with one more axis in
    front, and answers in the same shape; an element has converged where |f| is at most ``enough``. Where the signs at
    the ends are not as said, the nearer end is answered. ``bends``, rising, are where ``f`` bends sharply: a large
    ensemble is cut there first, so that what is left of each bracket is smooth. ``some`` gives ``f`` for some members:
    with it a large ensemble leaves behind the members that have converged.
    Chandrupatla, Adv. Eng. Software 28 (1997) 145-149, each element frozen as it converges.
    """
    tolerance = _TOLERANCE * np.maximum(np.abs(low), np.abs(high))
    if low.size <= _SMALL:
        first = _narrowed(f, low, high)
        bracket, at_high = _narrowed(f, first.a, first.b), first.at_high
    else:
        bracket = _cut(f, low, high, bends)
        at_high = bracket.at_high
    return Root(_chandrupatla(f, bracket, tolerance, np.broadcast_to(enough, low.shape), some), at_high)


@dataclass(frozen=True, eq=False)
class _Bracket:
    """f falls from a to b; c lies before a, or is a where nothing lies before it."""

    a: Array
    b: Array
    c: Array
    fa: Array
    fb: Array
    fc: Array
    at_high: Array  # f at the upper end of the grid


def _narrowed(f: Callable[[Array], Array], low: Array, high: Array) -> _Bracket:
    """One step of a grid between ``low`` and ``high``."""
    share = np.linspace(0.0, 1.0, _GRID).reshape(-1, *(1,) * low.ndim)
    x = low + share * (high - low)
    x[-1] = high
    y = np.broadcast_to(f(x), x.shape)
    b = np.clip(np.sum(np.logical_and.accumulate(y > 0.0, axis=0), axis=0), 1, _GRID - 1)
    where = np.stack((b - 1, b, np.maximum(b - 2, 0)))
    (xa, xb, xc), (ya, yb, yc) = np.take_along_axis(x, where, axis=0), np.take_along_axis(y, where, axis=0)
    return _Bracket(xa, xb, xc, ya, yb, yc, y[-1])


def _cut(f: Callable[[Array], Array], low: Array, high: Array, bends: tuple[Array, ...]) -> _Bracket:
    """The piece between two bends, or a bend and an end, in which ``f`` crosses zero."""
    a, b, fa, fb = low, high, f(low), f(high)
    at_high = fb
    for bend in bends:
        x = np.minimum(np.maximum(bend, low), high)
        y = f(x)
        rises = (y > 0.0) & (x >= a)
        falls = (y <= 0.0) & (x <= b)
        a, fa = np.where(rises, x, a), np.where(rises, y, fa)
        b, fb = np.where(falls, x, b), np.where(falls, y, fb)
    return _Bracket(a, b, a, fa, fb, fa, at_high)


def _chandrupatla(
    f: Callable[[Array], Array], start: _Bracket, tolerance: Array, enough: Array, some: Some | None
) -> Array:
    a, b, c, fa, fb, fc = start.a, start.b, start.c, start.fa, start.fb, start.fc
    done = (fa <= 0.0) | (fb >= 0.0)
    answer = np.where(fb >= 0.0, b, a)
    t = _next(a, b, c, fa, fb, fc, _secant(fa, fb))
    for _ in range(_LIMIT):
        waiting = np.flatnonzero(~done.reshape(-1, done.shape[-1]).all(axis=0))
        if waiting.size == 0:
            break
        if some is not None and waiting.size < _FEW * done.shape[-1] and done.size > _SMALL:
            rest = _chandrupatla(
                some(waiting), _falling(a, b, fa, fb, waiting), tolerance[..., waiting], enough[..., waiting], None
            )
            answer[..., waiting] = np.where(done[..., waiting], answer[..., waiting], rest)
            break
        x = a + t * (b - a)
        fx = f(x)
        same = (fx > 0.0) == (fa > 0.0)
        c, fc = np.where(same, a, b), np.where(same, fa, fb)
        b, fb = np.where(same, b, a), np.where(same, fb, fa)
        a, fa = x, fx
        least = tolerance / np.maximum(np.abs(b - a), 1e-300)
        answer = np.where(done, answer, np.where(np.abs(fa) < np.abs(fb), a, b))
        done = done | (least > 0.5) | (np.abs(fx) <= enough)
        t = np.clip(_next(a, b, c, fa, fb, fc, 0.5), np.minimum(least, 0.5), 1.0 - np.minimum(least, 0.5))
    return answer


def _falling(a: Array, b: Array, fa: Array, fb: Array, members: NDArray[np.intp]) -> _Bracket:
    """The bracket of some members, its upper value first."""
    a, b, fa, fb = (v[..., members] for v in (a, b, fa, fb))
    up = fa > 0.0
    low, f_low = np.where(up, a, b), np.where(up, fa, fb)
    return _Bracket(low, np.where(up, b, a), low, f_low, np.where(up, fb, fa), f_low, f_low)


def _secant(fa: Array, fb: Array) -> Array:
    """Where the chord crosses, kept off the ends."""
    span = fa - fb
    return np.asarray(np.clip(fa / np.where(span == 0.0, 1.0, span), 0.02, 0.98))


def _next(a: Array, b: Array, c: Array, fa: Array, fb: Array, fc: Array, otherwise: Array | float) -> Array:
    """Where in a..b to look next [-]: inverse quadratic where it is safe."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):  # equal ordinates: not used then
        xi, ratio = (a - b) / (c - b), (fa - fb) / (fc - fb)
        safe = (ratio**2 < xi) & ((1.0 - ratio) ** 2 < 1.0 - xi)
        quadratic = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
    return np.where(safe & np.isfinite(quadratic), quadratic, otherwise)
