"""Readings of the coolant taken by hand, against what a healthy vehicle would show at that time.

What an instrument shows is not the coolant: infrared on rubber reads 3 to 10 K low, a clamp 2 to 4 K low, a dash gauge
sits mid-scale from about 75 to 105 degC (common practice, no source). The bias is taken out, the rest is uncertainty.

A reading is low where it lies, with its expanded uncertainty, below nine in ten healthy vehicles and more than 11 K
below the one in the middle: significant and large. Where nobody noted how the vehicle ran, each way is judged by
itself, and a reading that is low for one and not for the other is said to be just that. A cold reading that a healthy
vehicle may show as well decides nothing alone. A valve that was looked at does. A hose that warms while the valve
should be shut points to the valve and does not prove it: some healthy ones are felt so too.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from engcalc.case.case import Case, with_values
from engcalc.case.conditions import Conditions, conditions_of, every_row
from engcalc.case.instruments import INSTRUMENTS, Instrument, instrument_of
from engcalc.case.reading_words import GAUGE_MIDDLE
from engcalc.case.records import Record, Spot, heater_at
from engcalc.diagnosis.members.faulty_vehicle import healthy_case
from engcalc.diagnosis.members.simulated import EVERY, Simulated, Stop, fault_free
from engcalc.errors import Cancelled
from engcalc.logs.record import LogRecord
from engcalc.studies.healthy_valve import has_valve, healthy_valve
from engcalc.studies.readings import ReadingCheck
from engcalc.studies.rig import COVERAGE
from engcalc.studies.seen import IN_HAND, valve_passes
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant, averaged, prepare
from engcalc.units import Array
from engcalc.vehicle.criterion import gauge_middle_by
from engcalc.vehicle.kept_runs import KEPT
from engcalc.vehicle.run import Run, ensemble_run, records, runs_of
from engcalc.vehicle.unknowns import draw_z, unknowns_of, vehicles
from engcalc.vehicle.warmup_study import RecordStudy
from engcalc.verdict import OVERCOOLED_BY, Finding, FindingCode, FindingLevel, Verdict
from engcalc.words.texts import shared_texts

LATER = 300.0  # s; over which it is looked whether healthy vehicles still warm up
EARLIEST = 300.0  # s; before, a reading tells how it was driven off and not whether a valve shuts; common practice
STILL_RISES = 3.0  # K in that time; common practice, no source
_SENSOR = INSTRUMENTS[("scan_tool", "")].uncertainty  # K; whatever a course was read by, its own sensor showed it
BETWEEN_WAYS = ", "  # what stands between the ways in a finding's words
OPENINGS = np.concatenate(([0.0], np.geomspace(0.002, 1.0, 27)))  # -, at which the valve is held to explain a reading


@dataclass(frozen=True, eq=False)
class WayDriven:
    """One way in which the vehicle may have run, and what healthy vehicles of the class then show."""

    run: Run
    weight: float
    shown: Simulated  # an ensemble of healthy vehicles

    def expected(self, time: float) -> HealthyCoolant:
        """What healthy vehicles show at a time [s]: the middle one and nine in ten, and what comes after."""
        at = self._shown_at(time)
        later = self._shown_at(time + LATER)
        end = self.shown.time[-1]
        if time + LATER > end:  # the run ends: as steep as at its end
            later = at + self._shown_at(end) - self._shown_at(end - LATER)
        low, middle, high = (float(x) for x in np.quantile(at, (0.05, 0.5, 0.95)))
        return HealthyCoolant(middle, low, high, float(np.median(later)) - middle)

    @property
    def middle_by(self) -> float | None:
        """From when on [s] the slow healthy vehicles too keep a gauge in its middle; None: not in this run."""
        return gauge_middle_by(self.shown.time, np.quantile(self.shown.shown, 0.05, axis=-1))

    def _shown_at(self, time: float) -> Array:
        return np.asarray(self.shown.at(self.shown.shown, np.array([time]))[0])


def is_hotter(measured: float, u: float, healthy: HealthyCoolant, reaches: float, regulates: float) -> bool:
    """Whether a temperature [K] is hotter than any healthy vehicle's.

    Either far over what its valve lets it get (``regulates``), or significantly over what it ``reaches`` and 11 K over
    what it would show by then. ``u`` [K] is a standard uncertainty.
    """
    far_over = measured - u > regulates + OVERCOOLED_BY
    significant = measured - COVERAGE * u > max(healthy.high, reaches)
    return far_over or (significant and measured > healthy.nominal + OVERCOOLED_BY)


def course_is_hotter(case: Case, record: RecordStudy) -> bool:
    """Whether a measured course got hotter than any healthy vehicle, by the rule for readings by hand.

    A course that was only warm sooner did not: of nine real healthy starts in frost four were, against vehicles whose
    heater is on high (M. Weber, "Automotive OBD-II Dataset", DOI 10.35097/1130; heater not noted there).
    """
    measured = record.measured
    if measured is None:
        return False
    band = record.band
    i = int(measured.T.argmax())
    peak = float(measured.T[i])
    at = float(measured.time[i])
    middle, high = (float(np.interp(at, band.time, T)) for T in (band.middle, band.high))
    regulates = max(float(case.thermostat.full_open[0]), float(record.healthy.sensor.max()))
    healthy = HealthyCoolant(middle, middle, high, 0.0)
    return is_hotter(peak, _SENSOR, healthy, max(regulates, fan_on(case)), regulates)


@dataclass(frozen=True)
class HealthyCoolant:
    """The coolant of healthy vehicles at a time [K]: the middle one, 5 to 95 % of them; its rise in five minutes."""

    nominal: float
    low: float
    high: float
    rises: float


def check_readings(
    case: Case, logs: Mapping[str, LogRecord], members: int, seed: int, cancelled: Stop = None
) -> tuple[ReadingCheck, ...]:
    """Every coolant reading of every record against ``members`` healthy vehicles of the class. Raises Cancelled."""
    found: list[ReadingCheck] = []
    for name, record in records(case).items():
        spots = [(i, spot) for i, spot in enumerate(record.spots) if spot.what == "coolant"]
        if spots:
            against = _what_to_hold_against(case, name, runs_of(case, name, logs), members, seed, cancelled)
            found += _warmed(
                against, [_reading_check(against, spot, f"evidence.{name}.spots[{i}]") for i, spot in spots]
            )
    return tuple(found)


def _warmed(a: _Against, readings: Sequence[ReadingCheck]) -> list[ReadingCheck]:
    """The readings of one record, those that were low before a later one was warm as what they are: slow, not cold.

    A valve that stays open, or a sensor that reads low, does not mend itself under way.
    """
    opens = _opens(a.case) - OVERCOOLED_BY
    warm = [r.at for r in readings if r.at is not None and r.measured - r.uncertainty > opens]
    if not warm:
        return list(readings)
    last = max(warm)
    return [_slow(r) if r.at is not None and r.at < last else r for r in readings]


_COLD_CODES = (
    FindingCode.READING_LOW,
    FindingCode.VALVE_PASSES,
    FindingCode.VALVE_SUSPECTED,
    FindingCode.READING_DEPENDS,
    FindingCode.READING_UNDECIDED,
    FindingCode.TOO_EARLY,
)


def _slow(reading: ReadingCheck) -> ReadingCheck:
    if not any(f.code in _COLD_CODES for f in reading.findings):
        return reading
    numbers = next(f.numbers for f in reading.findings if f.code in _COLD_CODES)
    return replace(
        reading,
        verdict=None,
        explained_by_opening=None,
        findings=(Finding(FindingCode.READING_WARMED, FindingLevel.NOTE, numbers),),
    )


@dataclass(frozen=True, eq=False)
class _Against:
    """What the readings of one record are held against."""

    case: Case
    record: Record
    name: str
    ways: tuple[WayDriven, ...]
    plant: Plant
    conditions: Conditions  # the likeliest way, steady: by which a valve's opening may explain a reading
    limit: float  # K
    regulates: float  # K, the hottest that a healthy valve lets it get while it regulates


def _what_to_hold_against(
    case: Case, name: str, runs: Sequence[tuple[Run, float]], members: int, seed: int, cancelled: Stop
) -> _Against:
    """What hand readings of a record are held against: drawn healthy vehicles, and the settled one of the likeliest
    way."""
    ways = ways_driven(case, runs, members, seed, cancelled)
    likeliest = max(ways, key=lambda way: way.weight).run
    plant = prepare(case)
    steady = _steady(case, likeliest)
    healthy = solve(prepare(with_values(case, healthy_valve(case))) if has_valve(case) else plant, steady)
    limit = min(float(case.limits.coolant_limit[0]), float(healthy.boiling[0]))
    regulates = max(float(case.thermostat.full_open[0]), float(healthy.peak[0]))
    return _Against(case, records(case)[name], name, ways, plant, steady, limit, regulates)


def ways_driven(
    case: Case, runs: Sequence[tuple[Run, float]], members: int, seed: int, cancelled: Stop = None
) -> tuple[WayDriven, ...]:
    """Healthy vehicles in each way in which a record may have run. Raises Cancelled."""
    return tuple(_way(case, run, weight, members, seed, cancelled) for run, weight in runs)


def _way(case: Case, run: Run, weight: float, members: int, seed: int, cancelled: Stop) -> WayDriven:
    healthy = healthy_case(case)
    coarse = ensemble_run(run)
    unknowns = unknowns_of(healthy, coarse)
    ready = vehicles(healthy, coarse, unknowns, draw_z(unknowns, members, seed))
    ran = KEPT.warm_up(averaged(ready.plant), ready.drive, EVERY, cancelled)
    if cancelled is not None and cancelled():
        raise Cancelled(shared_texts.CHECK_WAS_CANCELLED)
    return WayDriven(run, weight, fault_free(ran, ready))


def _steady(case: Case, run: Run) -> Conditions:
    """The run's mean speed held, with its air and heater."""
    asked = every_row(run.drive.conditions)
    which = run.drive.which
    share = run.drive.conditions.heater_air_share
    mean_share = float(share[which].mean()) if len(share) > 1 else float(share[0, 0])
    first = conditions_of(case.duties[:1]).of_another_day().without_load()
    return first.replace(
        trailer_mass=np.zeros(1),
        vehicle_speed=np.full(1, float(asked.vehicle_speed[which].mean())),
        heater_air_share=np.full(1, mean_share),
        ambient=asked.ambient,
    )


