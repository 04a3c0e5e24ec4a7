"""The catalogue of causes: each a change of case fields, of what the sensor shows, or of what only a look tells.

A cause has severities with a prior of their own: a standard normal number z each, turned into a quantity by
``Severity.value``. What a cause changes is computed by the same model as everything else. What the model does not hold
is said in ``not_simulated``. Priors of severities are common practice, no source.

A missing valve is, for coolant, a seat that leaks fully while the bypass stays open; missing seals are less ram and
more hot air drawn in again (constants of :mod:`engcalc.system.airflow`): so every cause is a change of numbers and all
of them run as one ensemble.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import Enum, StrEnum

import numpy as np

from engcalc.case.case import Case, value_at, with_values
from engcalc.case.sections.circuit import STANDS_COLD
from engcalc.components.fan import FanDrive
from engcalc.studies.check import healthy_valve
from engcalc.system.airflow import SEALS_RAM, SEALS_RECIRCULATION
from engcalc.units import Array


class CauseKey(StrEnum):
    """Keys of the causes."""

    HEALTHY = "healthy"
    STUCK_OPEN = "thermostat_stuck_open"
    MISSING = "thermostat_missing"
    OPENS_EARLY = "thermostat_opens_early"
    SLOW = "thermostat_slow"
    STUCK_SHUT = "thermostat_stuck_shut"
    LOW_COOLANT = "low_coolant"
    LEAK = "external_leak"
    HEATER_CORE = "heater_core_restricted"
    HEATER_VALVE = "heater_valve_closed"
    HEATER_BLEND = "heater_blend_stuck"
    HEATER_AIR = "heater_airflow_low"
    HEATER_HOSES = "heater_hoses_swapped"
    PUMP_WEAK = "pump_weak"
    PUMP_NOT_COMMANDED = "pump_not_commanded"
    SUCTION_HOSE = "suction_hose_collapsed"
    RADIATOR = "radiator_restricted"
    FACE = "face_blocked"
    SEALS = "seals_missing"
    SHUTTER = "shutter_stuck"
    FAN_OFF = "fan_not_running"
    FAN_ON = "fan_always_on"
    CLUTCH = "fan_clutch_slipping"
    FAN_REVERSED = "fan_reversed"
    CAP = "cap_weak"
    MIXTURE = "wrong_mixture"
    SENSOR_LOW = "sensor_reads_low"
    SENSOR_HIGH = "sensor_reads_high"
    SENSOR_ERRATIC = "sensor_erratic"
    SENSOR_AIR = "sensor_in_air"
    GAS = "gas_in_coolant"
    EXCESS_HEAT = "excess_heat"
    NOT_IN_LIST = "not_in_list"


class VisibleState(StrEnum):
    """What of a vehicle a look, a feel or a simple test tells, besides temperatures. One number for each member."""

    LEVEL = "share of the coolant that is missing"
    LEAK = "coolant leaks"
    GAS = "combustion gas in the coolant"
    CAP = "share of the cap's pressure that it holds"
    MIXTURE = "mixture off the wanted one, volume share"
    VALVE_COLD = "lift of the valve taken out cold"
    VALVE_HOT = "lift of the valve in boiling water"
    VALVE_EARLY = "opens under its rating, K"
    VALVE_GONE = "no valve in the housing"
    FAN_RUNS = "share of its flow that the fan gives when wanted"
    FAN_ALWAYS = "the fan runs cold"
    FAN_BACKWARD = "the fan blows the wrong way"
    PUMP = "share of its speed that the pump turns or conveys"
    SUCTION = "the suction hose collapses"
    FACE = "share of the radiator's face blocked"
    SHUTTER = "share that the shutter stands open"
    SEALS_GONE = "seals missing"
    HOSES_SWAPPED = "heater hoses swapped"
    ERRATIC = "the sensor's signal jumps"
    SENSOR_ERROR = "the sensor reads wrong by, K"


HEALTHY_STATE: Mapping[VisibleState, float] = {
    **dict.fromkeys(VisibleState, 0.0),
    **dict.fromkeys(
        (VisibleState.CAP, VisibleState.VALVE_HOT, VisibleState.FAN_RUNS, VisibleState.PUMP, VisibleState.SHUTTER), 1.0
    ),
}
"""The states of a healthy vehicle."""


class Law(Enum):
    """How a severity's z becomes a quantity about its median."""

    LOG = "median times exp(spread z)"
    LOGIT = "share whose odds are those of the median times exp(spread z)"


