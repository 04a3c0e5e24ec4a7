"""Root of a falling function for every member at once: bracketed, so that it always ends."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engcalc.components.shapes import shaped
from engcalc.units import Array

_GRID = 49  # points at which a small ensemble looks at once: there a call costs more than its arithmetic
_SMALL = 100  # members; up to here the grid is used
_GRIDS = 3  # about the expected root, after the first
_ABOUT = 16  # points to each side of it
_CLOSE = 1e-5  # of the bracket, at which the nearest of them lies; the farthest at all of it
_MANY = 400  # members, from which it pays to go on with those alone that still wait
_FEW = 0.4  # the share of them still waiting at which it does
_BESIDE = 1e-3  # of the middle two points' distance, by which a cubic may miss them and counts as at one of them
_CAUTION = 10.0  # times what cubic and parabola differ, about a root where the function is flat or bent
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
    front, and answers in the same shape; an element has converged where |f| is at most ``enough`` (one that is flat at
    its root may exceed that a little, out of a small ensemble). Where the signs at
    the ends are not as said, the nearer end is answered. ``bends``, rising, are where ``f`` bends sharply: the bracket
    is cut there first, so that what is left of it is smooth. ``some`` gives ``f`` for some members:
    with it a large ensemble leaves behind the members that have converged.
    Chandrupatla, Adv. Eng. Software 28 (1997) 145-149, each element frozen as it converges.
    """
    tolerance = _TOLERANCE * np.maximum(np.abs(low), np.abs(high))
    enough = shaped(enough, low.shape)
    if low.size > _SMALL:
        bracket = _cut(f, low, high, bends)
        return Root(_chandrupatla(f, bracket, tolerance, enough, some), bracket.at_high)
    bracket = first = _looked_at(f, _even(low, high, bends))
    for _ in range(_GRIDS):
        bracket = _looked_at(f, _about(bracket))
        if np.all(bracket.doubt <= enough):
            return Root(bracket.expected, first.at_high)
    return Root(_chandrupatla(f, bracket, tolerance, enough, some), first.at_high)


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


@dataclass(frozen=True, eq=False)
class _Looked(_Bracket):
    """A bracket out of a grid, with the root that the points about it let expect."""

    expected: Array
    doubt: Array  # by how much f may differ from 0 there


def _even(low: Array, high: Array, bends: tuple[Array, ...]) -> Array:
    """Points from ``low`` to ``high`` in even steps, the bends among them."""
    share = np.linspace(0.0, 1.0, _GRID).reshape(-1, *(1,) * low.ndim)
    x = low + share * (high - low)
    x[-1] = high
    if not bends:
        return x
    within = [np.minimum(np.maximum(bend, low), high)[None] for bend in bends]
    return np.sort(np.concatenate((x, *within)), axis=0)


def _about(first: _Looked) -> Array:
    """Points from a to b of a bracket, the denser the nearer to the root that is expected."""
    shares = _FROM_ROOT.reshape(-1, *(1,) * first.a.ndim)
    x = first.a + shares * (first.b - first.a) + (first.expected - first.a)
    return np.minimum(np.maximum(x, first.a), first.b)


_STEPS_OUT = np.geomspace(_CLOSE, 1.0, _ABOUT)
_FROM_ROOT = np.concatenate((-_STEPS_OUT[::-1], np.zeros(1), _STEPS_OUT))


def _looked_at(f: Callable[[Array], Array], x: Array) -> _Looked:
    """The bracket between two of the points ``x``, which rise along the first axis."""
    last = len(x) - 1
    y = shaped(f(x), x.shape)
    falls = y <= 0.0
    falls[-1] = True
    b = np.maximum(np.argmax(falls, axis=0), 1)
    four = (np.maximum(b - 2, 0), b - 1, b, np.minimum(b + 1, last))
    where = np.array(four).reshape(4, -1)
    column = np.arange(b.size)
    near, at = (table.reshape(last + 1, -1)[where, column].reshape(4, *b.shape) for table in (x, y))
    expected, doubt = _expected(near, at)
    return _Looked(near[1], near[2], near[0], at[1], at[2], at[0], y[-1], expected, doubt)


def _expected(x: Array, y: Array) -> tuple[Array, Array]:
    """Where y of four points is 0, by the cubic through them with x as a function of y; by how much y may differ there.

    The latter by how far that cubic and the parabolas through three of the points are apart, and no more than y falls
    between the middle two. Where the cubic leaves those two, or points fall together, their chord counts; where
    y does not change its sign, the nearer end.
    """
    a = x[1]
    b = x[2]
    fa = y[1]
    fb = y[2]
    falls = np.all(y[:-1] > y[1:], axis=0)
    distinct = np.arange(4.0, 0.0, -1.0).reshape(-1, *(1,) * a.ndim)
    cubic, parabolas = _neville(x, np.where(falls, y, distinct))
    held = np.minimum(np.maximum(cubic, a), b)
    inside = falls & (np.abs(cubic - held) <= _BESIDE * (b - a))
    fall = fa - fb
    slope = fall / np.maximum(b - a, 1e-300)
    apart = _CAUTION * np.abs(parabolas - held).max(axis=0)
    by_chord = a + _secant(fa, fb) * (b - a)
    root = np.where(inside, held, by_chord)
    doubt = np.where(inside, np.minimum(slope * apart, fall), fall)
    no_root = (fb >= 0.0) | (fa <= 0.0)
    nearer_end = np.where(fb >= 0.0, b, a)
    return np.where(no_root, nearer_end, root), np.where(no_root, 0.0, doubt)


