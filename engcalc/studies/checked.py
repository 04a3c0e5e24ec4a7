"""What a check finds: of each duty and of the case as a whole."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from engcalc.case.case import Case
from engcalc.case.records import Duty
from engcalc.components.core import RatedScale
from engcalc.components.validity import Outside
from engcalc.studies.bench.check import BenchCheck, check_bench
from engcalc.studies.bench.points import BenchPoint
from engcalc.studies.bench.problem import bench_problems
from engcalc.studies.coolers import CoolerInDuty
from engcalc.studies.duties.course import begins_boiling
from engcalc.studies.duties.cycle import Cycle
from engcalc.studies.readings import PlaceReading, ReadingCheck
from engcalc.studies.refill_check import RefillCheck
from engcalc.studies.rig import RigCheck
from engcalc.system.in_time.valve_cycle import Hunting
from engcalc.system.plant import Plant, prepare
from engcalc.system.state import REGIMES, STATUSES, OperatingPoint, Regime, Status
from engcalc.verdict import (
    Finding,
    FindingCode,
    FindingLevel,
    Verdict,
    worst,
)


@dataclass(frozen=True, eq=False)
class DutyCheck:
    """One duty; every array inside has shape (1,). Temperatures in K, None where there is no number to give."""

    index: int
    name: str
    duty: Duty
    point: OperatingPoint
    healthy: OperatingPoint
    held_open: OperatingPoint
    verdict: Verdict | None
    findings: tuple[Finding, ...]
    limit: float
    margin: float | None
    boiling_margin: float | None
    air_to_boil: float | None
    limiting_ambient: float | None
    holds_probability: float | None
    holds_error: float | None  # its standard error [-]
    spread_low: float | None  # of the peak
    spread_high: float | None
    peak: float | None  # settled with the swing of a switching fan, or over the duty's time
    start: float | None  # of a duty with a duration
    end: float | None
    time_to_limit: float | None  # s from its start, if it went on; None if never
    coolers: tuple[CoolerInDuty, ...] = ()  # beside the radiator, at the settled point
    hunting: Hunting | None = None  # of a valve that never rests; the point is then where it would stand if it did

    @property
    def duration(self) -> float | None:
        """How long it lasts [s], None if until it settles."""
        if self.duty.duration is None:
            return None
        return float(self.duty.duration[0])

    @property
    def status(self) -> Status:
        """What became of the duty."""
        return STATUSES[int(self.point.status[0])]

    @property
    def boils(self) -> bool:
        """Whether the coolant boils: in the duty's time, or because nothing settles below boiling."""
        return self.status is Status.BOILS or any(f.code is FindingCode.BOILS for f in self.findings)

    @property
    def oil_overheats(self) -> bool:
        """Whether a cooler leaves its oil hotter than that may get."""
        return any(f.code is FindingCode.COOLER_SHORT and f.severity is FindingLevel.FAULT for f in self.findings)

    @property
    def marginal_by_oil(self) -> bool:
        """Whether it holds by its coolant, and only its oil overheats."""
        by_coolant = any(f.code in (FindingCode.MARGIN_SMALL, FindingCode.ODDS_SMALL) for f in self.findings)
        return self.verdict is Verdict.MARGINAL and self.oil_overheats and not by_coolant

    @property
    def regime(self) -> Regime:
        """Which part holds the temperature."""
        if self.hunting is None:
            return REGIMES[int(self.point.regime[0])]
        return Regime.CYCLING

    @property
    def coolant_out(self) -> float:
        """Engine outlet [K]: settled, or the mean of what swings."""
        if self.hunting is None:
            return float(self.point.coolant_out[0])
        return self.hunting.mean

    @property
    def swing(self) -> tuple[float, float]:
        """Lowest and highest engine outlet [K] at which it stands or between which it swings."""
        if self.hunting is not None:
            return self.hunting.low, self.hunting.high
        return float(self.point.span_low[0]), float(self.point.span_high[0])


@dataclass(frozen=True)
class LoggedPeak:
    """The hottest that a record's log shows the coolant: when [s] since the engine's start, and how hot [K].

    ``ahead`` [K] is where the rise with which the log ends leads it soon (:func:`engcalc.diagnosis.hottest.ahead_of`).
    ``without_fan``: when [s] a fan was first missed that should have run, and how hot it was [K].
    """

    record: str
    at: float
    T: float
    ahead: float = 0.0
    without_fan: tuple[float, float] | None = None


@dataclass(frozen=True)
class SettledOdds:
    """What the odds of a record settle: a fault, or several that the record cannot tell apart, the likeliest first, and
    their probability together."""

    record: str
    faults: tuple[str, ...]
    probability: float


@dataclass(frozen=True)
class WeighedOdds:
    """What the odds of a record say, as probabilities: of no fault (``healthy``), of a thermostat that lets coolant
    through (``open_valve``), of the likeliest single fault, and of the likeliest that is no such thermostat."""

    record: str
    healthy: float
    open_valve: float
    likeliest_fault: float
    likeliest_other_fault: float

    @property
    def doubt_healthy(self) -> bool:
        """Whether a fault is likelier than none."""
        return self.healthy < self.likeliest_fault

    @property
    def leave_open(self) -> bool:
        """Whether a fault of some kind is likelier than none, though no single one need be."""
        return self.healthy < 0.5

    @property
    def doubt_open_valve(self) -> bool:
        """Whether no fault, or another fault, is likelier than a thermostat that lets coolant through."""
        return self.open_valve < max(self.healthy, self.likeliest_other_fault)


