"""What of a vehicle nobody measured, as independent standard normal numbers z; what was measured narrows it.

Each unknown moves one or more inputs of the case, a part of the drive, or what the sensor shows. Spreads are common
practice without a source unless said otherwise; from temperature alone only ratios of them can be told (heat over
capacity, conductance over capacity), so a fitted z is never printed as if it had been measured.

z has shape (members, unknowns), a column for each unknown in the order of :func:`unknowns_of`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import lru_cache
from statistics import NormalDist
from typing import Any

import numpy as np

from engcalc.case.case import Case, value_at, with_values
from engcalc.case.declare import Basis
from engcalc.case.records import heater_settings
from engcalc.case.sections.circuit import EXHAUST_HEAT, HEAT_SOURCE, STANDS_COLD
from engcalc.case.whole import MAPPED_KINDS
from engcalc.studies.spread.laws import normal_quantile
from engcalc.studies.spread.uncertainty import consistent, normal_scores
from engcalc.system.in_time.drive import Drive
from engcalc.system.plant import Plant, ScaledTo, prepare
from engcalc.units import Array
from engcalc.vehicle.run import Run
from engcalc.words.texts import record_texts


class Effect(Enum):
    """What an unknown acts on besides inputs of the case."""

    CASE = record_texts.INPUTS_OF_THE_CASE
    RADIATOR = "the radiator's conductance"
    HEATER_CORE = record_texts.HEATER_CORES_CONDUCTANCE
    HEATER_SHARE = record_texts.SHARE_OF_THE_BLOWERS_AIR
    HEATER_AIR = record_texts.BLOWERS_AIR_AT_THE_SETTING_THAT_WAS_NOTED
    COOLANT_HEATER = record_texts.SHARE_OF_ITS_POWER_AT_WHICH_A_HEATER
    RUNNING = record_texts.SHARE_OF_THE_TIME_THAT_THE_ENGINE_RAN
    AMBIENT = "the outside temperature"
    SENSOR = record_texts.WHAT_THE_SENSOR_SHOWS


@dataclass(frozen=True)
class Moves:
    """An input moved: times exp(z spread) or plus z spread (SI), held between ``low`` and ``high``.

    With a ``share`` only that share of vehicles has it at all: the others have ``low``, these up to ``spread`` more,
    all alike likely. ``word`` is a path with the word that then stands there: that it is fitted.
    """

    path: str
    spread: float
    adds: bool = False
    low: float = 0.0
    high: float = np.inf
    share: float = 0.0
    word: tuple[str, str] | None = None

    def moved(self, here: Array, z: Array) -> Array:
        """The input at z, from what stood there [SI]."""
        if self.share > 0.0:
            fitted = np.maximum(normal_share(z) - (1.0 - self.share), 0.0) / self.share
            return np.asarray(self.low + self.spread * fitted)
        moved = here + z * self.spread if self.adds else here * np.exp(z * self.spread)
        return np.asarray(np.clip(moved, self.low, np.maximum(self.high, here)))


@dataclass(frozen=True)
class Unknown:
    """One unknown. ``spread`` is that of its logarithm or, for temperatures, in K; of the record alone where it is not
    the vehicle's: two records of one vehicle then have one each."""

    key: str
    label: str
    spread: float
    effect: Effect = Effect.CASE
    moves: tuple[Moves, ...] = ()
    of_record: bool = False


@dataclass(frozen=True)
class _Law:
    """How an unknown of the case moves inputs: path, power of the factor, bound above."""

    key: str
    label: str
    spread: float
    targets: tuple[tuple[str, float, float], ...]


