"""Readings and facts that cannot all be true: faults of the input, told before any odds are weighed.

What a vehicle can show however broken it is, is evidence and never refused: a sensor in whose circuit a trouble code
was stored, two instruments that differ, jumps in a log. What is refused here is what no vehicle shows:

- coolant colder than both the outside air and where it began, after a run;
- the hose that brings coolant back hotter than the one that leads it there, while heat is given off;
- a rise faster than all of the engine's heat could bring about;
- facts of one visit that exclude one another.

All bounds leave room for what the instruments err by, at ``COVERAGE`` standard uncertainties.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

from engcalc.case.instruments import instrument_of
from engcalc.case.records import Record, Spot
from engcalc.case.sections import Sections
from engcalc.errors import InputFault
from engcalc.words.texts import case_texts

COVERAGE = 3.0  # standard uncertainties: what lies beyond is refused, so but 3 in 1,000 by chance; GUM table G.1
RAN = 600.0  # s; of running after which the coolant has left where it soaked; common practice, no source
AIR_ERROR = 3.0  # K; by which the outside temperature as noted may differ from the air at the car; common practice
TYPED_ERROR = 2.0  # K, standard; of a pair typed without its instrument, as a scan tool's; common practice, no source
ON_A_HOSE = 3.0  # K, standard; by which contact and place on a hose scatter beside the instrument; common practice
TOGETHER = 120.0  # s; two hoses read within this are read together; common practice, no source
RADIATOR_WARM = 333.15  # K; 60 degC at the upper hose: hot coolant comes through; common practice, no source
HEATER_WARM = 313.15  # K; 40 degC at the core's inlet: it gives heat; common practice, no source
QUICK_SHARE = 0.5  # -; of the engine's metal that warms as fast as the coolant in the head; common practice, no source
METAL_HEAT = 500.0  # J/(kg K); between iron's 450 and aluminium's 900, most of the mass being iron; from memory
COOLANT_HEAT = 3.7e6  # J/(m3 K); 50 % glycol at 80 degC, density times specific heat; from memory
SENSOR_CODES = ("P0115", "P0116", "P0117", "P0118", "P0119")  # SAE J2012: circuit of the coolant's sensor
BY_THE_SENSOR = ("scan_tool", "dash_gauge")  # instruments that show what the vehicle's own sensor tells
LEADS_OUT = ("coolant", "upper_hose", "heater_inlet_hose")  # where coolant leaves the engine
AS_READ = "evidence.{record}.spots[{i}].value"


def impossible(sections: Sections) -> Iterator[InputFault]:
    """Every reading and fact of a case that cannot be true with the others."""
    quickest = _quickest_rise(sections)
    for name in ("before", "after"):
        record: Record | None = getattr(sections.evidence, name)
        if record is not None:
            yield from _colder_than_air(name, record)
            yield from _hotter_on_the_way_back(name, record)
            yield from _too_quick(name, record, quickest)
            yield from _facts_that_exclude(name, record)
    yield from _no_thermostat_in_the_pot(sections)


# ---- colder than the air ---------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Read:
    """One reading: where it stands in the file, when [s], what flows there [K], and its standard uncertainty [K]."""

    path: str
    at: float | None
    T: float
    u: float
    source: str  # the place and the instrument; only readings of the same are laid beside one another


def _colder_than_air(name: str, record: Record) -> Iterator[InputFault]:
    if record.ambient is None:
        return
    air = float(record.ambient[0])
    start = None if record.start_temperature is None else float(record.start_temperature[0])
    floor = air if start is None else min(air, start)
    for read in _of_the_coolant(name, record):
        if read.at is None or read.at < (RAN if start is None else TOGETHER):
            continue
        if read.T + COVERAGE * read.u < floor - AIR_ERROR:
            yield InputFault(
                read.path,
                "",
                case_texts.CANNOT_BE_AFTER_MIN_OF_RUNNING_IN_AIR_OF.format(
                    degrees=_degrees(read.T), at=read.at / 60.0, degrees_2=_degrees(air)
                ),
            )


def _of_the_coolant(name: str, record: Record) -> Iterator[_Read]:
    """What was read of coolant that leaves the engine; not by a sensor in whose circuit a code was stored."""
    distrusted = any(code.strip().upper() in SENSOR_CODES for code in record.codes)
    for i, spot in enumerate(record.spots):
        read = _of_spot(name, i, spot)
        by_sensor = spot.what == "coolant" and spot.instrument in BY_THE_SENSOR
        if spot.what in LEADS_OUT and read is not None and not (distrusted and by_sensor):
            yield read
    if not distrusted:
        for i, (at, T) in enumerate(record.curve):
            yield _Read(f"evidence.{name}.curve[{i}]", at, T, TYPED_ERROR, "curve")


def _of_spot(name: str, i: int, spot: Spot) -> _Read | None:
    """A reading with its instrument's bias taken out; None where it is refused anyway, or is a word and no number."""
    instrument = instrument_of(spot)
    if instrument is None or spot.word is not None:
        return None
    u = instrument.uncertainty if spot.uncertainty is None else float(spot.uncertainty[0])
    if spot.what.endswith("_hose"):
        u = hypot(u, ON_A_HOSE)
    at = None if spot.at is None else float(spot.at[0])
    path = AS_READ.format(record=name, i=i)
    return _Read(path, at, float(spot.value[0]) - instrument.bias, u, f"{spot.what} {spot.instrument} {spot.surface}")


