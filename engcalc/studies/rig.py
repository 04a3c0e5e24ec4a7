"""Points measured on a teaching rig, against the core computed from its dimensions.

Heat from both streams, their balance, effectiveness, NTU and UA, each with its uncertainty from the uncertainties of
flows and temperatures (GUM, JCGM 100:2008, eq. 10, inputs taken as independent, sensitivities by central differences).
The difference from the computed UA is weighed as E_n = difference over both expanded uncertainties (ISO/IEC 17043,
B.3.1.3 e): within one it is explained by them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from engcalc.case.bench_records import RigPoint
from engcalc.case.bench_rules import on_a_bench
from engcalc.case.case import Case
from engcalc.components.core import PREDICTION_HIGH, PREDICTION_LOW, CoreResult, evaluate
from engcalc.errors import InputError, InputFault
from engcalc.properties.coolant import Base, CoolantMixture
from engcalc.studies.bench.check import bench_without_answer
from engcalc.studies.members import member
from engcalc.system.measured import MEASURED, MeasuredPoint, MeasuredStreams, by_volume, setup_of
from engcalc.system.plant import ARRANGEMENTS, Plant, ScaledTo
from engcalc.units import Array, show
from engcalc.verdict import Finding, FindingCode, FindingLevel
from engcalc.words.texts import study_texts

BALANCE_WITHIN = 0.03  # -; SAE J1994 (2020): the capacities of the two streams must agree within 3 %
ROUNDING = 1e-9  # of a result; less than that is what the arithmetic leaves
COVERAGE = 2.0  # standard uncertainties in an expanded one; GUM 6.3.1, about 95 %


@dataclass(frozen=True)
class MeasuredNumber:
    """A measured number, its standard uncertainty, and the computed one (SI)."""

    measured: float
    uncertainty: float
    computed: float

    @property
    def difference(self) -> float:
        """Measured over computed, less one [-]; 0 where nothing was computed."""
        if self.computed:
            return self.measured / self.computed - 1.0
        return 0.0


@dataclass(frozen=True, eq=False)
class RigCheck:
    """One measured point beside what the dimensions give."""

    path: str
    streams: MeasuredStreams  # as measured, of one member
    heat_hot: MeasuredNumber  # W, from the coolant; computed from the dimensions
    heat_cold: MeasuredNumber  # W, into the air
    balance: float  # -, (hot - cold)/mean
    balance_uncertainty: float  # -, standard
    effectiveness: MeasuredNumber  # -
    NTU: MeasuredNumber  # -
    UA: MeasuredNumber  # W/K
    UA_expanded_computed: float  # W/K, how far the computed one may be off, on the measured side
    E_n: float  # -
    hot_out: MeasuredNumber  # K
    cold_out: MeasuredNumber  # K
    computed: CoreResult  # at the measured flows and inlets, before the points themselves scale the conductance
    scaled: CoreResult | None  # and after; None where they do not
    findings: tuple[Finding, ...]

    @property
    def agrees(self) -> bool:
        """Whether measured and computed conductance agree within their uncertainties."""
        return any(f.code is FindingCode.RIG_AGREES for f in self.findings)


def impossible_points(case: Case) -> Iterator[InputFault]:
    """A fault for each point whose heats no exchanger whatever could pass on, by more than the stated uncertainties.

    At given flows and inlets the heat is at most that of an endless counterflow exchanger (second law), and what one
    stream gives off the other takes up. The fault names the flow of a stream that carries more.
    """
    if not case.rig or on_a_bench(case):
        return
    mix = CoolantMixture(Base(case.coolant.base), case.coolant.concentration)
    setup = setup_of(case, mix, ARRANGEMENTS[case.radiator.arrangement])
    for i, point in enumerate(case.rig):
        path = f"rig[{i}]"
        values, u = _measured(case, point, path)
        streams = setup.streams(_perturbed(values, u), by_volume(case, path))
        eps = streams.effectiveness
        if eps[0] - COVERAGE * _combined(eps) <= 1.0:
            continue
        hot, cold, most = (
            show(float(heat[0]), "heat rate") for heat in (streams.heat_hot, streams.heat_cold, streams.heat_most)
        )
        flow = f"{path}.{'hot_flow' if streams.heat_hot[0] > streams.heat_most[0] else 'cold_flow'}"
        yield InputFault(
            flow,
            case.given[flow].text,
            study_texts.HOT_STREAM_GIVES_OFF_AND_THE_COLD.format(hot=hot, cold=cold, most=most),
        )


def with_possible_points(case: Case) -> Case:
    """The case itself. Raises InputError with the impossible points of a rig, or what of a bench has no answer."""
    faults = (*impossible_points(case), *bench_without_answer(case))
    if faults:
        raise InputError(faults)
    return case


def _measured(case: Case, point: RigPoint, path: str) -> tuple[dict[str, float], dict[str, float]]:
    """What was measured [SI] and the standard uncertainty of each."""
    values = {name: float(getattr(point, name)[0]) for name in MEASURED}
    return values, {name: case.given[f"{path}.{name}"].uncertainty for name in MEASURED}


def check_rig(case: Case, plant: Plant) -> tuple[RigCheck, ...]:
    """Every measured point of a case; none of an exchanger on a bench, which has points of its own."""
    if on_a_bench(case):
        return ()
    return tuple(_point(case, plant, point, f"rig[{i}]") for i, point in enumerate(case.rig))


def _point(case: Case, plant: Plant, point: RigPoint, path: str) -> RigCheck:
    values, u = _measured(case, point, path)
    spread = _perturbed(values, u)
    setup = setup_of(case, plant.coolant, plant.arrangement)
    result = MeasuredPoint.of(plant.core, setup, spread, by_volume(case, path))
    by_points = plant.scaled_to is ScaledTo.MEASURED
    before = np.ones(1) if by_points else plant.ua_scale
    computed = member(evaluate(plant.core, result.flows, plant.arrangement, before), 0)
    scaled = member(evaluate(plant.core, result.flows, plant.arrangement, plant.ua_scale), 0) if by_points else None
    return _compare(path, result, (computed, scaled), u)


def _perturbed(values: Mapping[str, float], u: Mapping[str, float]) -> dict[str, Array]:
    """Member 0 as measured; then each input half its uncertainty up, then each half down."""
    n = len(MEASURED)
    columns = {}
    for i, name in enumerate(MEASURED):
        column = np.full(1 + 2 * n, values[name])
        column[1 + i] += 0.5 * u[name]
        column[1 + n + i] -= 0.5 * u[name]
        columns[name] = column
    return columns


def _combined(column: Array) -> float:
    """Standard uncertainty of a result: root of the sum of squares of its differences, one for each input."""
    n = len(MEASURED)
    by_input = column[1 : 1 + n] - column[1 + n :]
    u = float(np.sqrt(np.sum(by_input**2)))
    return u if u > ROUNDING * abs(float(column[0])) else 0.0  # nothing stated is nothing, not what rounding leaves


def _figure(column: Array, computed: Array) -> MeasuredNumber:
    return MeasuredNumber(float(column[0]), _combined(column), float(np.ravel(computed)[0]))


def _prediction_may_be_off(UA: MeasuredNumber) -> float:
    """By how much the computed UA may be off [W/K] towards the measured one.

    Predictions read 10 % low to 25 % high, so the truth lies at the prediction over 0.90 to over 1.25.
    """
    if UA.measured > UA.computed:
        return UA.computed * (1.0 / (1.0 + PREDICTION_LOW) - 1.0)
    return UA.computed * (1.0 - 1.0 / (1.0 + PREDICTION_HIGH))


def _compare(
    path: str, m: MeasuredPoint, by_core: tuple[CoreResult, CoreResult | None], u: Mapping[str, float]
) -> RigCheck:
    computed, scaled = by_core
    balance = 2.0 * (m.heat_hot - m.heat_cold) / (m.heat_hot + m.heat_cold)
    UA = _figure(m.UA, computed.UA)
    may_be_off = _prediction_may_be_off(UA)
    expanded = float(np.hypot(COVERAGE * UA.uncertainty, may_be_off))
    E_n = (UA.measured - UA.computed) / expanded if expanded > 0.0 else 0.0
    u_balance = _combined(balance)
    findings = _findings(m.possible, float(balance[0]), u_balance, UA, E_n)
    return RigCheck(
        path=path,
        streams=member(m.streams, 0),
        heat_hot=_figure(m.heat_hot, computed.Q),
        heat_cold=_figure(m.heat_cold, computed.Q),
        balance=float(balance[0]),
        balance_uncertainty=u_balance,
        effectiveness=_figure(m.effectiveness, computed.effectiveness),
        NTU=_figure(m.NTU, computed.NTU),
        UA=UA,
        UA_expanded_computed=may_be_off,
        E_n=E_n,
        hot_out=MeasuredNumber(float(m.T_hot_out[0]), u["hot_out"], float(computed.T_coolant_out[0])),
        cold_out=MeasuredNumber(float(m.T_cold_out[0]), u["cold_out"], float(computed.T_air_out[0])),
        computed=computed,
        scaled=scaled,
        findings=findings,
    )


def _findings(possible: bool, balance: float, u_balance: float, UA: MeasuredNumber, E_n: float) -> tuple[Finding, ...]:
    numbers = {
        "balance": balance,
        "balance_uncertainty": u_balance,
        "UA": UA.measured,
        "UA_uncertainty": UA.uncertainty,
        "UA_computed": UA.computed,
        "E_n": E_n,
        "difference": UA.difference,
    }
    if not possible:
        return (Finding(FindingCode.RIG_IMPOSSIBLE, FindingLevel.FAULT, numbers),)
    found = []
    if abs(balance) > max(BALANCE_WITHIN, COVERAGE * u_balance):
        found.append(Finding(FindingCode.RIG_BALANCE_POOR, FindingLevel.CAUTION, numbers))
    agrees = abs(E_n) <= 1.0
    found.append(
        Finding(
            FindingCode.RIG_AGREES if agrees else FindingCode.RIG_DIFFERS,
            FindingLevel.NOTE if agrees else FindingLevel.CAUTION,
            numbers,
        )
    )
    return tuple(found)
