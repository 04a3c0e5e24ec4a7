"""Readings of the coolant taken by hand, against what a sound vehicle would show at that time.

What an instrument shows is not the coolant: infrared on rubber reads 3 to 10 K low, a clamp 2 to 4 K low, a dash gauge
sits mid-scale from about 75 to 105 degC (common practice, no source). The bias is taken out, the rest is uncertainty.

A reading is low where it lies, with its expanded uncertainty, below nine in ten sound vehicles and more than 11 K below
the one in the middle: significant and large. Where nobody noted how the vehicle ran, each way is judged by itself, and
a reading that is low for one and not for the other is said to be just that. A cold reading that a sound vehicle may
show as well decides nothing alone: a hose that warms while the valve should be shut does.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot
from statistics import NormalDist

import numpy as np

from engcalc.case.case import Case
from engcalc.case.records import Record, Spot
from engcalc.components.coolant_heater import share_run
from engcalc.studies.rig import COVERAGE
from engcalc.studies.seen import valve_passes
from engcalc.studies.warming import Expected, SoundEnd, Stretch, expected, paths
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant
from engcalc.system.state import Conditions, OperatingPoint
from engcalc.units import Array
from engcalc.verdict import OVERCOOLED_BY, Finding, FindingCode, Severity, Verdict

OPENINGS = np.concatenate(([0.0], np.geomspace(0.002, 1.0, 27)))  # -, at which the valve is held to explain a reading
GAUGE_MIDDLE = (348.15, 378.15)  # K; 75 to 105 degC: a dash gauge stands still in between; common practice
SETTLED_AFTER = 4.0 * 3600.0  # s; a reading later than this is compared with the settled temperature all the same


@dataclass(frozen=True)
class Instrument:
    """How far an instrument reads from the coolant (to be taken off the reading), and its standard uncertainty, K."""

    bias: float
    uncertainty: float


# By instrument and, where it matters, surface. All common practice, no source (see the module's docstring).
INSTRUMENTS: Mapping[tuple[str, str], Instrument] = {
    ("immersed", ""): Instrument(0.0, 1.0),
    ("clamp", ""): Instrument(-3.0, 1.0),  # 2 to 4 K low
    ("infrared", "rubber"): Instrument(-6.5, 2.0),  # 3 to 10 K low
    ("infrared", "painted"): Instrument(-2.0, 1.5),
    ("infrared", "none"): Instrument(-6.5, 3.0),  # surface not noted: a hose is likely
    ("scan_tool", ""): Instrument(0.0, 2.0),
    ("dash_gauge", ""): Instrument(0.0, 8.0),
    ("vent_probe", ""): Instrument(0.0, 3.0),
    ("pressure_gauge", ""): Instrument(0.0, 3.0),
    ("ethylene_scale", ""): Instrument(0.0, 2.0), ("propylene_scale", ""): Instrument(0.0, 2.0)}


@dataclass(frozen=True, eq=False)
class ReadingCheck:
    """One reading of the coolant against the vehicle with a sound valve; temperatures in K."""

    path: str
    record: str
    what: str
    at: float | None  # s since the start
    as_read: float
    measured: float  # less the instrument's bias
    uncertainty: float  # standard
    expected_sound: float
    expected_low: float
    expected_high: float
    explained_by_opening: float | None  # -, valve opening that would settle there
    verdict: Verdict | None
    findings: tuple[Finding, ...]

    @property
    def chance_if_sound(self) -> float:
        """Probability that a sound vehicle reads so low or lower: its expected range (5 to 95 %) as a normal spread,
        with the instrument's."""
        spread = (self.expected_high - self.expected_low) / (2.0 * NormalDist().inv_cdf(0.95))
        total = hypot(spread, self.uncertainty)
        middle = 0.5 * (self.expected_low + self.expected_high)
        return NormalDist(middle, total).cdf(self.measured) if total > 0.0 else float(self.measured >= middle)


@dataclass(frozen=True, eq=False)
class Question:
    """A record with at least one coolant reading, and the ways in which the vehicle may have run up to it."""

    name: str  # before, after
    record: Record
    paths: tuple[tuple[Stretch, ...], ...]

    def asked(self) -> list[Conditions]:
        """What to solve for the sound vehicle: for each path its end, then each stretch with the valve held shut."""
        shut = np.zeros(1)
        return [c for path in self.paths
                for c in (path[-1].conditions, *(s.conditions.replace(valve_held=shut) for s in path))]

    def ends(self, points: Sequence[OperatingPoint]) -> tuple[SoundEnd, ...]:
        """The solver's answers, one for each of ``asked``, as the end of each path."""
        found, rest = [], list(points)
        for path in self.paths:
            own, rest = rest[:1 + len(path)], rest[1 + len(path):]
            found.append(SoundEnd.of(own[0], own[1:], path))
        return tuple(found)


