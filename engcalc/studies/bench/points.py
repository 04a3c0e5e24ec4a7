"""A class's measured points on a bench exchanger: heat of both sides, balance, effectiveness, NTU, UA, each with its
uncertainty.

Uncertainty by the linear law (JCGM 100:2008, eq. 10, inputs independent, sensitivities by central differences) and by
Monte Carlo (JCGM 101:2008), in one evaluation of an ensemble: the point itself, each number half its uncertainty up and
down, and drawn members.

Where both sides count, each heat has the weight of one over its variance, which gives the weighted mean of least
variance (common practice, no source); equal weights where no uncertainty is stated.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from engcalc.case.bench_records import RigPoint
from engcalc.case.case import Case, Given
from engcalc.case.sections.bench import WEIGHTED
from engcalc.components.exchanger import LMTD
from engcalc.components.two_streams import correction
from engcalc.studies.bench.setup import BenchSetup, stated_by_volume
from engcalc.studies.members import member
from engcalc.system.measured import MEASURED, MeasuredStreams
from engcalc.units import Array
from engcalc.verdict import Finding, FindingCode, FindingLevel

DRAWS = 2000  # members by Monte Carlo: a 95 % interval to some 3 % of its width
SEED = 15
BALANCE_WITHIN = 0.03  # -; SAE J1994 (2020): the capacities of the two streams must agree within 3 %
ALARM = 2.0  # standard uncertainties that a difference must exceed to count; GUM 6.3.1, about 95 %
_SHARE = (0.02275, 0.97725)  # of a normal law within two standard deviations
_ROUNDING = 1e-9  # of a result; less than that is what the arithmetic leaves
N = len(MEASURED)


@dataclass(frozen=True)
class BenchFigure:
    """A result with its standard uncertainty by the linear law, and by Monte Carlo with its 95 % interval (SI)."""

    value: float
    u: float
    u_drawn: float
    low: float
    high: float
    parts: tuple[float, ...] = ()  # of the linear law, one for each number of ``MEASURED``; empty where it has none


@dataclass(frozen=True, eq=False)
class BenchPoint:
    """One measured point."""

    path: str
    group: str
    typed: Mapping[str, str]  # each measured number as it was typed, with its unit and the uncertainty of its own
    T: Mapping[str, float]  # K, the four temperatures as measured
    streams: MeasuredStreams  # of one member
    heat_hot: BenchFigure  # W
    heat_cold: BenchFigure  # W
    loss: BenchFigure  # W, hot less cold
    balance: BenchFigure  # -, (hot - cold)/mean
    weight_hot: float  # -, of the hot side's heat in the one that counts
    weighted: bool  # whether that weight comes of the uncertainties
    heat: BenchFigure  # W, that counts
    effectiveness: BenchFigure  # -
    NTU: BenchFigure  # -; 0 where no size gives the effectiveness
    UA: BenchFigure  # W/K
    mean_difference: BenchFigure  # K, logarithmic, as in counterflow
    F: BenchFigure  # -, its correction for this arrangement
    UA_by_difference: (
        BenchFigure  # W/K, heat over F and mean difference; differs from UA where the heats do not balance
    )
    possible: bool
    drawn_possible: float  # -, share of the drawn members that some size explains
    findings: tuple[Finding, ...]

    @property
    def agrees(self) -> bool:
        """Whether nothing speaks against the point: both heats, both laws, the others, a stated conductance."""
        return all(finding.severity is FindingLevel.NOTE for finding in self.findings)


def bench_points(case: Case, setup: BenchSetup) -> tuple[BenchPoint, ...]:
    """Every measured point of a case; RangeError where a named substance has no properties there."""
    return tuple(_point(case, setup, point, f"rig[{i}]") for i, point in enumerate(case.rig))


def _point(case: Case, setup: BenchSetup, point: RigPoint, path: str) -> BenchPoint:
    """One measured point with all that follows from it."""
    values = {name: float(getattr(point, name)[0]) for name in MEASURED}
    u = {name: _uncertainty(case, path, name, values[name]) for name in MEASURED}
    x = _ensemble(values, u)
    streams = MeasuredStreams.of(setup.hot, setup.cold, x, stated_by_volume(case, path))
    hot = streams.heat_hot
    cold = streams.heat_cold
    u_hot = _linear(hot)
    u_cold = _linear(cold)
    weight = _weight_of_hot(case.exchanger.heat_by, u_hot, u_cold)
    heat = weight * hot + (1.0 - weight) * cold
    sized = _sized(setup, streams, x, heat)
    found = BenchPoint(
        path=path,
        group=(point.group or "").strip(),
        typed={name: _typed(case.given[f"{path}.{name}"], values[name]) for name in MEASURED},
        T={name: values[name] for name in MEASURED if not name.endswith("flow")},
        streams=member(streams, 0),
        heat_hot=_figure(hot),
        heat_cold=_figure(cold),
        loss=_figure(hot - cold),
        balance=_figure(2.0 * (hot - cold) / (hot + cold)),
        weight_hot=weight,
        weighted=case.exchanger.heat_by == WEIGHTED and (u_hot, u_cold) != (0.0, 0.0),
        heat=_figure(heat),
        effectiveness=_figure(sized.effectiveness),
        NTU=_figure(sized.NTU, sized.possible),
        UA=_figure(sized.UA, sized.possible),
        mean_difference=_figure(sized.mean_difference),
        F=_figure(sized.F, sized.possible),
        UA_by_difference=_figure(sized.UA_by_difference, sized.possible & (sized.mean_difference > 0.0)),
        possible=bool(sized.possible[0]),
        drawn_possible=float(np.mean(sized.possible[1 + 2 * N :])),
        findings=(),
    )
    return replace(found, findings=_findings(case, found, float(sized.highest[0])))


@dataclass(frozen=True, eq=False)
class _Sized:
    """The exchanger that each member of the ensemble asks for, by both methods; arrays (members,)."""

    effectiveness: Array  # -
    highest: Array  # -, effectiveness that no size of it exceeds
    NTU: Array  # -
    UA: Array  # W/K
    mean_difference: Array  # K, logarithmic, as in counterflow
    F: Array  # -
    UA_by_difference: Array  # W/K
    possible: NDArray[np.bool_]  # some size explains the effectiveness


def _sized(setup: BenchSetup, streams: MeasuredStreams, x: Mapping[str, Array], heat: Array) -> _Sized:
    """The exchanger that passes a heat [W] between the streams at the measured temperatures ``x`` [K]."""
    eps = heat / streams.heat_most
    size = setup.size(eps, streams.C_hot, streams.C_cold)
    C_min = np.minimum(streams.C_hot, streams.C_cold)
    C_max = np.maximum(streams.C_hot, streams.C_cold)
    at_hot_inlet = np.maximum(x["hot_in"] - x["cold_out"], 0.0)
    at_cold_inlet = np.maximum(x["hot_out"] - x["cold_in"], 0.0)
    difference = LMTD(at_hot_inlet, at_cold_inlet)
    F = correction(size.NTU, C_min / C_max, eps)
    return _Sized(
        effectiveness=eps,
        highest=size.highest,
        NTU=size.NTU,
        UA=size.NTU * C_min,
        mean_difference=difference,
        F=F,
        UA_by_difference=heat / np.maximum(F * difference, 1e-300),
        possible=size.possible,
    )


def _typed(given: Given, value: float) -> str:
    """A measured number as it was typed, with its own uncertainty where one was stated."""
    if given.uncertainty <= 0.0:
        return given.text
    own = f"{given.uncertainty:.2g} K" if given.kind == "temperature" else f"{100.0 * given.uncertainty / value:.2g} %"
    return f"{given.text} ± {own}"


def _uncertainty(case: Case, path: str, name: str, value: float) -> float:
    """Standard uncertainty [SI] of a measured number: its own, else that of its stream's instruments."""
    own = case.given[f"{path}.{name}"].uncertainty
    if own > 0.0:
        return own
    stream = case.hot_stream if name.startswith("hot") else case.cold_stream
    if name.endswith("flow"):
        return float(stream.flow_uncertainty[0]) * abs(value)
    return float(stream.temperature_uncertainty[0])


