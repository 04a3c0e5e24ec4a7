"""A record's run: what the engine did while it was watched, ready to be simulated.

From the log where there is one, else the record's schedule, else the case's first duty held. Time counts from the
engine's start.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from engcalc.case.case import Case
from engcalc.case.conditions import HEATER_AIR_SHARE, Conditions, conditions_of
from engcalc.case.file import file_of_case
from engcalc.case.records import Record, heater_settings
from engcalc.case.sections.coolant import Coolant
from engcalc.components.coolant_heater import share_run
from engcalc.components.engine import prepare_engine
from engcalc.components.heater import auxiliary_share
from engcalc.errors import InputError, InputFault
from engcalc.logs.channels import Channel
from engcalc.logs.log import read_log
from engcalc.logs.record import LogRecord
from engcalc.properties.fuel import FUELS, Fuel
from engcalc.system.in_time.drive import (
    Drive,
    coarser,
    pattern_drive,
    recorded_drive,
    scheduled_drive,
    steady_drive,
    with_heater_set_anew,
)
from engcalc.system.in_time.hybrid import hybrid_drive
from engcalc.system.in_time.parked import preheat_of
from engcalc.system.in_time.patterns import TOP_SPEED, likely_ways
from engcalc.units import Array
from engcalc.vehicle.heat_source import FuelPower, fuel_power
from engcalc.words.texts import record_texts

BEFORE, AFTER = "before", "after"  # the repair
RECORDS = (BEFORE, AFTER)
LEAST_RUN = 1800.0  # s; length of a run of which only hand readings are known, at least
LONGEST_RUN = 4.0 * 3600.0  # s; a longer log is simulated up to here
STEP = 1.0  # s
COARSE_STEPS = 900  # steps of a run of an ensemble, about; a step is 2 s to so many
COARSEST = 4  # s; the longest step, at more
DRIVEN_AS = {
    "idling": "an idling engine",
    "town": "town traffic",
    "country road": "a country road",
    "motorway": "a motorway",
    "mixed": "a mixed drive",
}
SOAKED = 6.0 * 3600.0  # s; after standing this long everything is at ambient; common practice


@dataclass(frozen=True, eq=False)
class RecordClock:
    """Times of a drive and those of its record [s], where the steps of the drive stand for more in some stretches."""

    drive: Array
    recorded: Array

    def at(self, time: Array) -> Array:
        """Time of the record [s] at a time of the drive; one that was driven on from there goes on as it is."""
        beyond = np.maximum(time - self.drive[-1], 0.0)
        return np.asarray(np.interp(time, self.drive, self.recorded) + beyond)


@dataclass(frozen=True, eq=False)
class Run:
    """One record ready to be simulated. ``heat`` is None where no log told the fuel; ``curve`` holds the coolant's own
    readings of log or typed pairs: times [s] and temperatures [K]."""

    name: str
    record: Record
    log: LogRecord | None
    drive: Drive
    heat: FuelPower | None
    curve: tuple[Array, Array]
    source: str
    coolant: Coolant  # as it should be
    driving: str = ""  # the word that the drive follows, where one does
    hybrid: bool = False  # the engine may stand by design, and nothing measured tells when it did
    clock: RecordClock | None = None  # of a drive whose settled stretches have fewer steps


def read_logs(case: Case, folder: Path) -> dict[str, LogRecord]:
    """The logs that a case names, by record; their files lie in ``folder`` (``NO_FOLDER`` for a case without a file).

    InputError with the field's path.
    """
    found: dict[str, LogRecord] = {}
    for name, record in records(case).items():
        if record.log is None:
            continue
        try:
            found[name] = read_log(file_of_case(folder, record.log.file), record.log.columns)
        except InputError as error:
            path = f"evidence.{name}.log.file"
            raise InputError(tuple(InputFault(path, f.given or f.path, f.wanted) for f in error.faults)) from error
    return found


def records(case: Case) -> dict[str, Record]:
    """The records that the case has, by name."""
    both = {name: getattr(case.evidence, name) for name in RECORDS}
    return {name: record for name, record in both.items() if record is not None}


def latest_record(case: Case) -> str:
    """The latest record in which something was read or seen; the first where there is none."""
    told = [name for name, record in records(case).items() if _tells_something(record)]
    return told[-1] if told else RECORDS[0]


def _tells_something(record: Record) -> bool:
    """Whether something was read or seen in a record."""
    return record.log is not None or bool(record.curve or record.spots or record.codes or record.seen)


def run_of(case: Case, name: str, logs: Mapping[str, LogRecord]) -> Run:
    """The run of one record of the case; the likeliest one where nobody noted how it ran."""
    return max(runs_of(case, name, logs), key=lambda pair: pair[1])[0]


def runs_of(case: Case, name: str, logs: Mapping[str, LogRecord]) -> tuple[tuple[Run, float], ...]:
    """The ways in which the vehicle may have run in one record, each with its weight; all are equally long.

    One where a log, a schedule or a word says how; else idling and each way to drive.
    """
    record = records(case)[name]
    log = logs.get(name)
    first = _first_conditions(case, record, log)
    noted = _noted_start(record, log)
    start = first.ambient if noted is None else noted
    hybrid = _may_stand(case, record)

    def with_heaters(drive: Drive) -> Drive:
        return _with_heaters(case, record, _with_heater_as_set(record, drive), start_noted=noted is not None)

    if log is not None and _tells_how_it_ran(log):
        drive, heat = _drive_of_log(case, log, first, start)
        return ((_logged_run(case, name, log, with_heaters(drive), heat), 1.0),)
    curve = _typed(record) if log is None else log.observed(Channel.COOLANT)
    top_speed = TOP_SPEED.get(case.vehicle.class_, np.inf)

    def run(drive: Drive, source: str, word: str = "") -> Run:
        return Run(name, record, log, drive, None, curve, source, case.coolant, word, hybrid)

    if record.schedule:
        scheduled = scheduled_drive(first, record, start, STEP, top_speed)
        drive = _with_heaters(case, record, scheduled, start_noted=noted is not None)
        return ((run(drive, "the schedule"), 1.0),)
    lasts = _length(record, curve)

    def driven(word: str) -> Run:
        drive = with_heaters(pattern_drive(word, first, start, lasts, STEP, top_speed))
        return run(drive, DRIVEN_AS[word], word)

    return tuple((driven(word), weight) for word, weight in likely_ways(record.driving))


def _tells_how_it_ran(log: LogRecord) -> bool:
    """Whether a log tells how the vehicle was driven."""
    return log.has(Channel.ENGINE_SPEED) or log.has(Channel.VEHICLE_SPEED)


def _logged_run(case: Case, name: str, log: LogRecord, drive: Drive, heat: FuelPower | None) -> Run:
    """The run of a record whose log tells how it was driven."""
    record = records(case)[name]
    source = "the log" if heat is None else f"the log: {heat.source.value}"
    guessed = _may_stand(case, record) and not log.has(Channel.ENGINE_SPEED)
    observed = log.observed(Channel.COOLANT)
    return Run(name, record, log, drive, heat, observed, source, case.coolant, hybrid=guessed)


def _may_stand(case: Case, record: Record) -> bool:
    """Whether the engine may have stood by design while the vehicle was driven."""
    return case.engine.hybrid == "yes" and record.engine_off_phases != "no"


def _with_heater_as_set(record: Record, drive: Drive) -> Drive:
    """The drive with the cabin's heater set anew whenever somebody did so."""
    if not record.heater_changes:
        return drive
    later = heater_settings(record)[1:]
    return with_heater_set_anew(drive, [(at, HEATER_AIR_SHARE[word]) for at, word in later])