def _held_against(a: _Against, spot: Spot, instrument: Instrument) -> _Reading:
    """A reading beside what healthy vehicles show at its time; without a time, at the end of the record."""
    as_read = float(spot.value[0])
    at = None if spot.at is None else float(spot.at[0])
    return _Reading(
        as_read=as_read,
        measured=as_read - instrument.bias,
        u=instrument.uncertainty if spot.uncertainty is None else float(spot.uncertainty[0]),
        at=at,
        limit=a.limit,
        ways=tuple(way.expected(float(way.shown.time[-1]) if at is None else at) for way in a.ways),
        names=tuple(way.run.driving for way in a.ways),
        regulates=a.regulates,
        fan_on=fan_on(a.case),
        opens=_opens(a.case),
        instrument=spot.instrument,
        word=spot.word or "",
        passes=valve_passes(a.record, a.case.thermostat.side),
    )


def _reading_check(a: _Against, spot: Spot, path: str) -> ReadingCheck:
    """One reading against healthy vehicles; one without a time against the end of the record."""
    instrument = instrument_of(spot)
    reading = _held_against(a, spot, instrument or Instrument(0.0, 0.0))
    findings: tuple[Finding, ...]
    if instrument is None:
        findings = (Finding(FindingCode.READING_REFUSED, FindingLevel.CAUTION, {"as_read": reading.as_read}),)
    else:
        findings = reading.judge(heater_at(a.record, spot.at), a.case.job.reason == "no heat")
    verdicts = {_VERDICT_OF.get(f.code) for f in findings}
    asks = any(f.code in _ASKS_THE_VALVE for f in findings)
    healthy = reading.healthy
    return ReadingCheck(
        path=path,
        record=a.name,
        what=spot.what,
        at=reading.at,
        as_read=reading.as_read,
        measured=reading.measured,
        uncertainty=reading.u,
        expected_healthy=healthy.nominal,
        expected_low=healthy.low,
        expected_high=healthy.high,
        explained_by_opening=_explained(a.conditions, reading.measured, a.plant) if asks else None,
        verdict=next((verdict for verdict in Verdict if verdict in verdicts), None),
        findings=findings,
        word=spot.word,
        middle_by=_latest([way.middle_by for way in a.ways]),
    )