@lru_cache(maxsize=2)
def _scores(seed: int) -> Array:
    """Normal deviates of the drawn members, one row for each measured number."""
    found = np.random.default_rng(seed).standard_normal((N, DRAWS))
    found.setflags(write=False)
    return found


def _ensemble(values: Mapping[str, float], u: Mapping[str, float]) -> dict[str, Array]:
    """Member 0 as measured; each number half its uncertainty up, each half down; then the drawn members."""
    columns = {}
    for i, name in enumerate(MEASURED):
        column = np.full(1 + 2 * N + DRAWS, values[name])
        column[1 + i] += 0.5 * u[name]
        column[1 + N + i] -= 0.5 * u[name]
        column[1 + 2 * N :] += u[name] * _scores(SEED)[i]
        columns[name] = np.maximum(column, 1e-12) if name.endswith("flow") else column
    return columns


def _parts(column: Array) -> Array:
    """By how much each measured number's uncertainty moves a result, with the sign of the slope."""
    return np.asarray(column[1 : 1 + N] - column[1 + N : 1 + 2 * N])


def _linear(column: Array) -> float:
    """Standard uncertainty by the linear law."""
    u = float(np.sqrt(np.sum(_parts(column) ** 2)))
    return u if u > _ROUNDING * abs(float(column[0])) else 0.0  # nothing stated is nothing, not what rounding leaves