def _with_heaters(case: Case, record: Record, drive: Drive, *, start_noted: bool) -> Drive:
    """The drive with the stands of a hybrid's engine, and the heaters that ran before and during it."""
    if _may_stand(case, record):
        drive = hybrid_drive(drive, prepare_engine(case))
    preheat = preheat_of(case, record, start_noted)
    share = auxiliary_share(case.heater.coolant_heater, record.auxiliary_heater)
    return replace(drive, preheat=preheat, cabin_heater=share)


def _first_conditions(case: Case, record: Record, log: LogRecord | None) -> Conditions:
    """What holds as a record begins: its weather, the heater as it was set, a heater in the coolant as it ran."""
    first = conditions_of(case.duties[:1]).of_another_day()
    if record.ambient is not None:
        first = first.replace(ambient=record.ambient)
    elif log is not None and log.ambient is not None:
        first = first.replace(ambient=np.full(1, log.ambient))
    share = np.full(1, HEATER_AIR_SHARE[record.heater_setting])
    ran = np.full(1, share_run(case.heater.coolant_heater, record.auxiliary_heater))
    return first.replace(heater_air_share=share, coolant_heater=ran)


def duty_run(case: Case) -> Run:
    """The run of a case without any record: its first duty held from a start at ambient."""
    first = conditions_of(case.duties[:1])
    record = Record(
        ambient=first.ambient,
        start_temperature=None,
        soak=None,
        heater_setting=case.duties[0].heater,
        heater_changes=(),
        driving="unknown",
        engine_off_phases="no",
        block_heater="no",
        block_heater_time=None,
        block_heater_unplugged=np.zeros(1),
        auxiliary_heater="none",
        coolant_heater_time=None,
        schedule=(),
        spots=(),
        curve=(),
        log=None,
        codes=(),
        seen={},
    )
    none = np.zeros(0)
    drive = steady_drive(first, first.ambient, LEAST_RUN, STEP)
    hybrid = case.engine.hybrid == "yes"
    if hybrid:
        drive = hybrid_drive(drive, prepare_engine(case))
    return Run(
        "duty",
        record,
        None,
        drive,
        None,
        (none, none),
        record_texts.DUTY_HELD.format(name=case.duties[0].name or 1),
        case.coolant,
        hybrid=hybrid,
    )