@dataclass(frozen=True)
class SeverityPrior:
    """How bad it is: ``kind`` of quantity for showing it, median, spread of the logarithm, and bounds, SI."""

    label: str
    kind: str
    median: float
    spread: float
    low: float
    high: float
    law: Law = Law.LOG

    def value(self, z: Array) -> Array:
        """The quantity at z, clipped to the bounds."""
        if self.law is Law.LOG:
            return np.clip(self.median * np.exp(self.spread * z), self.low, self.high)
        odds = self.median / (1.0 - self.median) * np.exp(self.spread * z)
        return np.clip(odds / (1.0 + odds), self.low, self.high)


def share(label: str, median: float, spread: float, low: float = 0.0, high: float = 1.0) -> SeverityPrior:
    """A severity that is a share 0..1."""
    return SeverityPrior(label, "fraction", median, spread, low, high, Law.LOGIT)


class SensorFault(Enum):
    """What the sensor does to what it should show."""

    NONE = "shows the coolant"
    LOW = "shows too little"
    HIGH = "shows too much"
    ERRATIC = "jumps"
    IN_AIR = "stands in air"


Act = Callable[[Array, Array], Array]
"""What stands there and the severity, to what the fault makes of it."""


def put(_here: Array, s: Array) -> Array:
    """The severity takes the place."""
    return s


def times(here: Array, s: Array) -> Array:
    """The severity multiplies."""
    return np.asarray(here * s)


def less(here: Array, s: Array) -> Array:
    """The severity is taken off."""
    return np.asarray(here - s)


def without(here: Array, s: Array) -> Array:
    """The share that the severity names is taken away."""
    return np.asarray(here * (1.0 - s))


def at_least(here: Array, s: Array) -> Array:
    """No less than the severity."""
    return np.maximum(here, s)


def constant(value: float) -> Act:
    """A value whatever the severity."""
    return lambda here, s: np.full(np.broadcast_shapes(here.shape, s.shape), value)


def by(factor: float, most: float = np.inf) -> Act:
    """A factor whatever the severity."""
    return lambda here, s: np.minimum(here * factor + 0.0 * s, most)


@dataclass(frozen=True)
class CaseChange:
    """One field of the case or state of the vehicle changed."""

    where: str
    act: Act


def one(_s: Array) -> Array:
    """Present, whatever the severity."""
    return np.ones_like(_s)


def same(s: Array) -> Array:
    """The severity itself."""
    return s


def _any_vehicle(_case: Case) -> bool:
    return True


@dataclass(frozen=True, eq=False)
class Cause:
    """One cause. ``changes`` act on the case, ``states`` on what a look tells; ``severity`` None: there or not.

    ``applies`` says whether a vehicle can have it. ``broad`` widens what the model may be wrong by (K), for what is
    not in the list. ``traceless``: leaves no trace in temperature, so that only its own check tells it.
    """

    fault: CauseKey
    severity: SeverityPrior | None = None
    changes: tuple[CaseChange, ...] = ()
    states: Mapping[VisibleState, Callable[[Array], Array]] = field(default_factory=dict)
    sensor: SensorFault = SensorFault.NONE
    applies: Callable[[Case], bool] = _any_vehicle
    traceless: bool = False
    broad: float = 0.0
    not_simulated: str = ""


def _commanded_pump(case: Case) -> bool:
    return case.circuit.pump_drive == "electric" or case.circuit.pump_cold == STANDS_COLD


def _belt_pump(case: Case) -> bool:
    return case.circuit.pump_drive != "electric"


def _drive(*words: str) -> Callable[[Case], bool]:
    return lambda case: case.airflow.fan_drive in words


_ELECTRIC_FANS = tuple(drive.value for drive in FanDrive if drive.electric)