def _figure(column: Array, possible: NDArray[np.bool_] | None = None) -> BenchFigure:
    """A result of the ensemble; of the drawn members those count that some exchanger explains."""
    drawn = column[1 + 2 * N :]
    if possible is not None:
        drawn = drawn[possible[1 + 2 * N :]]
        explained = bool(np.all(possible[: 1 + 2 * N]))
    else:
        explained = True
    value = float(column[0])
    linear = _linear(column) if explained else 0.0
    parts = tuple(float(one) for one in _parts(column)) if linear > 0.0 else ()
    if drawn.size < DRAWS // 10:
        return BenchFigure(value, linear, 0.0, value, value, parts)
    spread = float(np.std(drawn, ddof=1))
    u_drawn = spread if spread > _ROUNDING * abs(value) else 0.0
    low, high = (float(q) for q in np.quantile(drawn, _SHARE))
    return BenchFigure(value, linear if explained else u_drawn, u_drawn, low, high, parts)


def _weight_of_hot(heat_by: str, u_hot: float, u_cold: float) -> float:
    if heat_by == "hot side":
        return 1.0
    if heat_by == "cold side":
        return 0.0
    if heat_by == "mean" or (u_hot == 0.0 and u_cold == 0.0):
        return 0.5
    return u_cold**2 / (u_hot**2 + u_cold**2)


def _findings(case: Case, p: BenchPoint, highest: float) -> tuple[Finding, ...]:
    """Faults by the first and second law, a poor balance, and how the point agrees with a stated conductance."""
    numbers = {
        "balance": p.balance.value,
        "balance_uncertainty": p.balance.u,
        "heat_hot": p.heat_hot.value,
        "heat_cold": p.heat_cold.value,
        "effectiveness": p.effectiveness.value,
        "highest": highest,
    }
    if not p.possible:
        return (Finding(FindingCode.BENCH_IMPOSSIBLE, FindingLevel.FAULT, numbers),)
    found = []
    counts = max(BALANCE_WITHIN, ALARM * p.balance.u)
    if p.balance.value < -counts:
        found.append(Finding(FindingCode.BENCH_GAINS, FindingLevel.FAULT, numbers))
    elif p.balance.value > counts:
        found.append(Finding(FindingCode.BENCH_LOSES, FindingLevel.CAUTION, numbers))
    stated = case.exchanger.conductance
    if stated is not None:
        found.append(_against(p, float(stated[0])))
    return tuple(found)


def _against(p: BenchPoint, stated: float) -> Finding:
    """The measured conductance beside the stated one: agrees where the expanded uncertainty explains the difference."""
    agrees = abs(p.UA.value - stated) <= ALARM * p.UA.u
    return Finding(
        FindingCode.BENCH_AGREES if agrees else FindingCode.BENCH_DIFFERS,
        FindingLevel.NOTE if agrees else FindingLevel.CAUTION,
        {"UA": p.UA.value, "UA_uncertainty": p.UA.u, "stated": stated, "difference": p.UA.value / stated - 1.0},
    )


def groups_of(points: Sequence[BenchPoint]) -> tuple[str, ...]:
    """The groups in the order in which they stand; one empty name where there are none."""
    return tuple(dict.fromkeys(point.group for point in points))