def _latest(times: Sequence[float | None]) -> float | None:
    """The latest of some times [s]; None where one of them never comes."""
    known = [time for time in times if time is not None]
    return max(known) if len(known) == len(times) else None


def fan_on(case: Case) -> float:
    """Coolant [K] at which an electric fan comes on; 0 for any other."""
    if case.airflow.fan_drive == "electric":
        return float(case.airflow.fan_on[0])
    return 0.0


def _opens(case: Case) -> float:
    """Coolant [K] at the engine's outlet below which a healthy valve is shut; a bench has none that could be.

    One that load opens earlier is shut for sure only below its opening at full load.
    """
    if has_valve(case):
        return float((case.thermostat.start_to_open - case.thermostat.mapped_shift)[0])
    return 0.0


def _whichever(ways: Sequence[HealthyCoolant]) -> HealthyCoolant:
    """Whichever way it ran: the range spans them all, the nominal lies midway."""
    return HealthyCoolant(
        float(np.mean([w.nominal for w in ways])),
        min(w.low for w in ways),
        max(w.high for w in ways),
        max(w.rises for w in ways),
    )


_VERDICT_OF: Mapping[FindingCode, Verdict] = {
    FindingCode.READING_OVER_LIMIT: Verdict.UNDERSIZED,
    FindingCode.READING_LOW: Verdict.OVERCOOLING,
    FindingCode.VALVE_PASSES: Verdict.OVERCOOLING,
    FindingCode.VALVE_SUSPECTED: Verdict.MARGINAL,
    FindingCode.READING_DEPENDS: Verdict.MARGINAL,
    FindingCode.READING_UNDECIDED: Verdict.MARGINAL,
    FindingCode.READING_HIGH: Verdict.MARGINAL,
    FindingCode.READING_AGREES: Verdict.HOLDS,
}
_ASKS_THE_VALVE = (
    FindingCode.READING_LOW,
    FindingCode.VALVE_PASSES,
    FindingCode.VALVE_SUSPECTED,
    FindingCode.READING_DEPENDS,
    FindingCode.READING_UNDECIDED,
)
_TELLS_THE_FACT = (FindingCode.READING_LOW, FindingCode.VALVE_PASSES, FindingCode.VALVE_SUSPECTED)


