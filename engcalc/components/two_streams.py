"""Exchangers of two streams of any kind: shell and tube, crossflow, double pipe, alone or several in series.

The engine's cores are crossflow with coolant in the tubes (:mod:`engcalc.components.exchanger`); a bench has others.
Symbols as there, all SI, members on the last axis: NTU = UA/Cmin [-], Cr = Cmin/Cmax [-], effectiveness =
Q/(Cmin (T_hot_in - T_cold_in)) [-]; F [-] corrects the logarithmic mean temperature difference of counterflow.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engcalc.components.exchanger import Arrangement, NTU_from_effectiveness, effectiveness
from engcalc.units import Array

_WHOLE = 1.0 - 1e-15  # -; an effectiveness of 1 has no finite NTU
_BALANCED = 1e-9  # -; Cmax less Cmin in shares of Cmax, below which the limit of equal rates is taken


class Passing(StrEnum):
    """How two streams pass each other; the values are the words of the case file."""

    COUNTERFLOW = "counterflow"
    PARALLEL = "parallel flow"
    SHELL_1_2 = "shell and tube 1-2"
    SHELL_2_4 = "shell and tube 2-4"
    BOTH_UNMIXED = "crossflow, both unmixed"
    HOT_MIXED = "crossflow, hot mixed"
    COLD_MIXED = "crossflow, cold mixed"
    BOTH_MIXED = "crossflow, both mixed"


SHELLS = (Passing.SHELL_1_2, Passing.SHELL_2_4)
_OWN: dict[Passing, Arrangement] = {
    Passing.COUNTERFLOW: Arrangement.COUNTERFLOW,
    Passing.PARALLEL: Arrangement.PARALLEL,
    Passing.BOTH_UNMIXED: Arrangement.BOTH_UNMIXED,
    Passing.HOT_MIXED: Arrangement.COOLANT_MIXED,
    Passing.COLD_MIXED: Arrangement.AIR_MIXED,
    Passing.BOTH_MIXED: Arrangement.BOTH_MIXED,
}
"""The arrangements that cores have too; there the hot stream is the coolant and the cold one the air."""


@dataclass(frozen=True, eq=False)
class SizeFound:
    """NTU [-] that an effectiveness asks for, 0 where none does; ``highest`` is what the arrangement cannot exceed."""

    NTU: Array
    possible: NDArray[np.bool_]
    highest: Array


def units_in_series(passing: Passing, passes: int = 1) -> int:
    """How many equal units the streams go through one after the other, counterflow over all.

    A 2-4 exchanger is two shells of 1-2; ``passes`` are those of a crossflow, or exchangers in a row.
    """
    return passes * (2 if passing is Passing.SHELL_2_4 else 1)


def _shell(NTU: Array, Cr: Array) -> Array:
    """One shell pass, two (four, six ...) tube passes, the shell mixed.

    2/{1 + Cr + s coth(NTU s/2)}, s = sqrt(1 + Cr^2): Incropera et al., 7th ed., Eq. 11.30a; Bowman, Mueller and Nagle,
    Trans. ASME 62 (1940) 283. Either stream may be in the shell.
    """
    s = np.sqrt(1.0 + Cr**2)
    half = np.maximum(0.5 * NTU * s, 1e-300)
    return np.asarray(2.0 / (1.0 + Cr + s / np.tanh(half)))


def _shell_size(eps: Array, Cr: Array) -> tuple[Array, Array]:
    """NTU of :func:`_shell` and its highest effectiveness. Incropera et al., 7th ed., Eq. 11.30b and c."""
    s = np.sqrt(1.0 + Cr**2)
    highest = 2.0 / (1.0 + Cr + s)
    E = (2.0 / np.maximum(np.minimum(eps, highest * _WHOLE), 1e-12) - 1.0 - Cr) / s
    return np.asarray(-np.log((E - 1.0) / (E + 1.0)) / s), highest


def _counterflow_size(eps: Array, Cr: Array) -> tuple[Array, Array]:
    """NTU of counterflow, ln[1 + (1 - Cr) r]/(1 - Cr) with r = eps/(1 - eps), and its highest effectiveness."""
    e = np.clip(eps, 0.0, _WHOLE)
    r = e / (1.0 - e)
    short = 1.0 - Cr
    unlike = np.maximum(short, _BALANCED)
    NTU = np.where(short > _BALANCED, np.log1p(unlike * r) / unlike, r)
    return NTU, np.ones(np.shape(eps))


def _parallel_size(eps: Array, Cr: Array) -> tuple[Array, Array]:
    """NTU of parallel flow, -ln[1 - (1 + Cr) eps]/(1 + Cr), and its highest effectiveness."""
    highest = 1.0 / (1.0 + Cr)
    e = np.clip(eps, 0.0, _WHOLE * highest)
    return np.asarray(-np.log1p(-(1.0 + Cr) * e) / (1.0 + Cr)), highest


_TURNED: dict[Passing, Callable[[Array, Array], tuple[Array, Array]]] = {
    Passing.COUNTERFLOW: _counterflow_size,
    Passing.PARALLEL: _parallel_size,
    Passing.SHELL_1_2: _shell_size,
    Passing.SHELL_2_4: _shell_size,
}
"""Arrangements whose formula can be turned round; of the others the root is looked for."""


def _of_units(one: Array, Cr: Array, count: float) -> Array:
    """Effectiveness of ``count`` units of effectiveness ``one``; of a part of a unit where ``count`` is below 1.

    With r = eps/(1 - eps) the law for a series (Incropera et al., Eq. 11.31a) reads: 1 + (1 - Cr) r is that of one unit
    to the power of their number; with equal rates r itself is multiplied.
    """
    r = np.minimum(one, _WHOLE) / (1.0 - np.minimum(one, _WHOLE))
    short = 1.0 - Cr
    unlike = np.maximum(short, _BALANCED)
    unbalanced = np.expm1(count * np.log1p(unlike * r)) / unlike
    together = np.where(short > _BALANCED, unbalanced, count * r)
    return np.asarray(together / (1.0 + together))


def passed_share(
    NTU: ArrayLike, Cr: ArrayLike, passing: Passing, hot_is_min: ArrayLike = False, passes: int = 1
) -> Array:
    """Effectiveness [-] of an exchanger of ``NTU`` [-] in all; ``hot_is_min`` matters where one stream is mixed.

    Raises RangeError for a negative or not finite NTU and for Cr outside 0..1.

    >>> passed_share(1.0, 0.5, Passing.SHELL_1_2).round(4)
    array([0.5399])
    """
    N, C, hot = np.broadcast_arrays(np.atleast_1d(NTU), np.atleast_1d(Cr), np.atleast_1d(hot_is_min))
    count = units_in_series(passing, passes)
    checked = effectiveness(N, C, Arrangement.COUNTERFLOW)  # refuses what lies outside
    each = np.asarray(N, dtype=np.float64) / count
    one = _shell(each, C) if passing in SHELLS else effectiveness(each, C, _OWN[passing], hot)
    return np.where(checked > 0.0, one if count == 1 else _of_units(one, C, count), 0.0)


def size_for(
    eps: ArrayLike, Cr: ArrayLike, passing: Passing, hot_is_min: ArrayLike = False, passes: int = 1
) -> SizeFound:
    """NTU [-] in all that gives effectiveness ``eps`` [-]: the inverse of :func:`passed_share`."""
    e, C, hot = np.broadcast_arrays(np.atleast_1d(eps), np.atleast_1d(Cr), np.atleast_1d(hot_is_min))
    e = np.asarray(e, dtype=np.float64)
    count = units_in_series(passing, passes)
    one = e if count == 1 else _of_units(np.clip(e, 0.0, _WHOLE), C, 1.0 / count)
    if passing in _TURNED:
        NTU, most = _TURNED[passing](one, C)
    else:
        found = NTU_from_effectiveness(one, C, _OWN[passing], hot)
        NTU = found.NTU
        most = found.highest
    highest = most if count == 1 else _of_units(most, C, count)
    possible = (e >= 0.0) & (e < highest)
    return SizeFound(np.where(possible & (e > 0.0), count * NTU, 0.0), possible, np.asarray(highest))


def correction(NTU: ArrayLike, Cr: ArrayLike, eps: ArrayLike) -> Array:
    """F [-]: the NTU with which counterflow would pass on the same over the NTU that is needed; 1 where NTU is 0."""
    N, C, e = (np.asarray(x, dtype=np.float64) for x in np.broadcast_arrays(NTU, Cr, eps))
    counter, _ = _counterflow_size(np.atleast_1d(e), np.atleast_1d(C))
    return np.where(N > 0.0, counter / np.maximum(np.atleast_1d(N), 1e-300), 1.0)
