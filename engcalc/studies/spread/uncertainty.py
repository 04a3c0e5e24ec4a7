"""What the inputs' uncertainty makes of an answer: an ensemble of cases, drawn once, solved in one call.

Every input with a stated or typical uncertainty is drawn from its law about its value, held to what the catalogue
accepts; values that follow from others move along. The conductance that the radiator's dimensions predict is
itself uncertain (``UA factor``). Propagating distributions in this way is JCGM 101:2008 (GUM Supplement 1).

Each input has its own law (:mod:`engcalc.studies.spread.laws`), normal where none is stated, and may go with another
one.

Draws are a Latin hypercube (McKay, Beckman & Conover, Technometrics 21 (1979) 239): each input takes the midpoints of
equally probable strata once, in an order that depends on the seed and on the input's path alone. So the draws of one
input stay as they are when another is added.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from statistics import NormalDist
from typing import Protocol, TypeVar
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from engcalc.case.case import Case, frozen_array, value_at, with_values
from engcalc.case.catalogue import entry, pattern_of
from engcalc.case.conditions import TYPED_NUMBERS, Conditions
from engcalc.case.declare import Basis, SpreadLaw
from engcalc.case.sections.airflow import Airflow
from engcalc.case.sections.radiator import Radiator
from engcalc.case.sections.thermostat import Thermostat
from engcalc.case.whole import derive, pitch_stands_alone
from engcalc.components.core import PREDICTION_HIGH, PREDICTION_LOW
from engcalc.components.engine import available_power, prepare_engine
from engcalc.studies.spread.laws import correlated, normal_share, quantile
from engcalc.system.plant import ScaledTo, scaled_to
from engcalc.system.state import STATUSES, Status
from engcalc.units import Array, parse

T = TypeVar("T", np.float64, np.int64)

COVERS = 2.0  # standard deviations that the published range of prediction errors is taken to span on either side
SCALED_UNCERTAINTY = 0.05  # -, of UA where a known point scales it; common practice, no source
LEAST_GAP = 0.5  # K; of temperatures that must stay in order (start to open and full open, fan off and fan on)
SLIMMER = 0.95  # -, by which what must be smaller than something else stays smaller
_NOT_OF_THE_CASE = ("job", "evidence", "rig", "limits", "hot_stream", "cold_stream", "exchanger", "problems")


@dataclass(frozen=True)
class Uncertain:
    """One input that is drawn: path, value, standard uncertainty and what the catalogue accepts, all SI; its law."""

    path: str
    value: float
    uncertainty: float
    low: float
    high: float
    law: SpreadLaw = SpreadLaw.NORMAL

    def at(self, share: Array) -> Array:
        """The values below which shares in (0, 1) of its law lie, held to what the catalogue accepts."""
        return np.clip(quantile(self.law, self.value, self.uncertainty, share), self.low, self.high)


@dataclass(frozen=True, eq=False)
class Drawn:
    """An ensemble of ``members`` for each duty, duty by duty: member m of duty d stands at d * members + m."""

    case: Case
    conditions: Conditions
    UA_factor: Array  # -
    members: int
    duties: int
    one_vehicle: bool  # whether member m is the same vehicle in every duty


class Settled(Protocol):
    """What a spread takes of settled points, one of each member of each duty."""

    @property
    def status(self) -> NDArray[np.int64]:
        """Place in ``STATUSES``."""

    @property
    def boiling(self) -> Array:
        """Boiling point [K]."""

    @property
    def peak(self) -> Array:
        """Hottest coolant [K]."""


@dataclass(frozen=True, eq=False)
class Spread:
    """What the ensemble says of each duty; arrays over the duties."""

    holds_probability: Array  # -
    low: Array  # K, 5 % of the members lie below
    high: Array  # K, 95 % do
    solved: Array  # -, share of the members with a steady answer
    counted: Array  # members that the model can answer
    peak: Array  # K, (duties, members): every member's peak, settled or over the duty's time, in the order drawn
    holds: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]  # (duties, members): which members keep the limit


@lru_cache(maxsize=8)
def normal_scores(members: int) -> Array:
    """Normal deviates at the midpoints of ``members`` equally probable strata, read-only."""
    inverse = NormalDist().inv_cdf
    return frozen_array([inverse((i + 0.5) / members) for i in range(members)])


def scores(path: str, members: int, seed: int) -> Array:
    """The normal deviates of one input in its own order."""
    order = np.random.default_rng([seed, crc32(path.encode())]).permutation(members)
    return np.asarray(normal_scores(members)[order])


@lru_cache(maxsize=1024)
def _limits(pattern: str) -> tuple[float, float]:
    declared = entry(pattern).input
    if declared.limits is None:
        return -np.inf, np.inf
    low, high = (parse(text, declared.kind).si for text in declared.limits)
    return low, high


def uncertain_inputs(case: Case) -> tuple[Uncertain, ...]:
    """The inputs of vehicle and duties that carry an uncertainty, in the order in which the case holds them."""
    found = []
    for path, given in case.given.items():
        if given.uncertainty <= 0.0 or path.split(".")[0].split("[")[0] in _NOT_OF_THE_CASE or given.kind == "count":
            continue
        value = value_at(case, path)
        if value is not None:
            low, high = _limits(pattern_of(path))
            found.append(Uncertain(path, float(value[0]), given.uncertainty, low, high, given.law))
    return tuple(found)


def correlations_of(case: Case, inputs: Sequence[Uncertain]) -> dict[tuple[int, int], float]:
    """Correlation coefficients between inputs, by their places in the list."""
    place = {u.path: k for k, u in enumerate(inputs)}
    stated = ((u.path, other, r) for u in inputs for other, r in case.given[u.path].correlated.items())
    return {(place[path], place[other]): r for path, other, r in stated if other in place}


def drawn_values(
    inputs: Sequence[Uncertain], members: int, seed: int, correlations: Mapping[tuple[int, int], float] | None = None
) -> dict[str, Array]:
    """Members of each input, by path."""
    found = {}
    with_others = {row for pair in correlations or {} for row in pair}
    for k, u in enumerate(inputs):
        z = scores(u.path, members, seed)
        if u.law is SpreadLaw.NORMAL:
            found[u.path] = np.clip(u.value + u.uncertainty * z, u.low, u.high)
        elif k not in with_others:
            found[u.path] = u.at(normal_share(z))
    if correlations:
        shares = normal_share(np.stack([scores(u.path, members, seed) for u in inputs]))
        moved = correlated(shares, correlations)
        found |= {inputs[k].path: inputs[k].at(moved[k]) for k in sorted(with_others)}
    return {u.path: found[u.path] for u in inputs}


def UA_factor(members: int, seed: int, scaled: bool) -> Array:
    """Members of the factor on the conductance [-] of :func:`UA_factor_at`."""
    return UA_factor_at(scores("radiator.UA", members, seed), scaled)


def UA_factor_at(z: Array, scaled: bool) -> Array:
    """Factor on the conductance [-], median 1.

    Predictions from dimensions read 10 % low to 25 % high of what is measured (see ``core.PREDICTION_LOW``), so the
    truth is the prediction over 0.90 to 1.25: a normal deviate with a different width on either side, in the logarithm.
    5 % where a maker's rated point, measured points or a typed factor scale the conductance.
    """
    if scaled:
        return np.asarray(np.exp(SCALED_UNCERTAINTY * z))
    above = -np.log1p(PREDICTION_LOW) / COVERS  # truth above the prediction
    below = np.log1p(PREDICTION_HIGH) / COVERS
    return np.asarray(np.exp(np.where(z > 0.0, above, below) * z))


def draw(
    case: Case, conditions: Conditions, members: int, seed: int, variants: Mapping[str, Array] | None = None
) -> Drawn:
    """An ensemble of the case for each of its duties.

    ``variants`` has, by path, the values of as many variants of the case, shape (k,): each is drawn with the same
    deviates and with the relative uncertainty that the case's own value has. Member m of variant v then stands at
    v * members + m of its duty, and the ensemble counts k * members.
    """
    count = 1
    inputs = uncertain_inputs(case)
    values = drawn_values(inputs, members, seed, correlations_of(case, inputs))
    if variants:
        values, count = _of_variants(case, values, variants, members)
    scaled = scaled_to(case) is not ScaledTo.NOTHING
    return ensemble(case, conditions, values, np.tile(UA_factor(members, seed, scaled), count))


def ensemble(case: Case, conditions: Conditions, values: Mapping[str, Array], factor: Array) -> Drawn:
    """The ensemble of given values by path and of a factor on the conductance, the same for each duty."""
    every = factor.size
    duties = conditions.count
    one_vehicle = True
    of_case = {path: np.tile(v, duties) for path, v in values.items() if not path.startswith("duties[")}
    if "engine.rated_power" in of_case:
        least = np.repeat(_least_rated_power(case, conditions), every)
        one_vehicle = bool((of_case["engine.rated_power"] >= least).all())
        of_case["engine.rated_power"] = np.maximum(of_case["engine.rated_power"], least)
    return Drawn(
        case=consistent(with_values(case, of_case)),
        conditions=_drawn_conditions(case, conditions, values, every),
        UA_factor=np.tile(factor, duties),
        members=every,
        duties=duties,
        one_vehicle=one_vehicle,
    )


def _of_variants(
    case: Case, drawn: Mapping[str, Array], variants: Mapping[str, Array], members: int
) -> tuple[dict[str, Array], int]:
    """The drawn values of every variant, and how many variants there are."""
    count = max(column.size for column in variants.values())
    values = {path: np.tile(v, count) for path, v in drawn.items()}
    for path, column in variants.items():
        own = np.repeat(np.broadcast_to(column, (count,)), members)
        if path not in drawn:
            values[path] = own
            continue
        low, high = _limits(pattern_of(path))
        relative = np.tile(drawn[path], count) / value_at(case, path)
        values[path] = np.clip(own * relative, low, high)
    return values, count


def _least_rated_power(case: Case, conditions: Conditions) -> Array:
    """Rated power [W] that the members of each duty have at least: its entered power shows what the engine gives."""
    engine = prepare_engine(case)
    given = np.isfinite(conditions.brake_power)
    available = available_power(engine, conditions.ambient, conditions.altitude)
    used = np.where(given, np.minimum(conditions.brake_power / available, 1.0), 0.0)
    return np.asarray(np.broadcast_to(used * case.engine.rated_power, (conditions.count,)))


def _drawn_conditions(case: Case, conditions: Conditions, values: Mapping[str, Array], members: int) -> Conditions:
    columns = {name: np.array(column) for name, column in vars(conditions.repeated(members)).items()}
    for path, drawn in values.items():
        if path.startswith("duties["):
            index, _, name = path.removeprefix("duties[").partition("].")
            if name in TYPED_NUMBERS:
                start = int(index) * members
                columns[name][start : start + members] = drawn
    efficiency = values.get("vehicle.driveline_efficiency", case.vehicle.driveline_efficiency)
    for i, duty in enumerate(case.duties):
        if duty.wheel_power is not None and case.given[f"duties[{i}].brake_power"].basis is Basis.DERIVED:
            wheel_power = values.get(f"duties[{i}].wheel_power", duty.wheel_power)
            columns["brake_power"][i * members : (i + 1) * members] = wheel_power / efficiency
    return Conditions(**columns)


def consistent(case: Case) -> Case:
    """The drawn case with derived values moved along and with what must agree or stay in order brought back to it."""
    moved = derive(case, dict(case.given))
    return replace(
        moved,
        radiator=_radiator_in_order(moved.radiator, pitch_stands_alone(case.given)),
        thermostat=_thermostat_in_order(moved.thermostat),
        airflow=_airflow_in_order(moved.airflow),
    )


def _radiator_in_order(core: Radiator, pitch_alone: bool) -> Radiator:
    """Tubes thicker than their walls, fins that fit between them, rows that fit into the depth."""
    depth = np.maximum(core.core_depth, core.tube_width * core.tube_rows)
    wall = np.minimum(core.tube_wall, 0.4 * SLIMMER * core.tube_width)
    height = np.clip(core.tube_height, 2.0 / SLIMMER * wall, SLIMMER * core.tube_width)
    fin_thickness = np.minimum(core.fin_thickness, SLIMMER * core.fin_pitch)
    least_gap = 2.0 / SLIMMER * fin_thickness
    fin_height = np.maximum(core.fin_height, np.maximum(0.1 * height, least_gap))
    pitch = np.maximum(core.tube_pitch, height + least_gap) if pitch_alone else height + fin_height
    return replace(
        core,
        core_depth=depth,
        fin_height=fin_height,
        tube_pitch=pitch,
        tube_height=height,
        tube_wall=wall,
        louver_length=np.minimum(core.louver_length, fin_height),
        fin_thickness=fin_thickness,
    )


def _thermostat_in_order(valve: Thermostat) -> Thermostat:
    """Fully open above where it starts to open, and openings that do not end before they begin."""
    return replace(
        valve,
        full_open=np.maximum(valve.full_open, valve.start_to_open + LEAST_GAP),
        maximum_opening=np.maximum(valve.maximum_opening, valve.minimum_opening),
    )


def _airflow_in_order(air: Airflow) -> Airflow:
    """A fan that goes off below where it comes on; clutch and shutter that end above where they begin."""
    return replace(
        air,
        fan_off=np.minimum(air.fan_off, air.fan_on - LEAST_GAP),
        fan_high_on=np.maximum(air.fan_high_on, air.fan_on + LEAST_GAP),
        fan_high_off=np.minimum(air.fan_high_off, air.fan_high_on - LEAST_GAP),
        clutch_air_full=np.maximum(air.clutch_air_full, air.clutch_air_start + LEAST_GAP),
        shutter_full=np.maximum(air.shutter_full, air.shutter_opens + LEAST_GAP),
    )


def spread(
    drawn: Drawn,
    limits: Array,
    solve: Callable[[Drawn], Settled],
    in_time: Mapping[int, tuple[Array, Array]] | None = None,
) -> Spread:
    """Probability of holding and 5 to 95 % range of each duty.

    ``limits`` [K], shape (duties,): the coolant limit of each; a member's own boiling point counts where it is lower.
    ``solve`` answers all duties and members in one call. ``in_time`` has, for duties with a duration, their members'
    peak [K] and whether they boil in that time. A member that boils does not hold; one that the model cannot answer is
    left out.
    """
    point = solve(drawn)
    status = _by_duty(point.status, drawn)
    solved = status == STATUSES.index(Status.SOLVED)
    flows = solved | (status == STATUSES.index(Status.BOILS))
    counted = status != STATUSES.index(Status.OUTSIDE)
    boiling = _by_duty(point.boiling, drawn)
    peak = np.where(solved, _by_duty(point.peak, drawn), boiling)
    stays = solved.copy()
    for i, (reached, boiled) in (in_time or {}).items():
        peak[i] = np.where(flows[i], reached, boiling[i])
        stays[i] = flows[i] & (boiled == 0.0)
    holds = stays & (peak <= np.minimum(limits[:, None], boiling))
    number = np.maximum(counted.sum(axis=1), 1)
    low, high = (_quantile(peak, counted, q) for q in (0.05, 0.95))
    return Spread(
        np.asarray(holds.sum(axis=1) / number), low, high, np.asarray(solved.mean(axis=1)), number, peak, holds
    )


def _by_duty(values: NDArray[T], drawn: Drawn) -> NDArray[T]:
    """What every member has, as (duties, members)."""
    every = np.broadcast_to(values, (drawn.duties * drawn.members,))
    return every.reshape(drawn.duties, drawn.members)


def _quantile(values: Array, counted: np.ndarray[tuple[int, ...], np.dtype[np.bool_]], q: float) -> Array:
    """Quantile along the last axis over those that count; of all where none does."""
    rows = [row[mask] if mask.any() else row for row, mask in zip(values, counted, strict=True)]
    return np.array([np.quantile(row, q) for row in rows])