def _has_valve(case: Case) -> bool:
    return case.thermostat.kind != "none" or case.thermostat.bypass != "none"


def _has_heater(case: Case) -> bool:
    return bool(np.any(case.heater.rated_output > 0.0))


_PUMP = (
    CaseChange("circuit.pump_flow", times),
    CaseChange("circuit.heater_flow", times),
    CaseChange("circuit.bypass_flow", times),
    CaseChange("circuit.pump_shutoff_pressure", lambda here, s: np.asarray(here * s**2)),
)
"""A pump that turns or conveys less, by the affinity laws: flow with speed, pressure with its square."""

_OFFSET = SeverityPrior("reads wrong by", "temperature difference", 12.0, 0.55, 3.0, 60.0)

_ALL = (
    Cause(CauseKey.HEALTHY),
    Cause(
        CauseKey.STUCK_OPEN,
        share("even cold it stays open by", 0.14, 1.3, 0.01, 1.0),
        (CaseChange("thermostat.minimum_opening", put),),
        {VisibleState.VALVE_COLD: same},
        applies=_has_valve,
    ),
    Cause(
        CauseKey.MISSING,
        None,
        (
            CaseChange("thermostat.closed_leak", constant(1.0)),
            CaseChange("thermostat.minimum_opening", constant(0.0)),
            CaseChange("thermostat.maximum_opening", constant(0.0)),
        ),
        {VisibleState.VALVE_GONE: one},
        applies=_has_valve,
    ),
    Cause(
        CauseKey.OPENS_EARLY,
        SeverityPrior("opens under its rating by", "temperature difference", 11.0, 0.5, 3.0, 45.0),
        (CaseChange("thermostat.start_to_open", less), CaseChange("thermostat.full_open", less)),
        {VisibleState.VALVE_EARLY: same},
        applies=_has_valve,
    ),
    Cause(
        CauseKey.SLOW,
        SeverityPrior("slower than usual by the factor", "number", 6.0, 0.5, 2.0, 30.0),
        (CaseChange("thermostat.time_constant", times),),
        applies=_has_valve,
    ),
    Cause(
        CauseKey.STUCK_SHUT,
        share("opens no further than", 0.03, 1.0, 0.0, 0.3),
        (CaseChange("thermostat.maximum_opening", put),),
        {VisibleState.VALVE_HOT: same},
        applies=_has_valve,
    ),
    Cause(
        CauseKey.LOW_COOLANT,
        share("share of the coolant missing", 0.3, 0.7, 0.05, 0.8),
        (
            CaseChange("circuit.heater_flow", lambda here, s: np.asarray(here * np.exp(-5.0 * s))),
            CaseChange("coolant.volume", without),
            CaseChange("circuit.aeration", lambda here, s: np.clip(here + 0.4 * s, 0.0, 0.6)),
        ),
        {VisibleState.LEVEL: same, VisibleState.LEAK: lambda s: np.full_like(s, 0.4)},
        not_simulated="where the air gathers",
    ),
    Cause(
        CauseKey.LEAK,
        share("share of the coolant missing", 0.08, 0.7, 0.01, 0.4),
        (),
        {VisibleState.LEAK: one, VisibleState.LEVEL: same},
        traceless=True,
        not_simulated="a leak by itself does not change the temperature while the level holds",
    ),
    Cause(
        CauseKey.HEATER_CORE,
        share("heater flow left", 0.15, 1.0, 0.01, 0.6),
        (CaseChange("circuit.heater_flow", times),),
        applies=_has_heater,
    ),
    Cause(
        CauseKey.HEATER_VALVE,
        share("heater valve stands open", 0.02, 1.0, 0.0, 0.15),
        (CaseChange("heater.valve", times),),
        applies=_has_heater,
    ),
    Cause(
        CauseKey.HEATER_BLEND,
        share("share of the air led through the core", 0.15, 1.0, 0.0, 0.6),
        (CaseChange("heater.blend", times),),
        applies=_has_heater,
    ),
    Cause(
        CauseKey.HEATER_AIR,
        share("blower's air left", 0.25, 0.7, 0.02, 0.7),
        (CaseChange("heater.blower_flow", times),),
        applies=_has_heater,
    ),
    Cause(
        CauseKey.HEATER_HOSES,
        share("heater output left", 0.75, 0.7, 0.3, 1.0),
        (CaseChange("heater.rated_output", times),),
        {VisibleState.HOSES_SWAPPED: one},
        applies=_has_heater,
        not_simulated="air trapped by the wrong direction of flow",
    ),
    Cause(
        CauseKey.PUMP_WEAK,
        share("pump conveys of its flow", 0.35, 0.8, 0.03, 0.8),
        _PUMP,
        {VisibleState.PUMP: same},
        applies=_belt_pump,
    ),
    Cause(
        CauseKey.PUMP_NOT_COMMANDED,
        share("pump conveys of its flow", 0.08, 1.0, 0.01, 0.5),
        _PUMP,
        {VisibleState.PUMP: same},
        applies=_commanded_pump,
    ),
    Cause(
        CauseKey.SUCTION_HOSE,
        share("pump conveys of its flow", 0.5, 0.6, 0.1, 0.9),
        _PUMP,
        {VisibleState.SUCTION: one},
        applies=_belt_pump,
        not_simulated="that it collapses at engine speed only",
    ),
    Cause(
        CauseKey.RADIATOR,
        share("tubes blocked", 0.6, 0.8, 0.15, 0.97),
        (CaseChange("radiator.blocked_tubes", at_least),),
    ),
    Cause(
        CauseKey.FACE,
        share("face blocked", 0.6, 0.8, 0.15, 0.97),
        (CaseChange("radiator.blocked_face", at_least),),
        {VisibleState.FACE: same},
    ),
    Cause(
        CauseKey.SEALS,
        None,
        (
            CaseChange("airflow.ram_recovery", by(SEALS_RAM)),
            CaseChange("airflow.recirculation", by(SEALS_RECIRCULATION, 0.6)),
        ),
        {VisibleState.SEALS_GONE: one},
        applies=lambda case: case.airflow.seals == "fitted",
    ),
    Cause(
        CauseKey.SHUTTER,
        share("shutter stands open", 0.08, 1.0, 0.0, 0.5),
        (CaseChange("airflow.shutter", times),),
        {VisibleState.SHUTTER: same},
    ),
    Cause(
        CauseKey.FAN_OFF,
        None,
        (
            *(CaseChange(f"airflow.{name}", constant(520.0)) for name in ("fan_on", "fan_high_on")),
            *(CaseChange(f"airflow.{name}", constant(510.0)) for name in ("fan_off", "fan_high_off")),
            CaseChange("airflow.air_conditioning_fan", constant(0.0)),
        ),
        {VisibleState.FAN_RUNS: lambda s: 0.0 * s},
        applies=_drive(*_ELECTRIC_FANS),
    ),
    Cause(
        CauseKey.FAN_ON,
        None,
        (
            *(CaseChange(f"airflow.{name}", constant(180.0)) for name in ("fan_on", "fan_high_on", "clutch_air_full")),
            *(
                CaseChange(f"airflow.{name}", constant(170.0))
                for name in ("fan_off", "fan_high_off", "clutch_air_start")
            ),
        ),
        {VisibleState.FAN_ALWAYS: one},
        applies=_drive(*_ELECTRIC_FANS, "viscous clutch"),
    ),
    Cause(
        CauseKey.CLUTCH,
        share("fan flow left", 0.3, 0.7, 0.05, 0.8),
        (CaseChange("airflow.fan_free_flow", times),),
        {VisibleState.FAN_RUNS: same},
        applies=_drive("viscous clutch"),
    ),
    Cause(
        CauseKey.FAN_REVERSED,
        share("fan flow left", 0.15, 0.5, 0.02, 0.4),
        (CaseChange("airflow.fan_free_flow", times), CaseChange("airflow.ram_recovery", by(0.85))),
        {VisibleState.FAN_BACKWARD: one},
        applies=_drive(*_ELECTRIC_FANS),
        not_simulated="air driven forward: it is taken as a fan that gives next to nothing",
    ),
    Cause(
        CauseKey.CAP,
        share("pressure that the cap holds", 0.3, 1.0, 0.0, 0.8),
        (),
        {VisibleState.CAP: same},
        traceless=True,
    ),
    Cause(
        CauseKey.MIXTURE,
        share("concentration off by", 0.25, 0.5, 0.1, 0.5),
        (),
        {VisibleState.MIXTURE: same},
        traceless=True,
        not_simulated="the few per cent by which its properties change the temperature",
    ),
    Cause(CauseKey.SENSOR_LOW, _OFFSET, (), {VisibleState.SENSOR_ERROR: same}, SensorFault.LOW),
    Cause(CauseKey.SENSOR_HIGH, _OFFSET, (), {VisibleState.SENSOR_ERROR: same}, SensorFault.HIGH),
    Cause(CauseKey.SENSOR_ERRATIC, None, (), {VisibleState.ERRATIC: one}, SensorFault.ERRATIC, broad=12.0),
    Cause(
        CauseKey.SENSOR_AIR,
        share("of coolant over air not shown", 0.35, 0.7, 0.05, 0.9),
        states={VisibleState.LEVEL: lambda s: 0.15 + 0.0 * s},
        sensor=SensorFault.IN_AIR,
    ),
    Cause(
        CauseKey.GAS,
        share("share of the coolant missing", 0.08, 0.8, 0.01, 0.5),
        (),
        {VisibleState.GAS: one, VisibleState.LEVEL: same},
        traceless=True,
        not_simulated="gas that gathers in the heater or at the sensor",
    ),
    Cause(
        CauseKey.EXCESS_HEAT,
        SeverityPrior("heat into the coolant, times", "number", 1.6, 0.25, 1.15, 3.0),
        (
            CaseChange("engine.coolant_share_rated", lambda here, s: np.minimum(here * s, 0.75)),
            CaseChange("engine.coolant_share_idle", lambda here, s: np.minimum(here * s, 0.9)),
        ),
    ),
    Cause(CauseKey.NOT_IN_LIST, broad=25.0),
)
CAUSES: Mapping[CauseKey, Cause] = {cause.fault: cause for cause in _ALL}