# ---- hotter on the way back ------------------------------------------------------------------------------------------

_LOOPS = (
    ("upper_hose", "lower_hose", RADIATOR_WARM, "upper radiator hose"),
    ("heater_inlet_hose", "heater_outlet_hose", HEATER_WARM, "heater's inlet hose"),
)


def _hotter_on_the_way_back(name: str, record: Record) -> Iterator[InputFault]:
    for feed, back, warm, feed_words in _LOOPS:
        if feed == "heater_inlet_hose" and record.seen.get("heater_hoses_swapped") is True:
            continue
        there, returned = (_spots_at(name, record, what) for what in (feed, back))
        for hot in returned:
            pairs = [led for led in there if warm <= led.T and _read_together(led, hot)]
            if pairs and all(COVERAGE * hypot(hot.u, led.u) < hot.T - led.T for led in pairs):
                led = pairs[0]
                yield InputFault(
                    hot.path,
                    "",
                    case_texts.CANNOT_COME_BACK_WHERE_THE_READ.format(
                        degrees=_degrees(hot.T), feed_words=feed_words, degrees_2=_degrees(led.T)
                    ),
                )


def _spots_at(name: str, record: Record, what: str) -> list[_Read]:
    found = (_of_spot(name, i, spot) for i, spot in enumerate(record.spots) if spot.what == what)
    return [read for read in found if read is not None]


def _read_together(one: _Read, other: _Read) -> bool:
    if one.at is None or other.at is None:
        return one.at is other.at  # neither has its time: read on the same occasion
    return abs(one.at - other.at) <= TOGETHER


# ---- faster than any heat --------------------------------------------------------------------------------------------


def _quickest_rise(s: Sections) -> float:
    """Rise [K/s] with all heat of the rated point in the coolant and the part of the metal that follows it."""
    engine = s.engine
    heat = float(engine.rated_power[0] / engine.brake_thermal_efficiency[0] * engine.coolant_share_rated[0])
    by_metal = QUICK_SHARE * float(engine.metal_mass[0]) * METAL_HEAT
    by_coolant = float(s.coolant.volume[0]) * COOLANT_HEAT
    held = by_metal + by_coolant
    return heat / held