HEAT = _Law(
    "heat",
    record_texts.HEAT_INTO_THE_METAL_FOR_THE_WORK,
    0.07,
    (("engine.coolant_share_rated", 1.0, 0.75), ("engine.coolant_share_idle", 1.0, 0.9)),
)
_LAWS = (
    _Law("idle", record_texts.HEAT_INTO_THE_METAL_AT_IDLE_AGAINST, 0.06, (("engine.coolant_share_idle", 1.0, 0.9),)),
    _Law(
        "capacity",
        record_texts.METAL_AND_COOLANT_THAT_WARM_TOGETHER,
        0.07,
        (("engine.metal_mass", 1.0, np.inf), ("coolant.volume", 1.0, np.inf)),
    ),
    _Law(
        "surface", record_texts.HEAT_LOST_FROM_THE_ENGINES_SURFACE, 0.40, (("engine.surface_conductance", 1.0, np.inf),)
    ),
    _Law(
        "air",
        record_texts.AIR_THAT_THE_VEHICLES_SPEED,
        0.25,
        (("airflow.ram_recovery", 1.0, 1.0), ("airflow.fan_free_flow", 1.0, np.inf)),
    ),
    _Law(
        "pump",
        record_texts.COOLANT_FLOW_OF_PUMP_AND_HEATER,
        0.20,
        (
            ("circuit.pump_flow", 1.0, np.inf),
            ("circuit.heater_flow", 1.0, np.inf),
            ("circuit.bypass_flow", 1.0, np.inf),
            ("circuit.pump_shutoff_pressure", 2.0, np.inf),
        ),
    ),
    _Law("leak", record_texts.WHAT_PASSES_THE_SHUT_VALVE, 0.80, (("thermostat.closed_leak", 1.0, 1.0),)),
    _Law("lag", record_texts.LAG_OF_THE_VALVES_WAX, 0.30, (("thermostat.time_constant", 1.0, np.inf),)),
)
_FRICTION = _Law("friction", record_texts.FRICTION_OF_THE_ENGINE, 0.10, (("engine.friction_mep", 1.0, np.inf),))
LOAD_NOTED = 0.20  # log; of the heat where a schedule, or that it idled, tells the load: grade, wind, mass, consumers
LOAD_DRIVEN = 0.17  # log; of the heat where one word says how it was driven, beside what the heater takes
RADIATOR = 0.20  # log; conductance of the core from its dimensions
RADIATOR_SCALED = 0.05  # log; the same scaled to a maker's point
HEATER_CORE = 0.30  # log; conductance of a heater core of the class: they give 4 to 9 kW; common practice, no source
HEATER_AIR = 0.35  # log; the blower's air at a known setting: "high" is the third or the last of its steps
MAPPED = 5.0  # K; of what load takes off a mapped valve's opening; makers' maps go 10 to 25 K down, see whole.py
MAPPED_FITTED = 0.15  # -; of valves of which nobody knows the kind; common practice, no source
MAPPED_MOST = 25.0  # K; what load takes off such a valve at most; common practice, no source
PUMP_START = 8.0  # K; of the temperature at which a pump that stands cold starts; common practice, no source
PUMP_FITTED = 0.15  # -; of pumps of which nobody knows it, that stand while cold; common practice, no source
PUMP_STARTS = (233.15, 358.15)  # K; where those start, 85 degC at most as one maker has it; below the air's: never
EXCHANGER = 0.3  # log; of what warmers and exhaust heat pass on; common practice, no source
RATING = 2.0  # K; makers' tolerance of a stamped opening temperature
RATING_TYPICAL = 3.5  # K; of one typical of the class: healthy valves of cars hold 86 to 91 degC (three cars' records)
SENSOR = 1.0  # K; of a coolant sensor with its circuit
HYBRID_RAN = (0.6, 1.4)  # time that a hybrid's engine ran over what its run says; common practice, no source
AMBIENT = 1.0  # K; of the air around the vehicle against what was noted
# Share of the time that the engine runs, lowest and highest: start-stop, not noted, none; common practice, no source
RUNNING_SHARE = {"yes": (0.5, 1.0), "unknown": (0.85, 1.0), "no": (1.0, 1.0)}
_LEAST_SPREAD = 1e-9
_STANDARD = NormalDist()


def unknowns_of(case: Case, run: Run) -> tuple[Unknown, ...]:
    """The unknowns of a case in one record, those first that the vehicle keeps from record to record."""
    laws = [replace(HEAT, spread=_heat_spread(run)), *_LAWS]
    if run.heat is None:
        laws.append(_FRICTION)
    found = [u for law in laws if (u := _narrowed(case, law)) is not None]
    scaled = prepare(case).scaled_to is not ScaledTo.NOTHING
    found.append(
        Unknown(
            "radiator",
            record_texts.CONDUCTANCE_OF_THE_RADIATOR,
            RADIATOR_SCALED if scaled else RADIATOR,
            Effect.RADIATOR,
        )
    )
    if (spread := _log_spread(case, "heater.rated_output", HEATER_CORE)) > _LEAST_SPREAD:
        found.append(Unknown("heater_core", record_texts.CONDUCTANCE_OF_THE_HEATER_CORE, spread, Effect.HEATER_CORE))
    if case.thermostat.kind != "none":
        found.append(_opening(case))
    found += _of_equipment(case)
    found.append(Unknown("sensor", record_texts.WHAT_THE_SENSOR_READS_ABOVE_THE_COOLANT, SENSOR, Effect.SENSOR))
    return (*found, *_of_record(case, run))


