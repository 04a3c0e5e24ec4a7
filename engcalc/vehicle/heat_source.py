"""Fuel power from a log, by the best channel that it has.

From the surest to the least: fuel rate; air mass flow over the stoichiometric ratio times lambda; speed and density of
the charge; absolute load (SAE J1979 identifier 43); road load from speed and acceleration; calculated load
(identifier 04), which is a ratio and no charge. The air of a compression-ignition engine says nothing of how much fuel
it burns; but its charge pressure rises where it pulls, which tells when the work of a level road was done: uphill, or
against the wind.

What counts as heat is the fuel that burns. A spark engine burns what its air allows; of a richer mixture the rest
leaves unburnt with the exhaust. How rich it is, a log tells by its commanded mixture; else a cold petrol engine counts
as rich as ``cold_mixture`` has it.

Time runs down the rows, ensemble members of the engine stand on the last axis.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from engcalc.case.conditions import only_given
from engcalc.components.cold_mixture import richness
from engcalc.components.engine import PreparedEngine, engine_heat, engine_load, idling_at, road_power
from engcalc.logs.channels import Channel
from engcalc.logs.record import LogRecord, Resampled
from engcalc.logs.sensors import RUNNING
from engcalc.properties.air import R_DRY
from engcalc.properties.fuel import FUELS, Fuel, FuelData, Ignition
from engcalc.system.in_time.patterns import ROTATING_MASS
from engcalc.units import Array
from engcalc.words.texts import record_texts

Mask = NDArray[np.bool_]

VOLUMETRIC_EFFICIENCY = 0.85  # -, of the charge at manifold density; 0.75 to 0.95, common practice, no source
LOAD_DENSITY = 1.184  # kg/m3; air at 25 degC and 1 atm, the reference of absolute load in SAE J1979
LAMBDA_LIMITS = (0.5, 3.0)  # -, a commanded ratio beyond is no mixture that burns
LAMBDA_CUT = 1.7  # -, leaner than any spark engine runs: the fuel is cut
CUT_SPEED = 20.0  # rev/s (1200 rpm); below it the fuel comes back, common practice
CUT_PEDAL = 0.01  # of full travel above the closed position
CUT_MOVING = 3.0  # m/s
CUT_PRESSURE = 45e3  # Pa; a driven engine with a closed throttle draws less than any that pulls; common practice
CUT_SLOWING = -0.1  # m/s2; without a manifold pressure, losing speed tells overrun from cruise control
LEAST_COVERAGE = 0.5  # of the record's time for which a channel must be known
T_AIR_UNKNOWN = 293.15  # K
T_WARM = 363.15  # K, oil where the log has no temperature
CHARGED = 1.05  # over the pressure of an engine without boost: a turbocharger works, so the engine pulls
CHARGE_BASE = 0.5  # of that pressure: work per stroke of a compression-ignition engine grows with what is over it
CHARGE_SHARE = 0.5  # of the road's work that is laid where the charge tells; these three by trials on one real car
AT_A_STAND = 0.20  # relative; of an idling engine's fuel that nothing measured: consumers, fast idle; common practice
STANDS = 0.5  # m/s, below which a vehicle stands
_SMOOTH = 5  # seconds over which a road speed in whole km/h is smoothed before it is differentiated


class HeatSource(StrEnum):
    """The channel that fuel power comes from."""

    FUEL_RATE = "fuel rate"
    AIR_FLOW = "air mass flow"
    SPEED_DENSITY = record_texts.MANIFOLD_PRESSURE_AND_ENGINE_SPEED
    ABSOLUTE_LOAD = "absolute load"
    ROAD_LOAD = "road load"
    CALCULATED_LOAD = "calculated load"

    @property
    def of_the_road(self) -> bool:
        """Worked out from speeds alone: no fuel, air or load was measured."""
        return self is HeatSource.ROAD_LOAD


@dataclass(frozen=True, eq=False)
class FuelPower:
    """Fuel power of a record.

    time [s] shape (n,); power [W] of the fuel that burns, shape (n, members); ``richness`` [-] of all fuel over that, 1
    or more, of the same shape; ``relative_uncertainty`` is the standard uncertainty of the
    whole curve (it is mostly common to all samples); ``fuel_cut`` and ``known`` shape (n,). ``passed_over`` says for
    each better source why it was not used.
    """

    time: Array
    power: Array
    richness: Array
    source: HeatSource
    relative_uncertainty: float
    reason: str
    passed_over: Mapping[HeatSource, str]
    fuel_cut: Mask
    known: Mask


@dataclass(frozen=True, eq=False)
class _Drive:
    """The record on its even grid, beside the engine and its fuel; column vectors against members."""

    record: LogRecord
    even: Resampled
    engine: PreparedEngine
    burns: Fuel
    altitude: Array

    @property
    def fuel(self) -> FuelData:
        return FUELS[self.burns]

    def column(self, channel: Channel, otherwise: float = np.nan) -> Array:
        if channel in self.even.values:
            return self.even.values[channel][:, None]
        return np.full((self.even.time.size, 1), otherwise)

    def has(self, channel: Channel) -> bool:
        return channel in self.even.known and float(np.mean(self.even.known[channel])) >= LEAST_COVERAGE

    @property
    def relative_ratio(self) -> Array:
        """Lambda: as commanded where the log has it, else as the case gives it, richer while the engine is cold."""
        if Channel.EQUIVALENCE_RATIO in self.even.values:
            ratio = self.column(Channel.EQUIVALENCE_RATIO)
        else:
            ratio = self.engine.air_ratio[None, :] / self._cold_richness
        return np.asarray(np.clip(ratio, *LAMBDA_LIMITS))

    @property
    def _cold_richness(self) -> Array:
        """Of a cold engine whose mixture nobody logged; 1 where nobody logged the coolant."""
        return richness(self.burns, self.column(Channel.COOLANT, T_WARM), self.even.time[:, None])

    @property
    def richness(self) -> Array:
        """All fuel over the fuel that its air burns [-]; a compression-ignition engine has air to spare."""
        if self.fuel.ignition is Ignition.COMPRESSION:
            return np.ones((1, 1))
        return np.asarray(np.maximum(1.0 / self.relative_ratio, 1.0))

    @property
    def swept(self) -> Array:
        """Volume drawn in [m3/s]."""
        return self.engine.displacement * self.column(Channel.ENGINE_SPEED) * self.engine.cycles_per_turn

    def from_air(self, air: Array) -> Array:
        """Power [W] of the fuel that an air flow [kg/s] burns: of a lean mixture all that is in it."""
        fuel = air / (self.fuel.stoichiometric_ratio * np.maximum(self.relative_ratio, 1.0))
        return fuel * self.fuel.lower_heating_value


def _by_fuel_rate(d: _Drive) -> Array:
    if d.has(Channel.FUEL_MASS_RATE):
        flow = d.column(Channel.FUEL_MASS_RATE)
    else:
        flow = d.column(Channel.FUEL_RATE) * d.fuel.density
    return flow * d.fuel.lower_heating_value / d.richness


def _by_air_flow(d: _Drive) -> Array:
    return d.from_air(d.column(Channel.AIR_FLOW))


def _by_speed_density(d: _Drive) -> Array:
    rho = d.column(Channel.MANIFOLD_PRESSURE) / (R_DRY * d.column(Channel.INTAKE_AIR, T_AIR_UNKNOWN))
    return d.from_air(VOLUMETRIC_EFFICIENCY * rho * d.swept)


def _by_absolute_load(d: _Drive) -> Array:
    return d.from_air(d.column(Channel.ABSOLUTE_LOAD) * LOAD_DENSITY * d.swept)


def _by_road_load(d: _Drive) -> Array:
    v = np.maximum(d.column(Channel.VEHICLE_SPEED), 0.0)
    acceleration = np.gradient(_smoothed(v[:, 0]), d.even.time)[:, None]
    n = d.column(Channel.ENGINE_SPEED) if d.has(Channel.ENGINE_SPEED) else np.full(1, np.nan)
    ambient = np.full(1, d.record.ambient or T_AIR_UNKNOWN)
    # level road, no trailer, nothing switched on: as far as a log can tell
    road = only_given(
        vehicle_speed=v, engine_speed=n, ambient=ambient, altitude=d.altitude, air_conditioning=np.full(1, -1.0)
    )
    guessed = idling_at(d.engine, engine_load(d.engine, road), d.column(Channel.COOLANT, T_WARM))
    accelerating = d.engine.mass * ROTATING_MASS * acceleration * v
    wheel = road_power(d.engine, road) + accelerating
    eta = d.engine.driveline_efficiency
    crank = np.where(wheel >= 0.0, wheel / eta, wheel * eta)
    brake = _laid_by_charge(d, crank) + d.engine.accessories.base
    load = replace(guessed, brake_power=np.broadcast_to(brake, guessed.brake_power.shape))
    oil = d.column(Channel.OIL) if d.has(Channel.OIL) else d.column(Channel.COOLANT, T_WARM)
    return engine_heat(d.engine, load, np.broadcast_to(oil, load.engine_speed.shape)).fuel_power


def _charge_tells(d: _Drive) -> bool:
    """Whether a compression-ignition engine shows by its charge pressure when it pulls."""
    return d.fuel.ignition is Ignition.COMPRESSION and d.has(Channel.MANIFOLD_PRESSURE) and d.has(Channel.ENGINE_SPEED)


def _laid_by_charge(d: _Drive, brake: Array) -> Array:
    """The work of a level road [W], half of it laid where the charge pressure and the pedal tell that it was done."""
    if not _charge_tells(d):
        return brake
    charge = np.nan_to_num(d.column(Channel.MANIFOLD_PRESSURE))
    plain = np.percentile(charge[charge > 0.0], 5.0) if (charge > 0.0).any() else np.inf
    pulls = charge > CHARGED * plain
    if d.has(Channel.PEDAL):
        pedal = d.column(Channel.PEDAL)
        pulls |= pedal > np.nanpercentile(pedal, 1.0) + CUT_PEDAL
    share = np.where(
        pulls, np.maximum(charge - CHARGE_BASE * plain, 0.0) * np.nan_to_num(d.column(Channel.ENGINE_SPEED)), 0.0
    )
    whole = share.sum()
    if not whole > 0.0:
        return brake
    work = np.maximum(brake, 0.0).sum(axis=0)
    return np.asarray(brake + CHARGE_SHARE * (share / whole * work - brake))


def _smoothed(x: Array) -> Array:
    """Moving mean with its ends held."""
    if x.size < 2:
        return x
    padded = np.pad(x, _SMOOTH // 2, mode="edge")
    return np.convolve(padded, np.full(_SMOOTH, 1.0 / _SMOOTH), mode="valid")


def _by_calculated_load(d: _Drive) -> Array:
    """A share of what the engine could burn at that speed, taken in proportion to speed from the rated point."""
    full = d.engine.fuel_rated * d.column(Channel.ENGINE_SPEED) / d.engine.rated_speed
    return np.clip(d.column(Channel.CALCULATED_LOAD), 0.0, 1.0) * full


@dataclass(frozen=True)
class _Rule:
    """What a source needs, how sure it is (relative standard uncertainty; common practice, no source), and why."""

    needs: tuple[tuple[Channel, ...], ...]  # every group by any one of its channels
    spark_only: bool
    uncertainty: float
    reason: str
    power: Callable[[_Drive], Array]


_SPEED = (Channel.ENGINE_SPEED,)
_RULES: Mapping[HeatSource, _Rule] = {
    HeatSource.FUEL_RATE: _Rule(
        ((Channel.FUEL_RATE, Channel.FUEL_MASS_RATE),),
        False,
        0.06,
        record_texts.CONTROL_UNIT_REPORTS_THE_FUEL_ITSELF,
        _by_fuel_rate,
    ),
    HeatSource.AIR_FLOW: _Rule(
        ((Channel.AIR_FLOW,),), True, 0.08, record_texts.FUEL_THAT_BURNS_FOLLOWS_FROM_THE_AIR_MASS, _by_air_flow
    ),
    HeatSource.SPEED_DENSITY: _Rule(
        ((Channel.MANIFOLD_PRESSURE,), _SPEED),
        True,
        0.15,
        record_texts.AIR_IS_COMPUTED_FROM_MANIFOLD_PRESSURE,
        _by_speed_density,
    ),
    HeatSource.ABSOLUTE_LOAD: _Rule(
        ((Channel.ABSOLUTE_LOAD,), _SPEED),
        True,
        0.12,
        record_texts.ABSOLUTE_LOAD_IS_THE_AIR_OF_EACH,
        _by_absolute_load,
    ),
    HeatSource.ROAD_LOAD: _Rule(
        ((Channel.VEHICLE_SPEED,),),
        False,
        0.10,
        record_texts.ENGINES_WORK_IS_COMPUTED_FROM_ROAD,
        _by_road_load,
    ),
    HeatSource.CALCULATED_LOAD: _Rule(
        ((Channel.CALCULATED_LOAD,), _SPEED),
        False,
        0.40,
        record_texts.CALCULATED_LOAD_IS_ONLY_A_SHARE,
        _by_calculated_load,
    ),
}
"""In the order of preference. Speed-density stands before absolute load as fewer control units model the latter."""


def fuel_power(
    record: LogRecord,
    engine: PreparedEngine,
    fuel: Fuel,
    *,
    step: float = 1.0,
    altitude: Array | None = None,
    source: HeatSource | None = None,
) -> FuelPower | None:
    """Fuel power over the record on an even grid of ``step`` seconds from engine start; None when no channel tells it.

    ``altitude`` [m] shape (members,) or (1,) matters to road load only. ``source`` insists on one source (None again
    when the log does not have it).
    """
    even = record.resampled(step)
    d = _Drive(record, even, engine, fuel, np.zeros(1) if altitude is None else altitude)
    passed: dict[HeatSource, str] = {}
    for candidate, rule in _RULES.items():
        if source is not None and candidate is not source:
            continue
        why_not = _why_not(rule, d)
        if why_not:
            passed[candidate] = why_not
            continue
        return _fuel_power(candidate, rule, d, passed)
    return None


def _why_not(rule: _Rule, d: _Drive) -> str:
    if d.even.time.size < 2:
        return record_texts.RECORD_IS_TOO_SHORT
    missing = [group[0].value for group in rule.needs if not any(d.has(channel) for channel in group)]
    if missing:
        return record_texts.NOT_IN_THE_LOG.format(missing=", ".join(missing).replace("_", " "))
    if rule.spark_only and d.fuel.ignition is Ignition.COMPRESSION:
        return record_texts.AIR_OF_A_COMPRESSION_IGNITION_ENGINE
    return ""


def _fuel_power(source: HeatSource, rule: _Rule, d: _Drive, passed: Mapping[HeatSource, str]) -> FuelPower:
    cut = _fuel_cut(source, d)
    standing = (d.column(Channel.ENGINE_SPEED)[:, 0] < RUNNING) if d.has(Channel.ENGINE_SPEED) else np.zeros_like(cut)
    power = np.where((cut | standing)[:, None], 0.0, np.maximum(rule.power(d), 0.0))
    used = [channel for group in rule.needs for channel in group if d.has(channel)]
    known = np.logical_and.reduce([d.even.known[channel] for channel in used])
    power.flags.writeable = False
    reason = rule.reason
    if source is HeatSource.ROAD_LOAD and _charge_tells(d):
        reason += record_texts.HALF_OF_THAT_WORK_PLACED
    rich = np.broadcast_to(d.richness, power.shape)
    doubt = float(np.hypot(rule.uncertainty, AT_A_STAND * _at_a_stand(d, power) if source.of_the_road else 0.0))
    return FuelPower(d.even.time, power, rich, source, doubt, reason, passed, cut, known)


def _at_a_stand(d: _Drive, power: Array) -> float:
    """Share of the fuel's heat that the engine makes while the vehicle stands."""
    stands = d.column(Channel.VEHICLE_SPEED)[:, 0] < STANDS
    return float(power[stands].sum() / max(power.sum(), 1e-9))


