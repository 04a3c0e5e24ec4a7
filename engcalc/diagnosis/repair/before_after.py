"""The proof of a repair: two records of one vehicle, fitted together.

The vehicle's unknowns are the same in both records; what may differ is how far the valve stays open when it should be
shut, the weather, the heater and how the engine ran. So a vehicle that warms up slowly by nature does so in both, and
only what changed between them can be laid to the repair. Readings by hand (hoses, vent, coolant) count beside the
curves, each with its instrument's noise.

A vehicle that ran hot before is another matter: no valve that stays open tells it. Its repair is proven where the run
after it asked as much of the cooling (:mod:`engcalc.diagnosis.repair.hot_runs`) and it stayed as cool as a healthy
vehicle.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import erf, sqrt

import numpy as np

from engcalc.case.case import Case, with_values
from engcalc.case.records import TIMELESS, Spot, heater_settings
from engcalc.diagnosis.conclusion import HOT_COMPLAINTS
from engcalc.diagnosis.evidence.observations import ReadingGroup, observed
from engcalc.diagnosis.members.simulated import Simulated, fault_free
from engcalc.diagnosis.repair.hot_runs import HotRuns, hot_runs, ran_hot
from engcalc.diagnosis.repair.same_heat import SameHeat, same_heat
from engcalc.errors import Cancelled
from engcalc.system.in_time.warmed import crossing
from engcalc.system.plant import averaged
from engcalc.units import Array
from engcalc.vehicle.criterion import excuses
from engcalc.vehicle.discrepancy import PACE, ReadAt, not_forgotten
from engcalc.vehicle.earlier import LeftOpen
from engcalc.vehicle.fit import Fit, FittedReadings, HandReadings, fit, sight_of
from engcalc.vehicle.kept_runs import KEPT
from engcalc.vehicle.run import AFTER, BEFORE, RECORDS, SOAKED, Run, ensemble_run
from engcalc.vehicle.settling import Settlement
from engcalc.vehicle.unknowns import Effect, Unknown, unknowns_of, vehicles
from engcalc.vehicle.warmup_study import (
    HealthyBand,
    RecordStudy,
    Stop,
    WarmupStudy,
    finite,
    healthy_case,
    leaves,
    with_curve,
)
from engcalc.verdict import Verdict
from engcalc.words.texts import diagnosis_texts, shared_texts

OPEN_MEDIAN = 0.005  # -; prior of the opening that stays: none to half open, barely informed
OPEN_SPREAD = 1.5  # of its logarithm
HEALTHY_OPENING = 0.01  # -; what passes a shut valve that counts as healthy, bleed hole included; common practice
SURE = 0.95  # probability from which on a change counts as shown
FEWEST = 4  # readings after the start that a record needs to prove anything; common practice, no source
SAME_TIME = 120.0  # s; apart from which readings are not of the same time; common practice
WEATHER_APART = 10.0  # K; between two outside temperatures that make records hard to compare; common practice
STEPS = (333.15, 343.15, 353.15)  # K; 60, 70, 80 degC
_DOUBT = 1.645  # standard deviations: 5 to 95 %


class Proof(StrEnum):
    """What the two records show together."""

    REPAIRED = diagnosis_texts.REPAIR_IS_PROVEN
    BETTER = diagnosis_texts.BETTER_BUT_NOT_YET_WHAT_A_HEALTHY
    SAME = "nothing has changed"
    OPEN = "not proven yet"
    NO_FAULT = diagnosis_texts.NEITHER_RECORD_SHOWS_A_FAULT


class Unproven(StrEnum):
    """What the records leave open."""

    AFTER_TOO_SHORT = diagnosis_texts.RECORD_AFTER_THE_REPAIR_ENDS_BEFORE
    BEFORE_TOO_SHORT = diagnosis_texts.RECORD_BEFORE_THE_REPAIR_ENDS_BEFORE
    WEATHER = diagnosis_texts.TWO_RECORDS_WERE_MADE_IN_UNLIKE_WEATHER
    HEATER = diagnosis_texts.HEATER_WAS_SET_DIFFERENTLY
    ENGINE_STOPS = diagnosis_texts.NOBODY_NOTED_WHETHER_THE_ENGINE_STOPS
    NOT_AS_LONG = diagnosis_texts.NOT_RUN_AS_LONG
    NOT_AS_SLOW = diagnosis_texts.NOT_DRIVEN_AS_SLOWLY
    COLDER_AIR = diagnosis_texts.AIR_WAS_COLDER
    MORE_HEATER = diagnosis_texts.HEATER_MAY_HAVE_TAKEN_MORE
    HOW_IT_RAN = diagnosis_texts.NOBODY_NOTED_HOW_IT_RAN
    READ_AGAIN = diagnosis_texts.WARM_ENGINE_WAS_READ_ONCE
    LOOK_AGAIN = diagnosis_texts.FOUND_AND_NOT_LOOKED_AT_AGAIN
    START = diagnosis_texts.NOBODY_NOTED_HOW_COLD
    NOT_HOT = diagnosis_texts.RADIATOR_WAS_NEVER_CALLED_UPON
    SENSOR = diagnosis_texts.SENSOR_FAULT_WAS_FOUND_IN_A_RECORD
    TIMES = diagnosis_texts.TWO_RECORDS_WERE_NOT_READ_AT_THE_SAME
    TOO_FEW = diagnosis_texts.RECORD_HAS_TOO_FEW_READINGS_TO_PROVE


@dataclass(frozen=True, eq=False)
class ValveFit:
    """What the fit of both records tells of one: what stays open for the coolant when the valve should be shut, best
    and 5 to 95 %; ``sensor`` [K] the fitted curve at ``time`` [s]."""

    time: Array
    sensor: Array
    rms: float  # K
    opening: float
    opening_low: float
    opening_high: float


@dataclass(frozen=True, eq=False)
class ComparedRecord:
    """One of the two records; not fitted where the vehicle ran hot before."""

    study: RecordStudy
    fitted: ValveFit | None = None

    @property
    def settled(self) -> Settlement:
        """Where the record settles."""
        measured = self.study.measured
        return self.study.settled if measured is None else measured.settled


@dataclass(frozen=True)
class BeforeAfterChange:
    """What changed, for a customer: both temperatures [K] at one time [s], and the minutes to one temperature."""

    at: float
    before: float
    after: float
    step: float | None  # K; the highest of 60, 70, 80 degC that the second record reached
    time_before: float | None  # s; None: never
    time_after: float | None


@dataclass(frozen=True, eq=False)
class BeforeAfter:
    """Both records together. ``odds``: that less passes the shut valve than before; None of a vehicle that ran hot.

    ``after_healthy``: the record after is one of a healthy vehicle, at a pace that its class has.
    """

    before: ComparedRecord
    after: ComparedRecord
    change: BeforeAfterChange
    odds: float | None
    after_healthy: bool
    proof: Proof
    unproven: tuple[Unproven, ...]
    fit: Fit | None
    hot: HotRuns | None = None  # of a vehicle that ran hot before its repair: nothing is fitted then

    @property
    def stands(self) -> bool:
        """Whether both records together show something, whatever it is."""
        return self.proof is not Proof.OPEN

    @property
    def at_same_heat(self) -> SameHeat | None:
        """The run before where as much heat had been put in as in the run after."""
        return same_heat(self.before.study, self.after.study)


def compare(found: WarmupStudy, *, seed: int = 1, cancelled: Stop = None) -> BeforeAfter | None:
    """Before and after laid side by side; None where the case has not both with a course in time: a curve, or the
    coolant read by hand at least twice, the start included where it is known.

    Raises Cancelled.
    """
    halves = {r.name: h for r in found.records if (h := _with_course(found, r, cancelled)) is not None}
    if set(halves) != set(RECORDS):
        return None
    pair = (halves[BEFORE], halves[AFTER])
    hot = hot_runs(found.case, *pair)
    if hot is None:
        return _of_the_valve(found, pair, seed, cancelled)
    return _of_heat(found.case, hot, pair)


_Pair = tuple[RecordStudy, RecordStudy]


def _of_the_valve(found: WarmupStudy, pair: _Pair, seed: int, cancelled: Stop) -> BeforeAfter:
    """Both records fitted together by what their valve leaves open."""
    runs = [record.run for record in found.records if record.name in RECORDS]
    without_fault = healthy_case(found.case)
    joint = _Joint.of(without_fault, runs, cancelled)
    best = explained(without_fault, runs, seed, cancelled)
    before, after = (joint.half(i, record, best) for i, record in enumerate(pair))
    odds = _odds(best, joint)
    change = _change_between(pair)
    in_time = pair[1].verdict.verdict is Verdict.HOLDS
    healthy = in_time and _stays_healthy(found.case, pair[1]) and _shuts(after)
    few = any(len(sight.time) < FEWEST for sight in joint.sights)
    proof = Proof.OPEN if few else _proof(pair[0], odds, healthy, after)
    return BeforeAfter(before, after, change, odds, healthy, proof, _why_unproven(pair, few, change.at), best)


def explained(case: Case, runs: Sequence[Run], seed: int = 1, cancelled: Stop = None) -> Fit:
    """What of a vehicle and of its valve explains its records best, all at once. Raises Cancelled."""
    joint = _Joint.of(case, runs, cancelled)
    return fit(joint.unknowns, joint.predicted, joint.sights, seed, cancelled)


def _of_heat(case: Case, hot: HotRuns, pair: _Pair) -> BeforeAfter:
    """Both records of a vehicle that ran hot before its repair."""
    healthy = _stays_healthy(case, pair[1]) and pair[1].verdict.verdict is not Verdict.OVERCOOLING
    proof = _proof_of_heat(case, hot, healthy, pair[1])
    before, after = (ComparedRecord(record) for record in pair)
    return BeforeAfter(
        before, after, _change_between(pair), None, healthy, proof, _open_of_heat(case, hot, pair), None, hot
    )


def left_open(case: Case, run: Run, *, seed: int = 1, cancelled: Stop = None) -> LeftOpen | None:
    """What the valve leaves open in one record, fitted with all that is unknown of the vehicle; None of a record with
    too few readings, or of a vehicle without a valve. Raises Cancelled."""
    healthy = healthy_case(case)
    if healthy.thermostat.kind == "none":
        return None
    alone = _Joint.of(healthy, [run], cancelled)
    if len(alone.sights[0].time) < FEWEST:
        return None
    return alone.left_open(0, explained(healthy, [run], seed, cancelled))


def _with_course(found: WarmupStudy, record: RecordStudy, cancelled: Stop) -> RecordStudy | None:
    """The record with a course in time: its own curve, else the coolant as it was read by hand."""
    if record.measured is not None:
        return record
    run = record.run
    read = sorted(
        (r.times[0], r.values[0]) for r in by_hand(run) if r.what == "coolant" and _spot_of(run, r).at is not None
    )
    begins = _starts_noted(run) or found.case.job.reason in HOT_COMPLAINTS  # how cold it began tells nothing of heat
    if begins and read and read[0][0] > 0.0:
        read.insert(0, (0.0, float(run.drive.start[0])))
    if len(read) < 2 or run.curve[0].size:
        return None
    time, T = np.array(read).T
    return with_curve(found, record, (time, T), cancelled)


def _starts_noted(run: Run) -> bool:
    """Whether it is known how cold a run began."""
    noted = run.record
    soaked = noted.soak is not None and float(noted.soak[0]) >= SOAKED
    typed = bool(noted.curve) or noted.log is not None
    return typed or noted.start_temperature is not None or soaked


@dataclass(frozen=True, eq=False)
class _Joint:
    """Both records' unknowns in one z: the vehicle's, then each record's own with its opening last."""

    case: Case
    runs: Sequence[Run]
    coarse: Sequence[Run]
    own: Sequence[tuple[Unknown, ...]]  # each record's unknowns as one run alone has them
    columns: Sequence[list[int]]  # where those stand in the joint z
    openings: Sequence[int]  # column of each record's opening
    unknowns: tuple[Unknown, ...]
    hands: Sequence[tuple[ReadingGroup, ...]]  # readings by hand of each record
    sights: Sequence[FittedReadings]
    cancelled: Stop

    @classmethod
    def of(cls, case: Case, runs: Sequence[Run], cancelled: Stop) -> _Joint:
        own = [unknowns_of(case, run) for run in runs]
        joint: list[Unknown] = []
        seen: dict[str, int] = {}
        columns: list[list[int]] = []
        openings: list[int] = []
        for run, unknowns in zip(runs, own, strict=True):
            places = []
            for u in unknowns:
                key = f"{run.name}.{u.key}" if u.of_record else u.key
                if key not in seen:
                    seen[key] = len(joint)
                    joint.append(u)
                places.append(seen[key])
            columns.append(places)
            openings.append(len(joint))
            joint.append(
                Unknown(
                    f"{run.name}.open", diagnosis_texts.WHAT_THE_VALVE_LEAVES_OPEN, OPEN_SPREAD, Effect.CASE, (), True
                )
            )
        hands = [by_hand(run) for run in runs]
        sights = [sight_of(*run.curve, _as_hands(found)) for run, found in zip(runs, hands, strict=True)]
        return cls(
            case, runs, [ensemble_run(r) for r in runs], own, columns, openings, tuple(joint), hands, sights, cancelled
        )

    def predicted(self, z: Array) -> list[Array]:
        found = []
        for i, (sight, hands) in enumerate(zip(self.sights, self.hands, strict=True)):
            s = self._simulated(i, self.coarse[i], z, over_cycles=True)
            curve = s.at(s.shown, sight.time[: len(sight.time) - len(hands)])
            by_hand = [r.place.predict(s, np.array(r.times)) for r in hands]
            found.append(np.concatenate((curve, *by_hand)))
        return found

    def _simulated(self, i: int, run: Run, z: Array, over_cycles: bool = False) -> Simulated:
        """``over_cycles``: with the mean of what switches, as where in a cycle a fan or valve stood is chance."""
        opening = opening_of(z[:, self.openings[i]])
        v = vehicles(
            self.case,
            run,
            self.own[i],
            z[:, self.columns[i]],
            lambda case: with_values(case, {"thermostat.minimum_opening": opening}),
        )
        w = KEPT.warm_up(averaged(v.plant) if over_cycles else v.plant, v.drive, 10.0, self.cancelled)
        if self.cancelled is not None and self.cancelled():
            raise Cancelled(shared_texts.COMPARISON_WAS_CANCELLED)
        return fault_free(w, v)

    def half(self, i: int, record: RecordStudy, best: Fit) -> ComparedRecord:
        s = self._simulated(i, self.runs[i], best.z[None])
        time = s.time
        sensor = s.shown
        t, T = record.run.curve
        after = t >= 0.0
        off = T[after] - np.interp(t[after], time, sensor[:, 0])
        rms = float(np.sqrt((off**2).mean()))
        found = self.left_open(i, best)
        return ComparedRecord(record, ValveFit(time, sensor[:, 0], rms, found.middle, found.low, found.high))

    def left_open(self, i: int, best: Fit) -> LeftOpen:
        """What the valve leaves open in one record."""
        at = self.openings[i]
        z = float(best.z[at])
        doubt = float(np.sqrt(best.covariance[at, at]))
        low, middle, high = (float(opening_of(np.array([z + n * _DOUBT * doubt]))[0]) for n in (-1, 0, 1))
        return LeftOpen(low, middle, high, z, doubt)