@dataclass(frozen=True)
class AskedByOdds:
    """The hand check that the odds of a record ask for next, by its key; None where they ask for none."""

    record: str
    hand_check: str | None


@dataclass(frozen=True, eq=False)
class Check:
    """Everything that is said of a case."""

    case: Case
    plant: Plant
    duties: tuple[DutyCheck, ...]
    rig: tuple[RigCheck, ...]
    verdict: Verdict | None
    findings: tuple[Finding, ...]  # of the case as a whole
    courses: tuple[Cycle, ...]  # laps, work cycles and duties that follow one another, as curves
    validity: tuple[Outside, ...]
    rated: RatedScale | None
    refill: RefillCheck | None  # where a person entered one
    readings: tuple[ReadingCheck, ...] = ()  # counted in by ``evidence.whole_check``, and so is the history
    history: tuple[ReadingCheck, ...] = ()  # readings of before a repair that the record after it has overtaken
    elsewhere: tuple[PlaceReading, ...] = ()  # readings of hoses and vents, of every record
    logged: tuple[LoggedPeak, ...] = ()  # of the records whose logs were read
    bench: BenchCheck | None = None  # an exchanger on a bench with fluids of its own
    odds: SettledOdds | None = None  # counted in by ``diagnosis.settled``; None: nothing is settled, or not weighed yet
    weighed: WeighedOdds | None = None  # counted in with them; None: not weighed yet
    asked_by_odds: AskedByOdds | None = None  # None: no odds were weighed yet
    unfinished: bool = False  # warm-ups are still to be counted in: the verdict may be another then
    first_look: bool = False  # chances are still to be counted in: a duty that holds may then be marginal

    @property
    def is_bench_alone(self) -> bool:
        """Whether all there is is an exchanger on a bench, without a word of a vehicle."""
        return self.bench is not None and not self.duties

    @property
    def measured(self) -> tuple[RigCheck | BenchPoint, ...]:
        """Every measured point, on a radiator or on a bench exchanger."""
        return (*self.rig, *(() if self.bench is None else self.bench.points))


def verdict_of(
    duties: Iterable[DutyCheck],
    readings: Iterable[ReadingCheck],
    measured: Iterable[RigCheck | BenchPoint],
    findings: Iterable[Finding],
) -> Verdict | None:
    """The verdict of a case from all that speaks for one; None where nothing does."""
    by_rig = [Verdict.HOLDS if p.agrees else Verdict.MARGINAL for p in measured]
    by_sight: list[Verdict | None] = [_BY_FINDING[f.code] for f in findings if f.code in _BY_FINDING]
    return worst([d.verdict for d in duties] + [r.verdict for r in readings] + by_rig + by_sight)


_BY_FINDING: Mapping[FindingCode, Verdict] = {
    FindingCode.SEEN_VALVE_OPEN: Verdict.OVERCOOLING,
    FindingCode.FREEZES: Verdict.MARGINAL,
}
"""Findings of the case as a whole that speak for a verdict."""


def with_bench(found: Check) -> Check:
    """The check with the exchanger on its bench counted in; itself where there is none."""
    bench = check_bench(found.case)
    if bench is None:
        return found
    return replace(found, bench=bench, verdict=worst((found.verdict, verdict_of((), (), bench.points, ()))))


def check_of_bench(case: Case) -> Check:
    """The check of an exchanger on a bench alone: no duty of a vehicle."""
    return with_bench(Check(case, prepare(case), (), (), None, (), (), (), None, None))


def with_problems_of(found: Check, case: Case) -> Check:
    """A check of a bench whose case has other problems and nothing else: its points stay as they were worked."""
    if found.bench is None:
        return found
    return replace(found, case=case, bench=replace(found.bench, problems=bench_problems(case, found.bench.setup)))


def tightest(duties: Sequence[DutyCheck]) -> DutyCheck:
    """The duty that shows the verdict most: overcooled furthest, else least margin. One without a steady state comes
    before all that have one; of several, the one that would need the coldest air, as measured from its own. A duty that
    begins where one that boils ends is not asked: its coolant was boiling before it began."""
    if duties[0].verdict is Verdict.OVERCOOLING:
        return min(duties, key=lambda d: float(d.point.coolant_out[0] - d.healthy.coolant_out[0]))
    boiling = {duty.index for duty in duties if duty.boils}
    own = [duty for duty in duties if not begins_boiling(duty.duty, duty.index, boiling)]
    return min(own, key=_room)


def _room(duty: DutyCheck) -> tuple[float, float]:
    """What orders duties by how near they are to failing: margin [K], then the air's own room [K]."""
    if duty.margin is not None:
        return duty.margin, 0.0
    if duty.limiting_ambient is None:
        return float("-inf"), float("-inf")
    return float("-inf"), duty.limiting_ambient - float(duty.duty.ambient[0])