def questions(case: Case, duties: Conditions) -> tuple[Question, ...]:
    """The records of a case that hold coolant readings. ``duties``: the conditions of its duties, one member each."""
    records = (("before", case.evidence.before), ("after", case.evidence.after))
    kind = case.heater.coolant_heater
    return tuple(Question(name, record, paths(record, duties.replace(
        coolant_heater=np.full(1, share_run(kind, record.auxiliary_heater))))) for name, record in records
                 if record is not None and any(s.what == "coolant" for s in record.spots))


@dataclass(frozen=True, eq=False)
class Against:
    """What readings are held against: the nominal vehicle, where the sound one settles, the limit [K], the ensemble."""

    case: Case
    plant: Plant
    ends: tuple[SoundEnd, ...]
    limit: float
    members: int
    seed: int


def check_readings(against: Against, question: Question) -> tuple[ReadingCheck, ...]:
    """Every coolant reading of one record."""
    return tuple(_one(against, question, spot, f"evidence.{question.name}.spots[{i}]")
                 for i, spot in enumerate(question.record.spots) if spot.what == "coolant")


def instrument_of(spot: Spot) -> Instrument | None:
    """Bias and uncertainty of a spot's instrument; None where its reading is refused."""
    if spot.instrument == "infrared" and spot.surface == "bare_metal":
        return None  # reads tens of kelvin low
    found = INSTRUMENTS.get((spot.instrument, spot.surface))
    return found or INSTRUMENTS[(spot.instrument, "")]


def _one(a: Against, question: Question, spot: Spot, path: str) -> ReadingCheck:
    as_read, at = float(spot.value[0]), None if spot.at is None else float(spot.at[0])
    instrument = instrument_of(spot)
    ways = _ways(a, question, SETTLED_AFTER if at is None else at)
    sound = _whichever(ways)
    trusted = instrument or Instrument(0.0, 0.0)
    stated = None if spot.uncertainty is None else float(spot.uncertainty[0])
    u = trusted.uncertainty if stated is None else stated
    reading = _Reading(as_read, as_read - trusted.bias, u, at, a.limit, ways, _regulates(a), _opens(a), spot.instrument,
                       valve_passes(question.record, a.case.thermostat.side))
    findings = (Finding(FindingCode.READING_REFUSED, Severity.CAUTION, {"as_read": as_read}),) if instrument is None \
        else reading.judge(question.record.heater_setting, a.case.job.reason == "no heat")
    verdict = next((v for v in Verdict if v in {_VERDICT_OF.get(f.code) for f in findings}), None)
    asks = any(f.code in _ASKS_THE_VALVE for f in findings)
    opening = _explained(question.paths[0][-1].conditions, reading.measured, a.plant) if asks else None
    return ReadingCheck(path, question.name, spot.what, at, as_read, reading.measured, u, sound.nominal, sound.low,
                        sound.high, opening, verdict, findings)


def _regulates(a: Against) -> float:
    return max(float(a.case.thermostat.full_open[0]), *(end.temperature for end in a.ends))


def _opens(a: Against) -> float:
    """Coolant [K] at the engine's outlet below which a sound valve is shut; a bench has none that could be."""
    return float(a.case.thermostat.start_to_open[0]) if a.case.vehicle.class_ != "bench rig" else 0.0


def _ways(a: Against, question: Question, time: float) -> tuple[Expected, ...]:
    """What a sound vehicle would show, for each way in which it may have run."""
    return tuple(expected(a.plant, a.case, question.record, path, time, end, a.members, a.seed)
                 for path, end in zip(question.paths, a.ends, strict=True))


def _whichever(ways: Sequence[Expected]) -> Expected:
    """Whichever way it ran: the range spans them all, the nominal lies midway."""
    return Expected(float(np.mean([w.nominal for w in ways])), min(w.low for w in ways), max(w.high for w in ways),
                    ways[0].start, max(w.settled for w in ways))


_VERDICT_OF: Mapping[FindingCode, Verdict] = {
    FindingCode.READING_OVER_LIMIT: Verdict.UNDERSIZED, FindingCode.READING_LOW: Verdict.OVERCOOLING,
    FindingCode.VALVE_PASSES: Verdict.OVERCOOLING, FindingCode.READING_DEPENDS: Verdict.MARGINAL,
    FindingCode.READING_UNDECIDED: Verdict.MARGINAL, FindingCode.READING_HIGH: Verdict.MARGINAL,
    FindingCode.READING_AGREES: Verdict.HOLDS}
_ASKS_THE_VALVE = (FindingCode.READING_LOW, FindingCode.VALVE_PASSES, FindingCode.READING_DEPENDS,
                   FindingCode.READING_UNDECIDED)