def _spot_of(run: Run, reading: ReadingGroup) -> Spot:
    """The spot that a reading by hand came from."""
    return next(spot for i, spot in enumerate(run.record.spots) if reading.item == f"spots[{i}]")


def by_hand(run: Run) -> tuple[ReadingGroup, ...]:
    """The readings by hand that a run's temperatures answer; those of a part taken out or of the air are not among
    them."""
    spots = run.record.spots
    found = observed(run).readings
    places = {f"spots[{i}]": spot.what for i, spot in enumerate(spots)}
    return tuple(r for r in found if places.get(r.item, "") not in ("", "intake_air", "ambient", *TIMELESS))


def _as_hands(readings: Sequence[ReadingGroup]) -> HandReadings:
    columns = [(r.times[0], r.values[0], r.noise, r.place.share, r.place.error) for r in readings]
    time, T, noise, share, error = np.array(columns, dtype=np.float64).reshape(-1, 5).T
    return HandReadings(ReadAt(time, share, error), T, noise)


def opening_of(z: Array) -> Array:
    """What the valve leaves open [-] at z."""
    return np.asarray(np.minimum(OPEN_MEDIAN * np.exp(OPEN_SPREAD * z), 1.0))


def _shuts(half: ComparedRecord) -> bool:
    """Whether what a valve leaves open counts as healthy."""
    return half.fitted is not None and half.fitted.opening < HEALTHY_OPENING