@dataclass(frozen=True)
class _Reading:
    """One trusted reading and what it is held against; K, s."""

    as_read: float
    measured: float
    u: float
    at: float | None
    limit: float
    ways: tuple[HealthyCoolant, ...]  # one where it was noted how it ran
    names: tuple[str, ...]  # of the ways: the words in which it is noted how it ran
    regulates: float  # K, the hottest that a healthy valve lets it get while it regulates
    fan_on: float  # K, up to which a healthy vehicle gets where its fan switches; 0 where none does
    opens: float  # K, below which a healthy valve is shut
    instrument: str
    word: str  # in which it was read; empty for a number
    passes: str  # the fact that was seen of a valve that lets coolant pass while cold; empty for none

    @property
    def healthy(self) -> HealthyCoolant:
        """A healthy vehicle, whichever way it ran."""
        return _whichever(self.ways)

    def numbers(self) -> dict[str, float]:
        found = {
            "as_read": self.as_read,
            "measured": self.measured,
            "uncertainty": self.u,
            "limit": self.limit,
            "expected": self.healthy.nominal,
            "expected_low": self.healthy.low,
            "expected_high": self.healthy.high,
            "short_by": self.healthy.nominal - self.measured,
            "opens": self.opens,
            "regulates": self.regulates,
            "heat_limited": float(self._heat_limited),
        }
        if len(self.ways) > 1:
            for name, idled in (("driven", False), ("idled", True)):
                way = _whichever([w for w, n in zip(self.ways, self.names, strict=True) if (n == "idling") is idled])
                found |= {f"{name}_low": way.low, f"{name}_high": way.high}
        return found if self.at is None else {**found, "at": self.at}

    def judge(self, heater_setting: str, no_heat: bool) -> tuple[Finding, ...]:
        """What the reading says; without its time nothing but an over-limit can be said."""
        code, severity = self._first_that_holds()
        words = {"fact": self.passes} if code in _TELLS_THE_FACT else {}
        words |= {"word": self.word} if self.word else {}
        numbers = self.numbers()
        if code is FindingCode.READING_DEPENDS:
            apart, ways = self._apart()
            numbers = numbers | apart
            words = words | ways
        found = [Finding(code, severity, numbers, words)]
        if heater_setting == "unknown" and code in _RESTS_ON_RUNNING:
            found.append(Finding(FindingCode.HEATER_UNKNOWN, FindingLevel.NOTE))
        if len(self.ways) > 1 and code in _RESTS_ON_RUNNING:
            found.append(Finding(FindingCode.RUNNING_UNKNOWN, FindingLevel.NOTE))
        if no_heat and code is FindingCode.READING_AGREES and not self._cold:
            found.append(Finding(FindingCode.HEATER_SIDE, FindingLevel.CAUTION))
        return tuple(found)

    @property
    def _heat_limited(self) -> bool:
        """Whether healthy vehicles stay under the opening of their valve, however it ran, and warm up no more."""
        return all(way.high < self.opens and way.rises < STILL_RISES for way in self.ways)

    @property
    def _cold(self) -> bool:
        """Whether a healthy valve would still be shut, clearly."""
        return self.measured + self.u < self.opens - OVERCOOLED_BY

    @property
    def _hotter(self) -> bool:
        return is_hotter(self.measured, self.u, self.healthy, max(self.regulates, self.fan_on), self.regulates)

    def _low(self, way: HealthyCoolant) -> bool:
        significant = self.measured + COVERAGE * self.u < way.low
        return significant and self.measured < way.nominal - OVERCOOLED_BY

    def _apart(self) -> tuple[dict[str, float], dict[str, str]]:
        """The ways for which the reading is too cold and those for which it is not: what healthy vehicles show in
        them [K], and which they are."""
        numbers: dict[str, float] = {}
        words: dict[str, str] = {}
        for key, low in (("too_cold", True), ("fits", False)):
            those = [(w, n) for w, n in zip(self.ways, self.names, strict=True) if self._low(w) is low]
            way = _whichever([w for w, _ in those])
            numbers |= {f"{key}_low": way.low, f"{key}_high": way.high}
            words[key] = BETWEEN_WAYS.join(name for _, name in those)
        return numbers, words

    @property
    def _in_gauge_middle(self) -> bool:
        """Whether the dash gauge stands in the middle, where it is made to stand still."""
        low, high = GAUGE_MIDDLE
        return self.instrument == "dash_gauge" and low <= self.measured <= high

    def _first_that_holds(self) -> tuple[FindingCode, FindingLevel]:
        begun = self.at is None or self.at >= EARLIEST
        low = [begun and self._low(way) for way in self.ways]
        rising = not begun or all(way.rises > STILL_RISES for way in self.ways)
        cold = self._cold and self.measured < self.healthy.high
        rules = (
            (self.measured - self.u > self.limit, FindingCode.READING_OVER_LIMIT, FindingLevel.FAULT),
            (self.at is None, FindingCode.READING_WITHOUT_TIME, FindingLevel.CAUTION),
            (self._in_gauge_middle, FindingCode.READING_COARSE, FindingLevel.NOTE),
            (all(low), FindingCode.READING_LOW, FindingLevel.FAULT),
            (cold and self.passes in IN_HAND, FindingCode.VALVE_PASSES, FindingLevel.FAULT),
            (cold and bool(self.passes), FindingCode.VALVE_SUSPECTED, FindingLevel.CAUTION),
            (any(low), FindingCode.READING_DEPENDS, FindingLevel.CAUTION),
            (self.measured > self.limit, FindingCode.READING_HIGH, FindingLevel.CAUTION),
            (self._hotter, FindingCode.READING_HOTTER, FindingLevel.CAUTION),
            (cold and rising, FindingCode.TOO_EARLY, FindingLevel.CAUTION),
            (cold, FindingCode.READING_UNDECIDED, FindingLevel.CAUTION),
            (True, FindingCode.READING_AGREES, FindingLevel.NOTE),
        )
        return next((code, severity) for holds, code, severity in rules if holds)


_RESTS_ON_RUNNING = (
    FindingCode.READING_LOW,
    FindingCode.VALVE_SUSPECTED,
    FindingCode.READING_DEPENDS,
    FindingCode.TOO_EARLY,
    FindingCode.READING_UNDECIDED,
    FindingCode.READING_AGREES,
)


def _explained(conditions: Conditions, measured: float, plant: Plant) -> float | None:
    """The opening [-] at which the valve, held, would settle at the reading; None where no opening does."""
    point = solve(plant, conditions.replace(valve_held=OPENINGS))
    settled: Array = np.where(point.solved, point.coolant_out, point.boiling)
    falling = np.minimum.accumulate(settled)  # wider open never settles hotter
    if not falling[-1] - 0.5 <= measured <= falling[0] + 0.5:  # K; half a kelvin of grace at the ends
        return None
    return float(np.interp(-measured, -falling, OPENINGS))