def _heat_spread(run: Run) -> float:
    if run.heat is not None:
        return float(np.hypot(HEAT.spread, run.heat.relative_uncertainty))
    guessed = LOAD_DRIVEN if run.driving not in ("", "idling") else LOAD_NOTED
    return float(np.hypot(HEAT.spread, guessed))


def _narrowed(case: Case, law: _Law) -> Unknown | None:
    """The law with each input's own spread: as stated where a person typed it. None where nothing is left open."""
    moves = tuple(
        Moves(path, spread * power, high=high)
        for path, power, high in law.targets
        if (spread := _log_spread(case, path, law.spread)) > _LEAST_SPREAD
    )
    return Unknown(law.key, law.label, law.spread, moves=moves) if moves else None


def _log_spread(case: Case, path: str, prior: float) -> float:
    """Spread of one input's logarithm: as stated, nothing where a person gave a value without one, else the prior's."""
    value = float(value_at(case, path)[0])
    given = case.given.get(path)
    if value == 0.0:
        return 0.0
    if given is None or not given.typed:
        return prior
    guessed = given.uncertainty == 0.0 and given.basis in (Basis.TYPICAL, Basis.ASSUMED)
    return prior if guessed else given.uncertainty / abs(value)


def _opening(case: Case) -> Unknown:
    """The opening temperature moves by what was stated of it, else by the tolerance of a stamped rating."""
    typed = [p for p in ("thermostat.start_to_open", "thermostat.full_open") if p in case.given and case.given[p].typed]
    first = typed[0] if typed[:1] == ["thermostat.start_to_open"] else "thermostat.rating"
    given = case.given.get(first)
    spread = RATING_TYPICAL if given is None or not given.typed else given.uncertainty or RATING
    moves = tuple(Moves(path, spread, adds=True) for path in dict.fromkeys((first, *typed)))
    return Unknown("opening", record_texts.TEMPERATURE_AT_WHICH_THE_VALVE_OPENS, spread, moves=moves)


def _of_equipment(case: Case) -> list[Unknown]:
    """What is uncertain of a mapped valve, a pump that stands cold, warmers and exhaust heat.

    Where nobody knows whether valve and pump are of that kind, a small share of vehicles has them.
    """
    found = [_of_mapped_valve(case), _of_standing_pump(case)]
    for i, item in enumerate(case.circuit.extra):
        if item.kind == HEAT_SOURCE:
            continue
        field, high = ("recovery", 1.0) if item.kind == EXHAUST_HEAT else ("conductance", np.inf)
        moves = ((f"circuit.extra[{i}].{field}", 1.0, high),)
        found.append(
            _narrowed(
                case, _Law(f"extra_{i}", record_texts.WHAT_THE_PASSES_ON.format(kind=item.kind), EXCHANGER, moves)
            )
        )
    return [unknown for unknown in found if unknown is not None]


def _of_mapped_valve(case: Case) -> Unknown | None:
    """By how much lower the valve opens under load; None where it is not of that kind or stated exactly."""
    path = "thermostat.mapped_shift"
    label = record_texts.BY_HOW_MUCH_LOWER_THE_VALVE_OPENS_UNDER_LOAD
    if case.thermostat.kind == "unknown":
        # not quite nothing, so that it is not taken for a shift that nobody drew
        word = ("thermostat.kind", "heated wax")
        return Unknown(
            "mapped", label, 1.0, moves=(Moves(path, MAPPED_MOST, low=1e-6, share=MAPPED_FITTED, word=word),)
        )
    spread = _own_spread(case, path, MAPPED) if case.thermostat.kind in MAPPED_KINDS else 0.0
    return Unknown("mapped", label, spread, moves=(Moves(path, spread, adds=True),)) if spread > 0.0 else None


def _of_standing_pump(case: Case) -> Unknown | None:
    """Up to which temperature the pump stands; None where it is not of that kind or stated exactly."""
    path = "circuit.pump_starts"
    label = record_texts.COOLANT_TEMPERATURE_UP
    if case.circuit.pump_cold == "unknown":
        low, high = PUMP_STARTS
        word = ("circuit.pump_cold", STANDS_COLD)
        return Unknown(
            "pump_starts", label, 1.0, moves=(Moves(path, high - low, low=low, share=PUMP_FITTED, word=word),)
        )
    spread = _own_spread(case, path, PUMP_START) if case.circuit.pump_cold == STANDS_COLD else 0.0
    return Unknown("pump_starts", label, spread, moves=(Moves(path, spread, adds=True),)) if spread > 0.0 else None