def _too_quick(name: str, record: Record, quickest: float) -> Iterator[InputFault]:
    """A rise between two readings of the same place by the same instrument. Falls are left alone: a valve that opens or
    a can of cold water may bring them about."""
    reads = [read for read in _of_the_coolant(name, record) if read.at is not None and read.at >= 0.0]
    for source in dict.fromkeys(read.source for read in reads):
        own = sorted((read for read in reads if read.source == source), key=lambda read: read.at or 0.0)
        yield from _jumps(own, quickest)


def _jumps(reads: Sequence[_Read], quickest: float) -> Iterator[InputFault]:
    for first, then in pairwise(reads):
        seconds = (then.at or 0.0) - (first.at or 0.0)
        allowed = quickest * seconds + COVERAGE * hypot(first.u, then.u)
        rise = abs(then.T - first.T) if seconds == 0.0 else then.T - first.T
        if rise > allowed:
            yield InputFault(
                then.path,
                "",
                case_texts.FROM_TO_WITHIN_MIN_IS_MORE_THAN_ALL.format(
                    degrees=_degrees(first.T), degrees_2=_degrees(then.T), seconds=seconds / 60.0
                ),
            )


# ---- facts that exclude one another ----------------------------------------------------------------------------------

# Two facts with their answers, the first of which cannot be while the second is.
_EXCLUDE: tuple[tuple[str, bool, str, bool, str], ...] = (
    ("fan_runs_always", True, "fan_runs_when_hot", False, case_texts.FAN_THAT_RUNS_FROM_A_COLD_START),
    (
        "thermostat_open_when_cold",
        True,
        "thermostat_missing",
        True,
        case_texts.THERE_IS_NO_THERMOSTAT_THAT_COULD_STAND_OPEN,
    ),
    ("thermostat_opens_hot", True, "thermostat_missing", True, case_texts.THERE_IS_NO_THERMOSTAT_THAT_COULD_OPEN),
    (
        "thermostat_opens_hot",
        False,
        "thermostat_missing",
        True,
        case_texts.THERE_IS_NO_THERMOSTAT_TO_PUT_INTO_HOT_WATER,
    ),
)
_IN_THE_POT = ("valve_starts", "valve_open")


def _facts_that_exclude(name: str, record: Record) -> Iterator[InputFault]:
    seen = record.seen
    for fact, answer, other, its_answer, why in _EXCLUDE:
        if seen.get(fact) is answer and seen.get(other) is its_answer:
            yield InputFault(
                f"evidence.{name}.seen.{fact}",
                "yes" if answer else "no",
                case_texts.TAKE_BACK_THIS_OR_EVIDENCE.format(why=why, name=name, other=other),
            )
    if seen.get("thermostat_missing") is True:
        yield from _pot_readings(name, record, f"evidence.{name}.seen.thermostat_missing")


def _pot_readings(name: str, record: Record, other: str) -> Iterator[InputFault]:
    for i, spot in enumerate(record.spots):
        if spot.what in _IN_THE_POT:
            yield InputFault(
                f"evidence.{name}.spots[{i}].what",
                spot.what,
                case_texts.THERE_IS_NO_THERMOSTAT_TO_PUT_INTO_HOT.format(other=other),
            )


def _no_thermostat_in_the_pot(s: Sections) -> Iterator[InputFault]:
    """A vehicle without a thermostat, as entered, has none to look at before the repair; a new one came after it."""
    record = s.evidence.before
    if s.thermostat.kind != "none" or record is None:
        return
    for fact in ("thermostat_opens_hot", "thermostat_open_when_cold"):
        tested = record.seen.get(fact) is not None if fact == "thermostat_opens_hot" else record.seen.get(fact) is True
        if tested:
            yield InputFault(
                f"evidence.before.seen.{fact}",
                "yes" if record.seen[fact] else "no",
                case_texts.THERE_IS_NO_THERMOSTAT,
            )
    yield from _pot_readings("before", record, "thermostat.kind")


def _degrees(T: float) -> str:
    return f"{T - 273.15:.0f} °C"