def _neville(x: Array, y: Array) -> tuple[Array, Array]:
    """x at y = 0 by the cubic through four points, and by the two parabolas through three of them; Neville's scheme."""
    parabolas = cubic = x
    for width in (1, 2, 3):
        parabolas = cubic
        cubic = (y[width:] * cubic[:-1] - y[:-width] * cubic[1:]) / (y[width:] - y[:-width])
    return cubic[0], parabolas


def _cut(f: Callable[[Array], Array], low: Array, high: Array, bends: tuple[Array, ...]) -> _Bracket:
    """The piece between two bends, or a bend and an end, in which ``f`` crosses zero."""
    a = low
    b = high
    fa = f(low)
    fb = f(high)
    at_high = fb
    for bend in bends:
        x = np.minimum(np.maximum(bend, low), high)
        y = f(x)
        rises = (y > 0.0) & (x >= a)
        falls = (y <= 0.0) & (x <= b)
        a = np.where(rises, x, a)
        fa = np.where(rises, y, fa)
        b = np.where(falls, x, b)
        fb = np.where(falls, y, fb)
    return _Bracket(a, b, a, fa, fb, fa, at_high)


def _chandrupatla(
    f: Callable[[Array], Array], start: _Bracket, tolerance: Array, enough: Array, some: Some | None
) -> Array:
    """Root within the bracket for each element: inverse quadratic steps where these are safe, else halves."""
    a = start.a
    b = start.b
    c = start.c
    fa = start.fa
    fb = start.fb
    fc = start.fc
    done = (fa <= 0.0) | (fb >= 0.0)
    answer = np.where(fb >= 0.0, b, a)
    share = _next(a, b, c, fa, fb, fc, _secant(fa, fb))
    for _ in range(_LIMIT):
        waiting = np.flatnonzero(~done.reshape(-1, done.shape[-1]).all(axis=0))
        if waiting.size == 0:
            break
        few_left = waiting.size < _FEW * done.shape[-1] and done.size > _MANY
        if some is not None and few_left:
            bracket = _falling(a, b, fa, fb, waiting)
            rest = _chandrupatla(some(waiting), bracket, tolerance[..., waiting], enough[..., waiting], None)
            answer[..., waiting] = np.where(done[..., waiting], answer[..., waiting], rest)
            break
        x = a + share * (b - a)
        fx = f(x)
        same_side = (fx > 0.0) == (fa > 0.0)
        c = np.where(same_side, a, b)
        fc = np.where(same_side, fa, fb)
        b = np.where(same_side, b, a)
        fb = np.where(same_side, fb, fa)
        a = x
        fa = fx
        nearer = np.where(np.abs(fa) < np.abs(fb), a, b)
        answer = np.where(done, answer, nearer)
        least = tolerance / np.maximum(np.abs(b - a), 1e-300)
        done = done | (least > 0.5) | (np.abs(fx) <= enough)
        margin = np.minimum(least, 0.5)
        share = np.clip(_next(a, b, c, fa, fb, fc, 0.5), margin, 1.0 - margin)
    return answer


def _falling(a: Array, b: Array, fa: Array, fb: Array, members: NDArray[np.intp]) -> _Bracket:
    """The bracket of some members, its upper value first."""
    a, b, fa, fb = (v[..., members] for v in (a, b, fa, fb))
    up = fa > 0.0
    low = np.where(up, a, b)
    f_low = np.where(up, fa, fb)
    return _Bracket(low, np.where(up, b, a), low, f_low, np.where(up, fb, fa), f_low, f_low)


def _secant(fa: Array, fb: Array) -> Array:
    """Where the chord crosses, kept off the ends."""
    span = fa - fb
    return np.asarray(np.clip(fa / np.where(span == 0.0, 1.0, span), 0.02, 0.98))


def _next(a: Array, b: Array, c: Array, fa: Array, fb: Array, fc: Array, otherwise: Array | float) -> Array:
    """Where in a..b to look next [-]: inverse quadratic where it is safe."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):  # equal ordinates: not used then
        xi = (a - b) / (c - b)
        phi = (fa - fb) / (fc - fb)
        safe = (phi**2 < xi) & ((1.0 - phi) ** 2 < 1.0 - xi)
        by_b_and_c = fa / (fb - fa) * fc / (fb - fc)
        by_a_and_b = (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        quadratic = by_b_and_c + by_a_and_b
    return np.where(safe & np.isfinite(quadratic), quadratic, otherwise)
