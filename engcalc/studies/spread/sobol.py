"""Scrambled Sobol points: numbers in (0, 1) that fill many dimensions evenly, of which every set is one random draw.

The sequence of I. M. Sobol in Gray-code order (Antonov & Saleev 1979) with the direction numbers of Joe & Kuo (2008).
Scrambled by random lower-triangular matrices over GF(2) and a random digital shift (J. Matousek, J. Complexity 14
(1998) 527): each point is then uniform, so that means are without bias and independent sets tell the error.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from engcalc.studies.spread.sobol_numbers import JOE_KUO
from engcalc.units import Array

BITS = 30
_ONE = np.uint64(1)


@cache
def _entries() -> tuple[tuple[int, ...], ...]:
    return tuple(tuple(int(x) for x in entry.split()) for entry in JOE_KUO.split(";"))


def most_dimensions() -> int:
    """Dimensions for which there are direction numbers."""
    return 1 + len(_entries())


@cache
def _directions(dimensions: int) -> NDArray[np.uint64]:
    """Direction numbers, shape (dimensions, BITS), as integers of ``BITS`` bits."""
    V = np.zeros((dimensions, BITS), np.uint64)
    V[0] = [1 << (BITS - 1 - j) for j in range(BITS)]
    for d in range(1, dimensions):
        polynomial, *m = _entries()[d - 1]
        s = len(m)
        v = [m[j] << (BITS - 1 - j) for j in range(min(s, BITS))]
        for j in range(s, BITS):
            new = v[j - s] ^ (v[j - s] >> s)
            for k in range(1, s):
                if polynomial >> (s - k) & 1:
                    new ^= v[j - k]
            v.append(new)
        V[d] = v
    V.flags.writeable = False
    return V


def _scrambled(V: NDArray[np.uint64], rng: np.random.Generator) -> NDArray[np.uint64]:
    """Direction numbers times a random lower-triangular matrix over GF(2) of each dimension."""
    out = np.zeros_like(V)
    for row in range(BITS):  # from the highest bit down; row r has 1 at bit r and random bits above it
        above = rng.integers(0, 1 << row, V.shape[0], dtype=np.uint64) << np.uint64(BITS - row) if row else np.uint64(0)
        mask = above | (_ONE << np.uint64(BITS - 1 - row))
        parity = np.bitwise_count(np.atleast_1d(mask)[:, None] & V).astype(np.uint64) & _ONE
        out |= parity << np.uint64(BITS - 1 - row)
    return out


def _integers(V: NDArray[np.uint64], start: int, count: int) -> NDArray[np.uint64]:
    """Points ``start`` to ``start + count`` as integers, shape (dimensions, count)."""
    index = np.arange(start, start + count, dtype=np.uint64)
    gray = index ^ (index >> _ONE)
    X = np.zeros((V.shape[0], count), np.uint64)
    for bit in range(int(start + count).bit_length()):
        X ^= (gray >> np.uint64(bit) & _ONE) * V[:, bit : bit + 1]
    return X


def sobol(dimensions: int, count: int) -> Array:
    """The first points of the sequence as it is, shape (dimensions, count), from 0 on."""
    return np.asarray(_integers(_directions(dimensions), 0, count) / 2.0**BITS)


def scrambled_sobol(dimensions: int, count: int, seed: int, start: int = 0) -> Array:
    """Scrambled points ``start`` to ``start + count``, shape (dimensions, count), all inside (0, 1).

    The same seed goes on with the same points. Dimensions beyond those that there are numbers for are plain random.
    """
    size = min(dimensions, most_dimensions())
    rng = np.random.default_rng(seed)
    V = _scrambled(_directions(size), rng)
    shift = rng.integers(0, 1 << BITS, (size, 1), dtype=np.uint64)
    even = ((_integers(V, start, count) ^ shift) + 0.5) / 2.0**BITS
    if size == dimensions:
        return np.asarray(even)
    random = np.random.default_rng([seed, 1]).uniform(1e-12, 1.0, (start + count, dimensions - size))
    return np.concatenate([even, random[start:].T])