def _own_spread(case: Case, path: str, prior: float) -> float:
    """Spread of an input as stated where a person typed it, else the prior's."""
    given = case.given.get(path)
    return prior if given is None or not given.typed else given.uncertainty


def _of_record(case: Case, run: Run) -> tuple[Unknown, ...]:
    record = run.record
    found = []
    if bool(np.any(_share_unknown(run))):
        found.append(
            Unknown("heater", record_texts.HEATERS_SETTING_WHICH_NOBODY_NOTED, 1.0, Effect.HEATER_SHARE, of_record=True)
        )
    elif bool(np.any(run.drive.conditions.heater_air_share > 0.0)):
        spread = _log_spread(case, "heater.blower_flow", HEATER_AIR) or 0.05
        found.append(
            Unknown(
                "heater", record_texts.AIR_THAT_THE_HEATERS_SETTING_BLOWS, spread, Effect.HEATER_AIR, of_record=True
            )
        )
    if record.auxiliary_heater == "unknown" and _has_coolant_heater(case):
        found.append(
            Unknown(
                "coolant_heater",
                record_texts.WHETHER_THE_COOLANT_HEATER_RAN,
                1.0,
                Effect.COOLANT_HEATER,
                of_record=True,
            )
        )
    if run.hybrid or (run.log is None and RUNNING_SHARE[record.engine_off_phases] != (1.0, 1.0)):
        found.append(Unknown("running", record_texts.ENGINES_SHARE_OF_THE_TIME, 1.0, Effect.RUNNING, of_record=True))
    given = case.given.get(f"evidence.{run.name}.ambient")
    stated = 0.0 if given is None else given.uncertainty
    found.append(
        Unknown(
            "ambient",
            record_texts.AIR_AROUND_THE_VEHICLE_AGAINST_WHAT,
            stated or AMBIENT,
            Effect.AMBIENT,
            of_record=True,
        )
    )
    return tuple(found)


def _has_coolant_heater(case: Case) -> bool:
    return case.heater.coolant_heater != "none" and bool(np.any(case.heater.coolant_heat > 0.0))


def _share_unknown(run: Run) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Rows of the drive, (rows, 1), in which the heater's setting was not noted."""
    rows = len(run.drive.conditions.heater_air_share)
    setting = run.record.heater_setting
    if run.log is None and run.record.schedule and run.drive.part_of is not None:
        words = [setting if part.heater == "unknown" else part.heater for part in run.record.schedule]
        return np.array([[word == "unknown"] for word in words])[run.drive.part_of]
    if run.record.heater_changes and run.drive.part_of is not None:
        words = [word for _, word in heater_settings(run.record)]
        return np.array([[word == "unknown"] for word in words])[run.drive.part_of]
    return np.full((rows, 1), setting == "unknown")


def draw_z(unknowns: Sequence[Unknown], members: int, seed: int) -> Array:
    """A Latin hypercube of standard normal z, (members, unknowns)."""
    rng = np.random.default_rng([seed, members])
    columns = [rng.permutation(normal_scores(members)) for _ in unknowns]
    return np.stack(columns, axis=1) if columns else np.zeros((members, 0))


@lru_cache(maxsize=1)
def _normal_table() -> tuple[Array, Array]:
    z = np.linspace(-6.0, 6.0, 1201)
    return z, np.array([_STANDARD.cdf(float(x)) for x in z])


# The heater's setting where nobody noted it. Some have it off, the more of them the warmer it is outside [K]; of the
# others many turn it to low (a third of the high air flow) or to high, and some, automatic controls among them, to
# anything between. Share of the others below which they have that share of the air. Common practice, no source.
HEATER_OFF = ((278.15, 298.15), (0.10, 0.90))
LOW = 1.0 / 3.0  # -, of the high air flow
HEATER_ON = ((0.0, 0.05, 0.45, 0.80, 1.0), (0.2, LOW, LOW, 1.0, 1.0))


def heater_share(z: Array, ambient: Array) -> Array:
    """Share of the high air flow [-] at z where nobody noted the heater's setting, in air of ``ambient`` [K]."""
    below = normal_share(z)
    off = np.interp(ambient, *HEATER_OFF)
    among_the_others = np.maximum(below - off, 0.0) / (1.0 - off)
    return np.asarray(np.where(below > off, np.interp(among_the_others, *HEATER_ON), 0.0))


def normal_share(z: Array) -> Array:
    """The normal distribution's share below z [-], 0..1, to 1e-6 (straight lines in a table)."""
    return np.asarray(np.interp(z, *_normal_table()))