def _odds(best: Fit, joint: _Joint) -> float:
    """Probability that less stays open after than before, by the fit's covariance."""
    b, a = joint.openings
    C = best.covariance
    variance = float(C[b, b] + C[a, a] - 2.0 * C[a, b])
    spread = sqrt(max(variance, 1e-12))
    less = float(best.z[b]) - float(best.z[a])
    return 0.5 * (1.0 + erf(less / spread / sqrt(2.0)))


def _change_between(pair: _Pair) -> BeforeAfterChange:
    """The coolant of both runs at the end of the shorter one, and when each reached the highest step that both tell."""
    (t0, T0), (t1, T1) = ((r.measured.time, r.measured.T) for r in pair if r.measured is not None)
    at = float(min(t0[-1], t1[-1]))
    times = {x: tuple(finite(crossing(t, T, x)) for t, T in ((t0, T0), (t1, T1))) for x in STEPS}
    step = max((x for x, (_, after) in times.items() if after is not None), default=None)
    early, late = times[step] if step is not None else (None, None)
    was = float(np.interp(at, t0, T0))
    now = float(np.interp(at, t1, T1))
    return BeforeAfterChange(at, was, now, step, early, late)


def _is_too_cold(record: RecordStudy) -> bool:
    below = record.measured is not None and record.measured.leaves_band is not None and record.measured.leaves_below
    return record.verdict.verdict is Verdict.OVERCOOLING or below