@dataclass(frozen=True)
class _Reading:
    """One trusted reading and what it is held against; K, s."""

    as_read: float
    measured: float
    u: float
    at: float | None
    limit: float
    ways: tuple[Expected, ...]  # one where the running was noted, else driven and idled
    regulates: float  # K, the hottest that a sound valve lets it get while it regulates
    opens: float  # K, below which a sound valve is shut
    instrument: str
    passes: str  # the fact that was seen of a valve that lets coolant pass while cold; empty for none

    @property
    def sound(self) -> Expected:
        """A sound vehicle, whichever way it ran."""
        return _whichever(self.ways)

    def numbers(self) -> dict[str, float]:
        found = {"as_read": self.as_read, "measured": self.measured, "uncertainty": self.u, "limit": self.limit,
                 "expected": self.sound.nominal, "expected_low": self.sound.low, "expected_high": self.sound.high,
                 "settled": self.sound.settled, "short_by": self.sound.nominal - self.measured, "opens": self.opens}
        if len(self.ways) > 1:
            for name, way in zip(("driven", "idled"), self.ways, strict=True):
                found |= {f"{name}_low": way.low, f"{name}_high": way.high}
        return found if self.at is None else {**found, "at": self.at}

    def judge(self, heater_setting: str, no_heat: bool) -> tuple[Finding, ...]:
        """What the reading says; without its time nothing but an over-limit can be said."""
        code, severity = self._first_that_holds()
        words = {"fact": self.passes} if code in (FindingCode.VALVE_PASSES, FindingCode.READING_LOW) else {}
        found = [Finding(code, severity, self.numbers(), words)]
        if heater_setting == "unknown" and code in _RESTS_ON_RUNNING:
            found.append(Finding(FindingCode.HEATER_UNKNOWN, Severity.NOTE))
        if len(self.ways) > 1 and code in _RESTS_ON_RUNNING:
            found.append(Finding(FindingCode.RUNNING_UNKNOWN, Severity.NOTE))
        if no_heat and code is FindingCode.READING_AGREES and not self._cold:
            found.append(Finding(FindingCode.HEATER_SIDE, Severity.CAUTION))
        return tuple(found)

    @property
    def _cold(self) -> bool:
        """Whether a sound valve would still be shut, clearly."""
        return self.measured + self.u < self.opens - OVERCOOLED_BY

    def _low(self, way: Expected) -> bool:
        significant = self.measured + COVERAGE * self.u < way.low
        return significant and self.measured < way.nominal - OVERCOOLED_BY

    def _first_that_holds(self) -> tuple[FindingCode, Severity]:
        low = [self._low(way) for way in self.ways]
        rising = all(way.nominal < way.settled - OVERCOOLED_BY for way in self.ways)
        cold = self._cold and self.measured < self.sound.high
        coarse = self.instrument == "dash_gauge" and GAUGE_MIDDLE[0] <= self.measured <= GAUGE_MIDDLE[1]
        rules = (
            (self.measured - self.u > self.limit, FindingCode.READING_OVER_LIMIT, Severity.FAULT),
            (self.at is None, FindingCode.READING_WITHOUT_TIME, Severity.CAUTION),
            (coarse, FindingCode.READING_COARSE, Severity.NOTE),
            (all(low), FindingCode.READING_LOW, Severity.FAULT),
            (cold and bool(self.passes), FindingCode.VALVE_PASSES, Severity.FAULT),
            (any(low), FindingCode.READING_DEPENDS, Severity.CAUTION),
            (self.measured > self.limit, FindingCode.READING_HIGH, Severity.CAUTION),
            (self.measured - self.u > self.regulates + OVERCOOLED_BY, FindingCode.READING_HOTTER, Severity.CAUTION),
            (cold and rising, FindingCode.TOO_EARLY, Severity.CAUTION),
            (cold, FindingCode.READING_UNDECIDED, Severity.CAUTION),
            (True, FindingCode.READING_AGREES, Severity.NOTE))
        return next((code, severity) for holds, code, severity in rules if holds)


_RESTS_ON_RUNNING = (FindingCode.READING_LOW, FindingCode.READING_DEPENDS, FindingCode.TOO_EARLY,
                     FindingCode.READING_UNDECIDED, FindingCode.READING_AGREES)


def _explained(conditions: Conditions, measured: float, plant: Plant) -> float | None:
    """The opening [-] at which the valve, held, would settle at the reading; None where no opening does."""
    point = solve(plant, conditions.replace(valve_held=OPENINGS))
    settled: Array = np.where(point.solved, point.coolant_out, point.boiling)
    falling = np.minimum.accumulate(settled)  # wider open never settles hotter
    if not falling[-1] - 0.5 <= measured <= falling[0] + 0.5:  # K; half a kelvin of grace at the ends
        return None
    return float(np.interp(-measured, -falling, OPENINGS))