def ensemble_run(run: Run, steps: int = COARSE_STEPS, coarsest: int = COARSEST) -> Run:
    """The run in the longer steps that ensembles take: about ``steps`` of them, each at most ``coarsest`` [s]."""
    times = int(np.clip(np.ceil(len(run.drive.which) / steps), 2, coarsest))
    return replace(run, drive=coarser(run.drive, times))


def _noted_start(record: Record, log: LogRecord | None) -> Array | None:
    """Coolant at the start [K]: as noted, as logged, as first typed at time 0; None where nobody read it."""
    if record.start_temperature is not None:
        return record.start_temperature
    logged = None if log is None else log.first(Channel.COOLANT)
    if logged is not None:
        return np.full(1, logged)
    if record.curve and record.curve[0][0] <= 0.0:
        return np.full(1, record.curve[0][1])
    return None


def _typed(record: Record) -> tuple[Array, Array]:
    pairs = np.array(sorted(record.curve), dtype=np.float64).reshape(-1, 2)
    return pairs[:, 0], pairs[:, 1]


def _length(record: Record, curve: tuple[Array, Array]) -> float:
    times = [float(spot.at[0]) for spot in record.spots if spot.at is not None]
    last: float = max([*times, *(float(t) for t in curve[0]), LEAST_RUN])
    return min(last + 60.0, LONGEST_RUN)


def _drive_of_log(case: Case, log: LogRecord, first: Conditions, start: Array) -> tuple[Drive, FuelPower | None]:
    """The drive that a log tells, in even steps, and the fuel's power where the log holds what gives it."""
    end = min(log.end, LONGEST_RUN)
    even = log.resampled(STEP, end)
    heat = fuel_power(log, prepare_engine(case), Fuel(case.engine.fuel), step=STEP, altitude=first.altitude)
    n = len(even.time)
    speed = even.values.get(Channel.VEHICLE_SPEED, np.zeros(n))
    fuel = np.full(n, np.nan)
    rich = None
    if heat is not None:
        fuel = _of_length(heat.power, n) / FUELS[Fuel(case.engine.fuel)].lower_heating_value
        rich = _of_length(heat.richness, n)
    absent = np.full(n, np.nan)  # a drive cycle tells the road's speed alone: the engine model guesses the engine's
    turns = np.maximum(even.values.get(Channel.ENGINE_SPEED, absent), 0.0)
    untold = first.without_load().replace(trailer_mass=np.zeros(1))
    drive = recorded_drive(
        untold,
        start,
        STEP,
        engine_speed=turns,
        vehicle_speed=np.maximum(speed, 0.0),
        fuel_flow=fuel,
        brake_power=absent,
    )
    return replace(drive, richness=rich), heat


def _of_length(rows: Array, n: int) -> Array:
    """The first n rows of a series, its last one held where it is shorter."""
    held = np.repeat(rows[-1:], max(n - len(rows), 0), axis=0)
    return np.concatenate((rows[:n], held))