def _stays_healthy(case: Case, record: RecordStudy) -> bool:
    """Within what healthy vehicles of any pace show, or warm sooner than they, and no hotter than one gets."""
    measured = record.measured
    within = measured is not None and leaves(measured.time, measured.T, at_any_pace(record.band))[0] is None
    sooner = measured is not None and measured.leaves_band is not None and not measured.leaves_below
    return (within or sooner) and not ran_hot(case, record)


def at_any_pace(band: HealthyBand) -> HealthyBand:
    """The band of healthy vehicles [K] with what their pace adds to it (:mod:`engcalc.vehicle.discrepancy`)."""
    paced = _DOUBT * PACE * not_forgotten(band.middle[:, None], band.time)[:, 0]
    low, high = (np.hypot(side - band.middle, paced) for side in (band.low, band.high))
    return replace(band, low=band.middle - low, high=band.middle + high)


def _proof_of_heat(case: Case, hot: HotRuns, healthy: bool, after: RecordStudy) -> Proof:
    """What both show of a vehicle that ran hot before its repair."""
    if ran_hot(case, after):
        return Proof.SAME
    return Proof.REPAIRED if healthy and hot.asked_as_much else Proof.OPEN


def _open_of_heat(case: Case, hot: HotRuns, pair: _Pair) -> tuple[Unproven, ...]:
    """What the records leave open of a vehicle that ran hot before its repair."""
    rules: Mapping[Unproven, bool] = {
        Unproven.READ_AGAIN: not hot.read_again,
        Unproven.NOT_AS_LONG: hot.read_again and not hot.as_long,
        Unproven.NOT_AS_SLOW: hot.read_again and hot.as_long and not hot.as_slow,
        Unproven.COLDER_AIR: not hot.as_warm_outside,
        Unproven.MORE_HEATER: not hot.no_more_heater,
        Unproven.HOW_IT_RAN: not hot.noted,
        Unproven.LOOK_AGAIN: not hot.looked_at,
        Unproven.START: any(not _starts_noted(r.run) for r in pair),
        Unproven.SENSOR: any(r.measured is not None and r.measured.faults for r in pair),
    }
    return tuple(what for what, holds in rules.items() if holds and not ran_hot(case, pair[1]))


