"""Effectiveness-NTU: how much of the possible heat an exchanger of a given conductance passes on.

Symbols (all SI, members on the last axis): UA [W/K] conductance; C [W/K] capacity rate (mass flow times specific
heat); NTU = UA/Cmin [-]; Cr = Cmin/Cmax [-]; effectiveness = Q/(Cmin (T_hot_in - T_cold_in)) [-].

The hot stream is the coolant and the cold stream is the air throughout (radiator and heater core alike); that is
what AIR_MIXED and COOLANT_MIXED refer to.

Formulas: Shah & Sekulic, Fundamentals of Heat Exchanger Design (2003), Table 3.3; Incropera 7e, Table 11.3 and
Eq. 11.32 for the approximation. They are written here with phi(x) = (1 - exp(-x))/x, which has no hole at Cr = 0,
at Cr = 1 or at NTU = 0.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum, IntEnum
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engcalc.components.roots import falling_root
from engcalc.errors import RangeError
from engcalc.units import Array
from engcalc.words.texts import plant_texts

NTU_MAX = 1.0e4  # -; above it the value at it is given: no effectiveness here then moves by more than 0.6 %
_NTU_MIN = 1.0e-12  # -; the least that the inverse looks for
_NEAR = 4.0  # times counterflow's size: most crossflows have no more
_GRADES = (1.0, 3.0, 12.0, 60.0, 600.0, NTU_MAX)  # -; NTU sqrt(Cr): ensembles are graded so that few need many nodes


class Arrangement(Enum):
    """How the two streams pass each other. The value is the word of the case file (the approximation is not one)."""

    BOTH_UNMIXED = "both unmixed"
    BOTH_UNMIXED_APPROXIMATION = "both unmixed, approximation"
    AIR_MIXED = "air mixed"
    COOLANT_MIXED = "coolant mixed"
    BOTH_MIXED = "both mixed"
    COUNTERFLOW = "counterflow"
    PARALLEL = "parallel flow"


class Attainable(IntEnum):
    """Whether an effectiveness can be had from an arrangement at all."""

    YES = 0
    TOO_HIGH = 1  # more than the arrangement gives at any size
    NEGATIVE = 2


@dataclass(frozen=True, eq=False)
class Exchange:
    """What an exchanger does with its two streams; every intermediate is kept."""

    UA: Array  # W/K
    C_hot: Array  # W/K
    C_cold: Array  # W/K
    C_min: Array  # W/K
    NTU: Array  # -, UA/C_min of the whole exchanger, at most NTU_MAX
    Cr: Array  # -, C_min/C_max of the whole exchanger
    passes: Array  # -, coolant passes in series
    pass_NTU: Array  # -, of one pass
    pass_Cr: Array  # -, of one pass
    pass_effectiveness: Array  # -, of one pass
    effectiveness: Array  # -, of the whole exchanger
    Q: Array  # W, from hot to cold
    T_hot_out: Array  # K
    T_cold_out: Array  # K, mixed mean


@dataclass(frozen=True, eq=False)
class PassChain:
    """Capacity rates, sizes and effectiveness of one pass and of the whole."""

    C_min: Array
    NTU: Array
    Cr: Array
    pass_NTU: Array
    pass_Cr: Array
    pass_effectiveness: Array
    hot_drop: Array  # -, (T_hot_in - T_hot_out)/(T_hot_in - T_cold_in)
    effectiveness: Array


@dataclass(frozen=True, eq=False)
class Size:
    """NTU that an effectiveness asks for; 0 where ``status`` says that none does."""

    NTU: Array
    status: NDArray[np.int64]  # Attainable
    highest: Array  # -, the effectiveness that the arrangement cannot exceed at this Cr


@dataclass(frozen=True, eq=False)
class Conductance:
    """UA that an overall effectiveness asks for; 0 where ``status`` says that none does."""

    UA: Array  # W/K
    status: NDArray[np.int64]  # Attainable
    highest: Array  # -, the overall effectiveness that the arrangement cannot exceed at these flows


def phi(x: Array) -> Array:
    """(1 - exp(-x))/x for x >= 0, which tends to 1 as x tends to 0."""
    safe = np.maximum(x, 1e-300)  # expm1 keeps full precision down to there, and 0 gives the limit 1
    return np.asarray(-np.expm1(-safe) / safe)


@lru_cache(maxsize=256)
def _nodes(count: int) -> tuple[Array, Array]:
    """Versines 1 - cos(theta) and weights of the Gauss-Chebyshev rule (second kind) on 0..pi, as columns and row."""
    theta = np.pi * np.arange(1, count) / count
    versine = (2.0 * np.sin(theta / 2.0) ** 2)[:, None]
    weight = 2.0 / count * np.sin(theta) ** 2
    versine.setflags(write=False)
    weight.setflags(write=False)
    return versine, weight


def _crossflow_integral(NTU: Array, Cr: Array, reach: float) -> Array:
    """The integral below for flat arrays whose NTU sqrt(Cr) is at most ``reach``."""
    versine, weight = _nodes(2 * int(np.ceil(2.5 + 2.7 * np.sqrt(reach))))
    root = np.sqrt(Cr)
    D = (1.0 - root) ** 2 + (2.0 * root) * versine
    share = np.expm1(D * -NTU)
    share /= D
    return 0.0 - weight @ share


def _both_unmixed(NTU: Array, Cr: Array, _hot_is_min: NDArray[np.bool_]) -> Array:
    """Exact crossflow, both streams unmixed.

        effectiveness = 2/pi integral_0^pi sin(t)^2 [1 - exp(-NTU D)]/D dt,   D = 1 - 2 sqrt(Cr) cos(t) + Cr

    This is the Bessel series of Baclic (ASME J. Heat Transfer 100 (1978) 746) with each I_n put in as its integral
    over cos(n t), the sum over n closed (a geometric series), and collected. Its integrand is entire and periodic, so
    that the n-point Gauss-Chebyshev rule converges faster than any power: 5 + 5.4 sqrt(NTU sqrt(Cr)) nodes give 1e-12.
    """
    shape = NTU.shape
    flat_NTU = NTU.ravel()
    flat_Cr = Cr.ravel()
    reach = flat_NTU * np.sqrt(flat_Cr)
    furthest = float(reach.max(initial=0.0))
    if reach.size < 64 or furthest <= _GRADES[1]:
        return _crossflow_integral(flat_NTU, flat_Cr, furthest).reshape(shape)
    result = np.empty_like(flat_NTU)
    grade = np.searchsorted(_GRADES[:-1], reach)
    for step, limit in enumerate(_GRADES):
        members = np.flatnonzero(grade == step)
        if members.size:
            result[members] = _crossflow_integral(flat_NTU[members], flat_Cr[members], limit)
    return result.reshape(shape)


def _both_unmixed_approximation(NTU: Array, Cr: Array, _hot_is_min: NDArray[np.bool_]) -> Array:
    """1 - exp{NTU^0.22 [exp(-Cr NTU^0.78) - 1]/Cr}: Incropera 7e Eq. 11.32; -3.8 to +1.1 % off the exact value."""
    return np.asarray(-np.expm1(-NTU * phi(Cr * NTU**0.78)))


def _min_mixed(NTU: Array, Cr: Array) -> Array:
    """Crossflow, the smaller stream mixed: 1 - exp{-[1 - exp(-Cr NTU)]/Cr}."""
    return np.asarray(-np.expm1(-NTU * phi(Cr * NTU)))


def _max_mixed(NTU: Array, Cr: Array) -> Array:
    """Crossflow, the larger stream mixed: {1 - exp(-Cr [1 - exp(-NTU)])}/Cr."""
    alone = -np.expm1(-NTU)
    return np.asarray(alone * phi(Cr * alone))


def _air_mixed(NTU: Array, Cr: Array, hot_is_min: NDArray[np.bool_]) -> Array:
    return np.where(hot_is_min, _max_mixed(NTU, Cr), _min_mixed(NTU, Cr))


def _coolant_mixed(NTU: Array, Cr: Array, hot_is_min: NDArray[np.bool_]) -> Array:
    return np.where(hot_is_min, _min_mixed(NTU, Cr), _max_mixed(NTU, Cr))


def _both_mixed(NTU: Array, Cr: Array, _hot_is_min: NDArray[np.bool_]) -> Array:
    """Crossflow, both mixed; it falls again at large NTU."""
    return np.asarray(NTU / (1.0 / phi(NTU) + 1.0 / phi(Cr * NTU) - 1.0))


def _counterflow(NTU: Array, Cr: Array, _hot_is_min: NDArray[np.bool_]) -> Array:
    reduced = NTU * phi(NTU * (1.0 - Cr))
    return np.asarray(reduced / (1.0 + Cr * reduced))


def _parallel(NTU: Array, Cr: Array, _hot_is_min: NDArray[np.bool_]) -> Array:
    return np.asarray(NTU * phi(NTU * (1.0 + Cr)))


_FORMULAS: dict[Arrangement, Callable[[Array, Array, NDArray[np.bool_]], Array]] = {
    Arrangement.BOTH_UNMIXED: _both_unmixed,
    Arrangement.BOTH_UNMIXED_APPROXIMATION: _both_unmixed_approximation,
    Arrangement.AIR_MIXED: _air_mixed,
    Arrangement.COOLANT_MIXED: _coolant_mixed,
    Arrangement.BOTH_MIXED: _both_mixed,
    Arrangement.COUNTERFLOW: _counterflow,
    Arrangement.PARALLEL: _parallel,
}


def effectiveness(
    NTU: ArrayLike,
    Cr: ArrayLike,
    arrangement: Arrangement = Arrangement.BOTH_UNMIXED,
    coolant_is_min: ArrayLike = False,
) -> Array:
    """Effectiveness [-] of one pass.

    NTU [-] >= 0 (counted as NTU_MAX above it), Cr [-] 0..1, any shapes that broadcast; ``coolant_is_min`` matters to
    AIR_MIXED and COOLANT_MIXED only: whether the coolant is the stream of smaller capacity rate (a radiator mostly
    has air as the smaller one). Raises RangeError for a negative or not finite NTU and for Cr outside 0..1.

    >>> effectiveness(2.0, 0.5).round(6)
    array([0.732409])
    """
    N, C, hot_is_min = np.broadcast_arrays(np.atleast_1d(NTU), np.atleast_1d(Cr), np.atleast_1d(coolant_is_min))
    N = N.astype(np.float64)
    C = C.astype(np.float64)
    _require("NTU", N, (N >= 0.0) & np.isfinite(N), "a number from 0")
    _require("Cr", C, (C >= 0.0) & (C <= 1.0), plant_texts.RATIO_FROM_0_TO_1)
    return _FORMULAS[arrangement](np.minimum(N, NTU_MAX), C, hot_is_min.astype(bool))


def _require(name: str, value: Array, good: NDArray[np.bool_], wanted: str) -> None:
    if not good.all():
        raise RangeError(plant_texts.WAS_GIVEN_WOULD_DO.format(name=name, given=value[~good].ravel()[0], wanted=wanted))


def _best_size(Cr: Array, arrangement: Arrangement) -> Array:
    """NTU of the highest effectiveness: NTU_MAX, but for both mixed the peak, by golden section in ln NTU."""
    if arrangement is not Arrangement.BOTH_MIXED:
        return np.full(Cr.shape, NTU_MAX)
    low = np.zeros(Cr.shape)
    high = np.full(Cr.shape, np.log(NTU_MAX))
    golden = (np.sqrt(5.0) - 1.0) / 2.0
    for _ in range(60):  # 0.618^60 of the span: below rounding
        left = high - golden * (high - low)
        right = low + golden * (high - low)
        peak_is_left = effectiveness(np.exp(left), Cr, arrangement) > effectiveness(np.exp(right), Cr, arrangement)
        low = np.where(peak_is_left, low, left)
        high = np.where(peak_is_left, right, high)
    return np.asarray(np.exp((low + high) / 2.0))


def _counterflow_size(eps: Array, Cr: Array) -> Array:
    """NTU [-] that no arrangement can do with less of: counterflow's, ln[(1 - Cr eps)/(1 - eps)]/(1 - Cr).

    A little less, so that it stays below the size that is looked for in spite of rounding.
    """
    balanced = eps / np.maximum(1.0 - eps, 1e-300)  # NTU where Cr is 1
    unbalance = balanced * (1.0 - Cr)
    grown = np.where(unbalance > _NTU_MIN, np.log1p(unbalance) / np.maximum(unbalance, _NTU_MIN), 1.0)
    return np.asarray(np.clip((1.0 - 1e-9) * balanced * grown, _NTU_MIN, NTU_MAX))


def NTU_from_effectiveness(
    eps: ArrayLike,
    Cr: ArrayLike,
    arrangement: Arrangement = Arrangement.BOTH_UNMIXED,
    coolant_is_min: ArrayLike = False,
) -> Size:
    """NTU [-] that gives effectiveness ``eps`` [-]; on the rising branch for both mixed.

    Bracketed, in ln NTU, all members at once. A member whose effectiveness no size gives has NTU 0 and
    says so in ``status``. Raises RangeError for Cr outside 0..1.
    """
    e, C, hot_is_min = np.broadcast_arrays(np.atleast_1d(eps), np.atleast_1d(Cr), np.atleast_1d(coolant_is_min))
    best = _best_size(C, arrangement)
    highest = effectiveness(best, C, arrangement, hot_is_min)
    status = np.where(e < highest, Attainable.YES, Attainable.TOO_HIGH)
    status = np.where(e < 0.0, Attainable.NEGATIVE, status)
    solvable = (status == Attainable.YES) & (e > _NTU_MIN)
    target = np.where(solvable, e, highest / 2.0)

    def lack(ln_NTU: Array) -> Array:
        return target - effectiveness(np.exp(ln_NTU), C, arrangement, hot_is_min)

    low = np.minimum(_counterflow_size(target, C), best)
    near = np.minimum(_NEAR * low, best)
    high = np.where(lack(np.log(near)) <= 0.0, near, best)
    root = np.exp(falling_root(lack, np.log(low), np.log(high), np.zeros(1)).x)
    not_searched = np.where(status == Attainable.YES, np.maximum(e, 0.0), 0.0)  # so small that NTU is the effectiveness
    NTU = np.where(solvable, root, not_searched)
    return Size(NTU=NTU, status=status.astype(np.int64), highest=highest)


def _by_formula(arrangement: Arrangement, NTU: Array, Cr: Array, hot_is_min: NDArray[np.bool_]) -> Array:
    """Effectiveness [-] of one pass by the formula of its arrangement."""
    formula = _FORMULAS[arrangement]
    if NTU.shape == Cr.shape == hot_is_min.shape:  # as for one member, where numpy's detour would count
        return formula(NTU, Cr, hot_is_min)
    return formula(*np.broadcast_arrays(NTU, Cr, hot_is_min))


def multipass(
    UA: Array, C_hot: Array, C_cold: Array, passes: ArrayLike = 1.0, arrangement: Arrangement = Arrangement.BOTH_UNMIXED
) -> PassChain:
    """A core of ``passes`` tube groups side by side, the coolant going through them in turn.

    Each group meets its own share 1/p of fresh air and has 1/p of UA [W/K]; so each lowers the coolant's distance to
    the air inlet by the same share, and the whole by 1 - (1 - share)^p: exact, and one pass for p = 1. Capacity rates
    [W/K] of zero are allowed. Arguments are float arrays that broadcast; they are not checked here (inner loop).
    """
    C_min, Cr, NTU = _sizes(UA, C_hot, C_cold)
    p = np.asarray(passes, dtype=np.float64)
    if p.size == 1 and float(p.reshape(-1)[0]) == 1.0:  # most cores: nothing to chain
        hot_is_min = C_hot <= C_cold
        one = _by_formula(arrangement, NTU, Cr, hot_is_min)
        return PassChain(C_min, NTU, Cr, NTU, Cr, one, one * np.where(hot_is_min, 1.0, Cr), one)
    C_air = C_cold / p
    _, pass_Cr, pass_NTU = _sizes(UA / p, C_hot, C_air)
    hot_is_min = C_hot <= C_air
    one = _by_formula(arrangement, pass_NTU, pass_Cr, hot_is_min)
    share = one * np.where(hot_is_min, 1.0, pass_Cr)
    drop = -np.expm1(p * np.log1p(-np.minimum(share, 1.0 - 1e-16)))
    # drop C_hot/C_min; with no air at all the share of each pass is what counts, one after the other alike
    whole = np.where(C_hot <= C_cold, drop, np.where(Cr > 0.0, drop / np.maximum(Cr, 1e-300), one))
    return PassChain(C_min, NTU, Cr, pass_NTU, pass_Cr, one, drop, whole)


def _sizes(UA: Array, C_hot: Array, C_cold: Array) -> tuple[Array, Array, Array]:
    """C_min [W/K], Cr [-] and NTU [-] (at most NTU_MAX; 0 when nothing flows at all)."""
    C_min = np.minimum(C_hot, C_cold)
    C_max = np.maximum(C_hot, C_cold)
    Cr = C_min / np.maximum(C_max, 1e-300)
    NTU = UA / np.maximum(np.maximum(C_min, UA / NTU_MAX), 1e-300)
    return C_min, Cr, NTU * (C_max > 0.0)


def exchange(
    UA: ArrayLike,
    C_hot: ArrayLike,
    C_cold: ArrayLike,
    T_hot_in: ArrayLike,
    T_cold_in: ArrayLike,
    arrangement: Arrangement = Arrangement.BOTH_UNMIXED,
    passes: ArrayLike = 1.0,
) -> Exchange:
    """Heat and outlet temperatures from conductance, capacity rates and inlet temperatures.

    UA [W/K], C_hot and C_cold [W/K] >= 0, temperatures [K], passes [-] >= 1 (see ``multipass``); scalars or arrays
    that broadcast over the members. A stream that stands still gives Q = 0 and the outlet temperature that a creeping
    one would have. Raises RangeError for a negative UA or capacity rate or for fewer than one pass.
    """
    arguments = (UA, C_hot, C_cold, T_hot_in, T_cold_in, passes)
    given = [np.atleast_1d(np.asarray(x, dtype=np.float64)) for x in arguments]
    UA, C_hot, C_cold, T_hot_in, T_cold_in, p = np.broadcast_arrays(*given)
    for name, value in (("UA", UA), ("C_hot", C_hot), ("C_cold", C_cold)):
        _require(name, value, (value >= 0.0) & np.isfinite(value), "a number from 0")
    _require("passes", p, p >= 1.0, "a number from 1")
    return exchanged(UA, C_hot, C_cold, T_hot_in, T_cold_in, p, arrangement)


def exchanged(
    UA: Array, C_hot: Array, C_cold: Array, T_hot_in: Array, T_cold_in: Array, p: Array, arrangement: Arrangement
) -> Exchange:
    """``exchange`` of float arrays that broadcast, not checked; ``p`` [-] passes."""
    chain = multipass(UA, C_hot, C_cold, p, arrangement)
    span = T_hot_in - T_cold_in
    return Exchange(
        UA=UA,
        C_hot=C_hot,
        C_cold=C_cold,
        C_min=chain.C_min,
        NTU=chain.NTU,
        Cr=chain.Cr,
        passes=p,
        pass_NTU=chain.pass_NTU,
        pass_Cr=chain.pass_Cr,
        pass_effectiveness=chain.pass_effectiveness,
        effectiveness=chain.effectiveness,
        Q=chain.effectiveness * chain.C_min * span,
        T_hot_out=T_hot_in - chain.hot_drop * span,
        T_cold_out=T_cold_in + chain.effectiveness * np.where(C_cold <= C_hot, 1.0, chain.Cr) * span,
    )


def conductance_from_effectiveness(
    eps: ArrayLike,
    C_hot: ArrayLike,
    C_cold: ArrayLike,
    arrangement: Arrangement = Arrangement.BOTH_UNMIXED,
    passes: ArrayLike = 1.0,
) -> Conductance:
    """UA [W/K] of an exchanger of ``passes`` whose overall effectiveness ``eps`` [-] is given.

    UA is 0 where ``status`` says that no conductance does it. Both capacity rates [W/K] must be above zero (RangeError
    else). The inverse of ``exchange``; on the rising branch for both mixed.
    """
    given = [np.atleast_1d(np.asarray(x, dtype=np.float64)) for x in (eps, C_hot, C_cold, passes)]
    e, C_hot, C_cold, p = np.broadcast_arrays(*given)
    for name, value in (("C_hot", C_hot), ("C_cold", C_cold)):
        _require(name, value, (value > 0.0) & np.isfinite(value), "a number above 0")
    _require("passes", p, p >= 1.0, "a number from 1")
    C_air = C_cold / p
    C_min = np.minimum(C_hot, C_cold)
    C_pass = np.minimum(C_hot, C_air)
    drop = e * C_min / C_hot
    share = np.where(drop < 1.0, -np.expm1(np.log1p(-np.minimum(drop, 1.0 - 1e-16)) / p), drop)
    Cr = C_pass / np.maximum(C_hot, C_air)
    size = NTU_from_effectiveness(share * C_hot / C_pass, Cr, arrangement, C_hot <= C_air)
    highest_share = np.minimum(size.highest * C_pass / C_hot, 1.0 - 1e-16)
    highest = -np.expm1(p * np.log1p(-highest_share)) * C_hot / C_min
    return Conductance(UA=size.NTU * C_pass * p, status=size.status, highest=highest)


def LMTD(difference_1: ArrayLike, difference_2: ArrayLike) -> Array:
    """Logarithmic mean [K] of the temperature differences [K] at the two ends, both >= 0 (RangeError else).

    0 where one of them is 0; their common value where they are equal.
    """
    given = [np.atleast_1d(np.asarray(x, dtype=np.float64)) for x in (difference_1, difference_2)]
    one, two = np.broadcast_arrays(*given)
    for name, value in (("difference_1", one), ("difference_2", two)):
        _require(name, value, value >= 0.0, "a difference from 0 K")
    large = np.maximum(one, two)
    small = np.minimum(one, two)
    # with y = ln(large/small): large (1 - exp(-y))/y = large phi(y)
    y = np.log(np.maximum(large, 1e-300) / np.maximum(small, 1e-300))
    return np.asarray(np.where(small > 0.0, large * phi(y), 0.0))