def applicable(case: Case) -> tuple[Cause, ...]:
    """The causes that this vehicle can have, in the order of the catalogue."""
    return tuple(cause for cause in CAUSES.values() if cause.applies(case))


def healthy_case(case: Case) -> Case:
    """The case with everything healthy that a cause of the list would change, a wax valve of the same rating included.

    What a person entered to describe a fault (a valve that does not close, blocked tubes) is what the diagnosis is to
    find: it is no knowledge of the vehicle.
    """
    words = {} if case.airflow.seals == "fitted" else {"airflow.seals": "fitted"}
    zero, whole = np.zeros(1), np.ones(1)
    return with_values(
        case,
        {
            **healthy_valve(case),
            **words,
            "radiator.blocked_tubes": zero,
            "radiator.blocked_face": zero,
            "airflow.shutter": whole,
            "circuit.aeration": zero,
            "heater.valve": whole,
        },
    )


def changed(case: Case, causes: tuple[tuple[Cause, slice, Array], ...], members: int) -> Case:
    """An ensemble with each cause on its own members; ``causes``: cause, its members, and z of its severity there.

    Several causes on the same members act one after the other.
    """
    values: dict[str, Array] = {}
    for cause, where, z in causes:
        s = np.zeros(where.stop - where.start) if cause.severity is None else cause.severity.value(z)
        for change in cause.changes:
            if change.where not in values:
                values[change.where] = np.broadcast_to(value_at(case, change.where), (members,)).copy()
            column = values[change.where]
            column[where] = change.act(column[where], s)
    return with_values(case, values) if values else case


def states_of(causes: tuple[tuple[Cause, slice, Array], ...], members: int) -> dict[VisibleState, Array]:
    """What a look would tell of each member."""
    found = {state: np.full(members, value) for state, value in HEALTHY_STATE.items()}
    for cause, where, z in causes:
        s = np.zeros(where.stop - where.start) if cause.severity is None else cause.severity.value(z)
        for state, of in cause.states.items():
            found[state][where] = of(s)
    return found