def _proof(before: RecordStudy, odds: float, healthy: bool, after: ComparedRecord) -> Proof:
    """What both show. The odds are of a valve that shuts better."""
    if not _is_too_cold(before):
        return Proof.NO_FAULT if healthy else Proof.OPEN
    judged = after.study.verdict.verdict
    if judged is None or 0.5 <= odds < SURE:  # it may still warm up: too early to say that nothing has changed
        return Proof.OPEN
    if odds >= SURE and healthy:
        return Proof.REPAIRED
    if judged is Verdict.HOLDS:  # healthy by the conclusion: nothing here says otherwise
        return Proof.OPEN
    return Proof.SAME if odds < 0.5 else Proof.BETTER


def _why_unproven(pair: _Pair, few: bool, at: float) -> tuple[Unproven, ...]:
    """Every reason why two runs prove nothing of the repair; ``at`` [s] is when both are compared."""
    before, after = pair
    ambient = [float(np.mean(r.run.drive.conditions.ambient)) for r in pair]
    settings = {tuple(word for _, word in heater_settings(r.run.record)) for r in pair}
    rules: Mapping[Unproven, bool] = {
        Unproven.AFTER_TOO_SHORT: _unsettled(after),
        Unproven.BEFORE_TOO_SHORT: _unsettled(before),
        Unproven.WEATHER: abs(ambient[1] - ambient[0]) > WEATHER_APART,
        Unproven.HEATER: len(settings) > 1 or any("unknown" in words for words in settings),
        Unproven.ENGINE_STOPS: any(excuses(r.run) for r in pair),
        Unproven.NOT_HOT: float(after.healthy.opening.max()) < 0.5,
        Unproven.TOO_FEW: few,
        Unproven.TIMES: any(float(np.abs(r.run.curve[0] - at).min()) > SAME_TIME for r in pair),
        Unproven.SENSOR: any(r.measured is not None and r.measured.faults for r in pair),
    }
    return tuple(what for what, holds in rules.items() if holds)


def _unsettled(record: RecordStudy) -> bool:
    return record.measured is not None and record.measured.settled.temperature is None
