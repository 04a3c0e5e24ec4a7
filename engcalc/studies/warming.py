"""Where a sound vehicle's coolant would stand some time after the start: one lump, valve shut, in closed form.

    C dT/dt = Q - U (T - T_ambient)   gives   T(t) = T_end + (T_0 - T_end) exp(-U t/C),   T_end = T_ambient + Q/U

C is the engine's metal with the coolant on the engine's side, Q the heat into metal and coolant at the running
condition, U what the plant loses per kelvin with the valve held shut (heater, surface, bleed hole; from the solver).
The valve's regulation cuts the curve off. Lumped capacity: Incropera, Fundamentals of Heat and Mass Transfer, 7th
edition, eq. 5.25. It is meant for one reading taken by hand; the spread says how far it goes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from engcalc.case.case import Case, with_values
from engcalc.case.records import Record
from engcalc.components.coolant_heater import prepare_coolant_heater
from engcalc.components.engine import PreparedEngine, engine_heat, engine_load, prepare_engine
from engcalc.components.heater import HeaterFlows, PreparedHeater, heater_exchange, prepare_heater
from engcalc.properties.air import air_state, pressure_at_altitude
from engcalc.properties.coolant import Base, Coolant
from engcalc.studies.members import member
from engcalc.studies.uncertainty import consistent, drawn_values, scores, uncertain_inputs
from engcalc.system.drive import steady_drive
from engcalc.system.parked import preheat_of
from engcalc.system.plant import METAL_CP, Plant
from engcalc.system.state import HEATER_AIR_SHARE, REGIMES, Conditions, OperatingPoint, Regime
from engcalc.system.warmup import warm_up
from engcalc.units import Array

ENGINE_SIDE = 0.7  # share of the coolant that warms while the valve is shut; common practice, no source
RATE_SPREAD = 0.15  # standard deviation, as a share, of heat into the lump: what one lump leaves out; common practice
HOT_START_TIME = 120.0  # s, in which an open valve takes off most of what a hot start is over; common practice
_PROBE = 60.0  # K over ambient at which the heater's conductance is read; it is all but linear
_SECTIONS = ("engine", "coolant", "thermostat", "heater", "cabin", "circuit", "vehicle")
# Share of the time that the engine runs, lowest and highest: start-stop, not noted, none; common practice, no source
RUNNING_SHARE = {"yes": (0.5, 1.0), "unknown": (0.85, 1.0), "no": (1.0, 1.0)}


@dataclass(frozen=True, eq=False)
class Stretch:
    """One stretch of the running schedule: conditions of one member, heater setting, end [s], infinite for the last."""

    conditions: Conditions
    heater: str
    end: float


@dataclass(frozen=True, eq=False)
class SoundEnd:
    """Where the sound vehicle settles at the end of a path, and what it loses in each stretch with its valve shut."""

    temperature: float  # K
    regime: Regime
    losses: tuple[float, ...]  # W per kelvin of engine outlet over ambient, one for each stretch
    added: tuple[float, ...]  # W that a coolant heater adds there, one for each stretch

    @classmethod
    def of(cls, settled: OperatingPoint, shut: Sequence[OperatingPoint], path: Sequence[Stretch]) -> SoundEnd:
        """From the solved points (one member each) with the valve free at the end and held shut in each stretch."""
        losses = tuple(_loss(p, s.conditions) for p, s in zip(shut, path, strict=True))
        added = tuple(float(p.coolant_heater_heat[0]) for p in shut)
        return cls(float(settled.coolant_out[0]), REGIMES[int(settled.regime[0])], losses, added)


def _loss(point: OperatingPoint, conditions: Conditions) -> float:
    """Heat lost per kelvin [W/K]; a member that boils shows its balance at the boiling point, the rest as residual."""
    lost = float((point.heat_to_metal + point.extra_heat + point.coolant_heater_heat - point.energy_residual)[0])
    return max(lost, 0.0) / max(float((point.coolant_out - conditions.ambient)[0]), 1.0)


@dataclass(frozen=True, eq=False)
class Expected:
    """Coolant temperature of a sound vehicle at a time [K]: nominal, and 5 to 95 % of the ensemble."""

    nominal: float
    low: float
    high: float
    start: float  # K
    settled: float  # K, nominal


TOWN = 50.0 / 3.6  # m/s; how a vehicle that moved is taken to have moved where nothing says it


def paths(record: Record, duties: Conditions) -> tuple[tuple[Stretch, ...], ...]:
    """The ways in which the vehicle may have run up to a reading: its schedule, one way, if that was noted.

    Else two, the one that it moved first: it ran the first duty that is not idling (town, where all are), or it idled.
    """
    weather = {} if record.ambient is None else {"ambient": record.ambient}
    first = member(duties, 0).replace(**weather)
    absent = np.full(1, np.nan)
    unloaded = {"brake_power": absent, "fuel_flow": absent, "grade": np.zeros(1), "trailer_mass": np.zeros(1)}
    if record.schedule:
        return (_scheduled(record, first.replace(**unloaded)),)
    share = {"heater_air_share": np.full(1, HEATER_AIR_SHARE[record.heater_setting])}
    idle = first.replace(vehicle_speed=np.zeros(1), engine_speed=absent, **unloaded, **share)
    loaded = np.flatnonzero((duties.vehicle_speed > 0.0) | (np.nan_to_num(duties.brake_power) > 0.0))
    town = idle.replace(vehicle_speed=np.full(1, TOWN))
    ran = member(duties, int(loaded[0])).replace(**weather, **share) if loaded.size else town
    return tuple((Stretch(c, record.heater_setting, np.inf),) for c in (ran, idle))


def _scheduled(record: Record, unloaded: Conditions) -> tuple[Stretch, ...]:
    found, end = [], 0.0
    for step in record.schedule:
        end += float(step.duration[0])
        setting = record.heater_setting if step.heater == "unknown" else step.heater
        n = np.full(1, np.nan) if step.engine_speed is None else step.engine_speed
        conditions = unloaded.replace(vehicle_speed=step.vehicle_speed, engine_speed=n,
                                      heater_air_share=np.full(1, HEATER_AIR_SHARE[setting]))
        found.append(Stretch(conditions, setting, end))
    return (*found[:-1], Stretch(found[-1].conditions, found[-1].heater, np.inf))


def expected(plant: Plant, case: Case, record: Record, path: Sequence[Stretch], time: float, end: SoundEnd,
             members: int, seed: int) -> Expected:
    """What a sound vehicle would show ``time`` [s] after the start; ``plant`` is that of the case.

    The ensemble draws the vehicle's inputs, an unknown heater setting anywhere between off and high, engine-off phases,
    and what the single lump leaves out.
    """
    start = _start(plant, case, record, path[0].conditions)
    nominal = _Lump(case, (plant.engine, plant.heater), record, end, start, 0, seed)
    drawn = {u.path: u for u in uncertain_inputs(case) if u.path.split(".")[0] in _SECTIONS}
    ensemble = consistent(with_values(case, dict(drawn_values(tuple(drawn.values()), members, seed))))
    parts = prepare_engine(ensemble), prepare_heater(ensemble)
    many = _Lump(ensemble, parts, record, end, start, members, seed, nominal)
    low, high = np.quantile(many.at(path, time), (0.05, 0.95))
    centre, settled = float(nominal.at(path, time)[0]), float(nominal.at(path, np.inf)[0])
    return Expected(centre, float(min(low, centre)), float(max(high, centre)), float(start[0]), settled)


def _start(plant: Plant, case: Case, record: Record, conditions: Conditions) -> Array:
    """Coolant at the start [K]: as it was read, else where heaters before the start brought it, else ambient."""
    if record.start_temperature is not None:
        return record.start_temperature
    preheat = preheat_of(case, record, start_was_read=False)
    if preheat is None:
        return conditions.ambient
    drive = replace(steady_drive(conditions, conditions.ambient, 1.0), preheat=preheat)
    return np.asarray(warm_up(plant, drive).coolant[0])


class _Lump:
    """The lump of one case or ensemble; ``members`` 0 is the nominal case with nothing drawn."""

    def __init__(self, case: Case, parts: tuple[PreparedEngine, PreparedHeater], record: Record, end: SoundEnd,
                 start: Array, members: int, seed: int, nominal: _Lump | None = None) -> None:
        self.members, self.seed, self.record = members, seed, record
        self.engine, self.heater = parts
        self.nominal = self if nominal is None else nominal
        self.case, self.start, self.end = case, start, end
        mix = Coolant(Base(case.coolant.base), case.coolant.concentration)
        warm = mix.state(np.full(1, 333.15))  # K; 60 degC, midway
        self.cp, self.rho = warm.cp, warm.rho
        self.capacity = case.engine.metal_mass * METAL_CP + ENGINE_SIDE * case.coolant.volume * warm.rho * warm.cp
        opens = case.thermostat.start_to_open
        regulates = end.regime is not Regime.FLOATING_BELOW
        shift = opens - self.nominal.case.thermostat.start_to_open
        self.cap = end.temperature + shift if regulates else np.maximum(opens, end.temperature)

    def at(self, path: Sequence[Stretch], time: float) -> Array:
        """Temperature [K] of each member at a time [s]."""
        T, begun = self.start, 0.0
        for stretch, loss, added in zip(path, self.end.losses, self.end.added, strict=True):
            lasts = max(min(time, stretch.end) - begun, 0.0)
            T_end, rate = self._end_and_rate(stretch, loss, added)
            free = T_end + (T - T_end) * np.exp(-rate * lasts)
            cooled = self.cap + (T - self.cap) * np.exp(-lasts / HOT_START_TIME)
            T = np.where(self.cap >= T, np.minimum(free, self.cap), cooled)
            begun = stretch.end
        return np.asarray(T)

    def _end_and_rate(self, stretch: Stretch, loss: float, added: float) -> tuple[Array, Array]:
        """Asymptote [K] and rate U/C [1/s] of one stretch.

        The solver's loss of the nominal vehicle, in proportion to what surface and heater of a drawn one make of it.
        Friction counts at the settled temperature: what cold oil adds is left out, on the cautious side. A coolant
        heater begins with its full power and ends with what it adds where the coolant settles: so do slope and end.
        """
        c = stretch.conditions
        load = engine_load(self.engine, c)
        engine = engine_heat(self.engine, load, np.full(1, self.end.temperature))
        heat = (engine.heat_to_metal + engine.extra_heat) * self._running() * self._rate_factor()
        own, typical = self._own_loss(stretch), self.nominal._own_loss(stretch)
        U = loss * own / np.maximum(typical, 1e-9) if self.members else np.full(1, loss)
        U = np.maximum(U, 1e-3)  # W/K; a lump without loss still has an asymptote, far above any cap
        settles, begins = heat + added, heat + np.maximum(self._coolant_heater(c), added)
        steeper = np.where(settles > 0.0, begins / np.where(settles > 0.0, settles, 1.0), 1.0)
        return c.ambient + settles / U, U * steeper / self.capacity

    def _coolant_heater(self, c: Conditions) -> Array:
        """Full power [W] of the coolant heater at the share that ran; anywhere up to all of it where nobody noted."""
        share = c.coolant_heater
        if self.record.auxiliary_heater == "unknown" and self.members:
            share = _uniform("evidence.coolant_heater", self.members, self.seed, 0.0, 1.0)
        return prepare_coolant_heater(self.case).power * share

    def _own_loss(self, stretch: Stretch) -> Array:
        """Surface and heater alone [W/K]; tells how a drawn vehicle differs from the nominal one."""
        n = engine_load(self.engine, stretch.conditions).engine_speed
        return np.asarray(self.case.engine.surface_conductance + self._heater_conductance(stretch, n))

    def _heater_conductance(self, stretch: Stretch, engine_speed: Array) -> Array:
        """Heat per kelvin of coolant over ambient [W/K] that the heater takes."""
        circuit, c = self.case.circuit, stretch.conditions
        turns = engine_speed * circuit.pump_ratio / circuit.pump_flow_speed
        turns = np.ones(1) if circuit.pump_drive == "electric" else np.minimum(turns, 1.5)
        share = c.heater_air_share
        if stretch.heater == "unknown" and self.members:
            share = _uniform("evidence.heater", self.members, self.seed, 0.0, 1.0)
        air = air_state(c.ambient, pressure_at_altitude(c.altitude), np.zeros(1))
        flow = circuit.heater_flow * turns * self.case.heater.valve * self.rho
        result = heater_exchange(self.heater, HeaterFlows(flow, self.cp, c.ambient + _PROBE, c.ambient, air.rho, air.cp,
                                                          share))
        return np.maximum(result.heat, 0.0) / _PROBE

    def _running(self) -> Array:
        low, high = RUNNING_SHARE[self.record.engine_off_phases]
        if not self.members:
            return np.full(1, 0.5 * (low + high))
        return _uniform("evidence.running", self.members, self.seed, low, high)

    def _rate_factor(self) -> Array:
        if not self.members:
            return np.ones(1)
        return np.asarray(np.exp(RATE_SPREAD * scores("evidence.rate", self.members, self.seed)))


def _uniform(path: str, members: int, seed: int, low: float, high: float) -> Array:
    """Evenly spread members between two bounds, in an order of their own."""
    rank = np.argsort(np.argsort(scores(path, members, seed)))
    return np.asarray(low + (high - low) * (rank + 0.5) / members)