def stratified_z(rng: np.random.Generator, members: int, columns: int) -> Array:
    """Random standard normal z (members, columns), each column spread evenly: one in each of ``members`` equally
    probable strata, anywhere within it (Latin hypercube: McKay, Beckman & Conover, Technometrics 21 (1979) 239)."""
    stratum = rng.random((columns, members)).argsort(axis=1)
    return normal_quantile((stratum + rng.random((columns, members))) / members).T


def drawn_case(case: Case, unknowns: Sequence[Unknown], z: Array) -> Case:
    """The case as an ensemble of members with the unknowns at z; what follows from others moves along."""
    values: dict[str, Array] = {}
    words: dict[str, str] = {}
    for column, unknown in enumerate(unknowns):
        for m in unknown.moves:
            values[m.path] = m.moved(values.get(m.path, value_at(case, m.path)), z[:, column])
            words |= {} if m.word is None else dict((m.word,))
    return consistent(with_values(case, {**values, **words}))


def drawn_drive(run: Run, unknowns: Sequence[Unknown], z: Array) -> Drive:
    """The run's drive with the record's unknowns at z.

    An engine that stood part of the time burns and works that much less throughout.
    """
    drive = run.drive
    for column, unknown in enumerate(unknowns):
        x = z[:, column]
        asked = drive.conditions
        if unknown.effect is Effect.HEATER_SHARE:
            drawn = heater_share(x, asked.ambient)
            drive = drive.asking(
                heater_air_share=np.where(_held(_share_unknown(run)), drawn, _held(asked.heater_air_share))
            )
        elif unknown.effect is Effect.HEATER_AIR:
            drive = drive.asking(heater_air_share=_held(asked.heater_air_share) * np.exp(unknown.spread * x))
        elif unknown.effect is Effect.COOLANT_HEATER:
            drive = drive.asking(coolant_heater=np.broadcast_to(normal_share(x), (1, len(x))))
        elif unknown.effect is Effect.AMBIENT:
            drive = drive.asking(ambient=asked.ambient + unknown.spread * x)
        elif unknown.effect is Effect.SENSOR and _start_was_read(run):
            drive = replace(drive, start=drive.start - unknown.spread * x)
    return drive


def _held(table: Any) -> Any:
    """A table over a drive's rows as one row, where all of them are the same."""
    return table[:1] if (table == table[:1]).all() else table


def _start_was_read(run: Run) -> bool:
    """Whether the start temperature is the coolant sensor's own reading: that it shows is then certain, not the
    coolant."""
    typed = bool(run.curve[0].size) and float(run.curve[0][0]) <= 0.0
    return run.record.start_temperature is not None or typed or (run.log is not None and bool(run.curve[0].size))


@dataclass(frozen=True, eq=False)
class Vehicles:
    """An ensemble ready to run: case, plant and drive with the unknowns at z, and what each member's sensor adds."""

    case: Case
    plant: Plant
    drive: Drive
    sensor_bias: Array  # K, (members,)


def vehicles(
    case: Case, run: Run, unknowns: Sequence[Unknown], z: Array, change: Callable[[Case], Case] | None = None
) -> Vehicles:
    """The ensemble at z; ``change`` (a fault, say) is made to the drawn case before it is prepared."""
    ensemble = drawn_case(_running(case, run, unknowns, z), unknowns, z)
    if change is not None:
        ensemble = change(ensemble)
    made = prepare(ensemble)
    factor = np.ones(1)
    heater = made.heater
    bias = np.zeros(len(z))
    for column, unknown in enumerate(unknowns):
        if unknown.effect is Effect.RADIATOR:
            factor = np.exp(unknown.spread * z[:, column])
        elif unknown.effect is Effect.HEATER_CORE:
            heater = replace(heater, UA_rated=heater.UA_rated * np.exp(unknown.spread * z[:, column]))
        elif unknown.effect is Effect.SENSOR:
            bias = unknown.spread * z[:, column]
    plant = replace(made, ua_scale=made.ua_scale * factor, heater=heater)
    return Vehicles(ensemble, plant, drawn_drive(run, unknowns, z), bias)


def _running(case: Case, run: Run, unknowns: Sequence[Unknown], z: Array) -> Case:
    """The case with its heat cut to the share of the time that the engine ran, where that is unknown."""
    values: dict[str, Array] = {}
    for column, unknown in enumerate(unknowns):
        if unknown.effect is Effect.RUNNING:
            low, high = HYBRID_RAN if run.hybrid else RUNNING_SHARE[run.record.engine_off_phases]
            share = low + (high - low) * normal_share(z[:, column])
            values = {path: value_at(case, path) * share for path, _, _ in HEAT.targets}
    return with_values(case, values) if values else case