def _fuel_cut(source: HeatSource, d: _Drive) -> Mask:
    """Where the engine is driven by the vehicle with its fuel shut off.

    A fuel rate shows it by itself, and so does road load. Else: the commanded mixture leaner than any that burns, or
    the pedal (without one, the throttle) closed above 1200 rpm under way while nothing pulls. With cruise control the
    pedal is closed too: a low manifold pressure, or else a falling road speed, tells the two apart.
    """
    nothing = np.zeros(d.even.time.size, dtype=bool)
    if source in (HeatSource.FUEL_RATE, HeatSource.ROAD_LOAD):
        return nothing
    lean = d.column(Channel.EQUIVALENCE_RATIO, 1.0)[:, 0] >= LAMBDA_CUT
    lever = next((c for c in (Channel.PEDAL, Channel.THROTTLE) if d.has(c)), None)
    if lever is None or not d.has(Channel.ENGINE_SPEED):
        return np.asarray(lean)
    position = d.column(lever)[:, 0]
    closed = position <= np.percentile(position, 1.0) + CUT_PEDAL
    fast = d.column(Channel.ENGINE_SPEED)[:, 0] > CUT_SPEED
    moving = d.column(Channel.VEHICLE_SPEED, np.inf)[:, 0] > CUT_MOVING
    return np.asarray(lean | closed & fast & moving & _unloaded(d))


def _unloaded(d: _Drive) -> Mask:
    """Where the engine does not pull, as far as manifold pressure or else road speed tells it."""
    if d.has(Channel.MANIFOLD_PRESSURE):
        return np.asarray(d.column(Channel.MANIFOLD_PRESSURE)[:, 0] < CUT_PRESSURE)
    if d.has(Channel.VEHICLE_SPEED):
        v = _smoothed(d.column(Channel.VEHICLE_SPEED)[:, 0])
        return np.asarray(np.gradient(v, d.even.time) < CUT_SLOWING)
    return np.zeros(d.even.time.size, dtype=bool)
