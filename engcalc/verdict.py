"""Limits and verdicts: pure judgement of numbers that were computed elsewhere, one duty at a time.

undersized: the peak breaks the limit: the settled temperature with the swing of a switching fan or a hunting valve or,
    of a duty with a
    duration, the highest that it reaches in that time from its start; or the coolant boils.
overcooling: it settles more than 11 K (20 degF) under what the same vehicle settles at with a healthy valve.
    California's code of regulations, title 13, section 1968.2, (10.2.1)(A)(ii), asks a monitor for the same 20 degF.
marginal: it holds, but the probability of holding under the inputs' uncertainty is below the confidence wanted, or the
    margin is below the margin wanted.
holds: none of these.
Coolant that freezes in the coldest place that it comes to (the radiator's outlet, or all of it when the vehicle stands
in the duty's air) never holds, whatever the temperature at the engine: the verdict is marginal at best, the finding
FREEZES a fault that speaks before the verdict's own.
Where the vehicle with the healthy valve falls short of its valve's opening as well, the heat is what lacks.
That is said, and is no fault.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum, StrEnum

from engcalc.system.state import Regime, Status

OVERCOOLED_BY = 11.0  # K; 20 degF as monitors apply it (a maker's 2021 monitor: 11 degC); 13 CCR 1968.2 (e)(10.2.1)


class Verdict(StrEnum):
    """What is said of a duty, a reading or a case; the order decides which speaks for the whole."""

    UNDERSIZED = "undersized"
    OVERCOOLING = "overcooling"
    MARGINAL = "marginal"
    HOLDS = "holds"


ORDER = tuple(Verdict)


class FindingLevel(Enum):
    """How much a finding weighs; the screen and the report order by it."""

    FAULT = "fault"
    CAUTION = "caution"
    NOTE = "note"


class FindingCode(StrEnum):
    """What was found. Words for each stand in :mod:`engcalc.words.answer.reasons`."""

    OVER_LIMIT = "over_limit"
    BOILS = "boils"
    FREEZES = "freezes"
    NO_FLOW = "no_flow"
    OUTSIDE_MODEL = "outside_model"
    OVERCOOLED = "overcooled"
    HEAT_LIMITED = "heat_limited"
    MARGIN_SMALL = "margin_small"
    ODDS_SMALL = "odds_small"
    HOLDS = "holds"
    WHAT_LIMITS = "what_limits"
    LIMIT_IS_BOILING = "limit_is_boiling"
    FAN_SWITCHES = "fan_switches"
    VALVE_HUNTS = "valve_hunts"
    FAN_WITH_CONDITIONING = "fan_with_conditioning"
    FAN_PART_SPEED = "fan_part_speed"
    SHUTTER_SHUT = "shutter_shut"
    COOLER_SHORT = "cooler_short"
    HOLDS_IN_ANY_WEATHER = "holds_in_any_weather"
    HOLDS_IN_NO_WEATHER = "holds_in_no_weather"
    HOLDS_IN_TIME = "holds_in_time"
    POWER_LIMITED = "power_limited"
    POWER_AT_WHEELS = "power_at_wheels"
    POWER_AT_CRANK = "power_at_crank"
    SHARES_IMPOSSIBLE = "shares_impossible"
    EFFICIENCY_IMPOSSIBLE = "efficiency_impossible"
    HEATER_IMPOSSIBLE = "heater_impossible"
    RATED_POINT_IMPOSSIBLE = "rated_point_impossible"
    CAVITATES = "cavitates"
    CABIN_COLD = "cabin_cold"
    VALVE_MISSING = "valve_missing"
    NO_HEAT_SOURCE = "no_heat_source"
    SPEED_GUESSED = "speed_guessed"
    READING_AGREES = "reading_agrees"
    READING_LOW = "reading_low"
    READING_HIGH = "reading_high"
    READING_HOTTER = "reading_hotter"
    READING_OVER_LIMIT = "reading_over_limit"
    READING_REFUSED = "reading_refused"
    READING_WITHOUT_TIME = "reading_without_time"
    READING_COARSE = "reading_coarse"
    TOO_EARLY = "too_early"
    READING_WARMED = "reading_warmed"
    READING_DEPENDS = "reading_depends"
    READING_UNDECIDED = "reading_undecided"
    HEATER_SIDE = "heater_side"
    VALVE_PASSES = "valve_passes"
    VALVE_SUSPECTED = "valve_suspected"
    SEEN_VALVE_OPEN = "seen_valve_open"
    SEEN_HOSE = "seen_hose"
    SEEN = "seen"
    HEATER_UNKNOWN = "heater_unknown"
    RUNNING_UNKNOWN = "running_unknown"
    FUEL_DOUBTED = "fuel_doubted"
    VENT_BELOW_AIR = "vent_below_air"
    WARM_UP = "warm_up"
    UA_SCALED = "ua_scaled"
    RATED_POINT_DOUBTED = "rated_point_doubted"
    PITCH_DIFFERS = "pitch_differs"
    RIG_AGREES = "rig_agrees"
    RIG_DIFFERS = "rig_differs"
    RIG_BALANCE_POOR = "rig_balance_poor"
    RIG_IMPOSSIBLE = "rig_impossible"
    BENCH_IMPOSSIBLE = "bench_impossible"
    BENCH_GAINS = "bench_gains"
    BENCH_LOSES = "bench_loses"
    BENCH_OUTLIER = "bench_outlier"
    BENCH_AGREES = "bench_agrees"
    BENCH_DIFFERS = "bench_differs"
    BY_DESIGN = "by_design"
    ASSUMED = "assumed"


@dataclass(frozen=True)
class Finding:
    """One thing found: its code, how much it weighs, and the numbers (SI) and words that carry it."""

    code: FindingCode
    severity: FindingLevel
    numbers: Mapping[str, float] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class InTime:
    """What becomes of a duty in its time: start and peak [K], duration and time to the limit if it went on [s]."""

    start: float
    peak: float
    end: float
    duration: float
    to_limit: float  # infinite: never
    boils: bool


@dataclass(frozen=True)
class DutyFacts:
    """Everything that a duty's verdict rests on. Temperatures in K, differences in K."""

    status: Status
    regime: Regime
    settled: float  # engine outlet, the mean of a cycling member
    limit: float  # of the coolant, maker's or this duty's
    boiling: float
    wanted_margin: float
    confidence: float  # -
    holds_probability: float | None = None  # -
    healthy: float | None = None  # engine outlet with a healthy valve; None where no valve belongs
    healthy_regime: Regime = Regime.NONE
    opens_at: float | None = None  # engine outlet at which a healthy valve starts to open
    time_to_boil: float = float("inf")  # s
    in_time: InTime | None = None  # None: the duty goes on until it settles
    cycle: tuple[float, float] | None = None  # lowest and highest engine outlet while a fan switches or a valve hunts
    hunts: bool = False  # it is the valve
    freezing: float | None = None  # where first ice forms in this coolant; None where nothing is asked about it
    radiator_out: float | None = None  # None where nothing was solved
    ambient: float | None = None
    missing: float = 0.0  # W, of one that boils: heat that finds no way out at its boiling point

    @property
    def settles(self) -> bool:
        """Whether there is a settled state under the limit."""
        return self.status is Status.SOLVED and self.highest <= self.what_limits

    @property
    def highest(self) -> float:
        """Settled, or the top of a fan's cycle [K]."""
        return self.settled if self.cycle is None else self.cycle[1]

    @property
    def peak(self) -> float:
        """Highest temperature [K]: settled, or in the duty's time."""
        return self.highest if self.in_time is None else self.in_time.peak

    @property
    def answered(self) -> bool:
        """Whether there is a peak to be judged: something settles, or the time ends before it boils."""
        if self.in_time is not None and self.in_time.boils:
            return False
        return self.status is Status.SOLVED or (self.status is Status.BOILS and self.in_time is not None)

    @property
    def boils(self) -> bool:
        """Whether it boils: in its time, or before anything settles."""
        ends = self.in_time is not None and self.in_time.boils
        return not self.answered and (self.status is Status.BOILS or ends)

    @property
    def what_limits(self) -> float:
        """The lower of limit and boiling point [K]."""
        return min(self.limit, self.boiling)

    @property
    def margin(self) -> float:
        """Limit less peak [K]."""
        return self.what_limits - self.peak


@dataclass(frozen=True)
class Judgement:
    """A verdict, None where there is no solution, with the findings that carry it."""

    verdict: Verdict | None
    findings: tuple[Finding, ...]


def judge(facts: DutyFacts) -> Judgement:
    """The verdict of one duty."""
    judged = _judge_heat(facts)
    ice = _freezes(facts)
    if ice is None:
        return judged
    beside = tuple(f for f in judged.findings if f.code not in (FindingCode.HOLDS, FindingCode.OUTSIDE_MODEL))
    verdict = worst((judged.verdict, Verdict.MARGINAL))
    return Judgement(verdict, (ice, *beside))


def freezes(freezing: float, ambient: float, radiator_out: float | None = None) -> Finding | None:
    """That coolant freezes in some place: in the radiator while it runs, or throughout once it stands in this air."""
    if radiator_out is not None and radiator_out < freezing:
        return Finding(
            FindingCode.FREEZES,
            FindingLevel.FAULT,
            {"freezing": freezing, "ambient": ambient, "radiator_out": radiator_out},
            {"where": "running"},
        )
    if ambient < freezing:
        return Finding(
            FindingCode.FREEZES, FindingLevel.FAULT, {"freezing": freezing, "ambient": ambient}, {"where": "parked"}
        )
    return None


def _freezes(facts: DutyFacts) -> Finding | None:
    if facts.freezing is None or facts.ambient is None:
        return None
    return freezes(facts.freezing, facts.ambient, facts.radiator_out)


def _boils(facts: DutyFacts) -> Finding:
    """That the coolant boils: where, how soon from the valve's rating on, and what of the heat is left over."""
    numbers = {"boiling": facts.boiling, "time_to_boil": facts.time_to_boil, "missing": facts.missing}
    if facts.in_time is not None and facts.status is not Status.BOILS:
        numbers |= {"duration": facts.in_time.duration, "start": facts.in_time.start}
    return Finding(FindingCode.BOILS, FindingLevel.FAULT, numbers)


def with_coolers(verdict: Verdict | None, short: Sequence[Finding]) -> Verdict | None:
    """The verdict of a duty with what its coolers do: where oil overheats nothing holds, however cool the coolant."""
    overheats = any(finding.severity is FindingLevel.FAULT for finding in short)
    if overheats and verdict is Verdict.HOLDS:
        return Verdict.MARGINAL
    return verdict


def _judge_heat(facts: DutyFacts) -> Judgement:
    """The verdict of one duty by how hot its coolant gets."""
    if facts.boils:
        return Judgement(Verdict.UNDERSIZED, (_boils(facts),))
    if not facts.answered:
        code = FindingCode.NO_FLOW if facts.status is Status.NO_FLOW else FindingCode.OUTSIDE_MODEL
        return Judgement(None, (Finding(code, FindingLevel.FAULT),))
    asked = (rule(facts) for rule in (_over_limit, _overcooled, _margin, _odds, heat_limited))
    findings = [finding for finding in asked if finding is not None]
    verdict = worst(_VERDICT_OF[f.code] for f in findings if f.code in _VERDICT_OF) or Verdict.HOLDS
    if verdict is Verdict.UNDERSIZED:  # then small margins and odds say nothing new
        findings = [f for f in findings if f.code not in (FindingCode.MARGIN_SMALL, FindingCode.ODDS_SMALL)]
    if verdict is Verdict.HOLDS:
        findings.append(Finding(FindingCode.HOLDS, FindingLevel.NOTE, _of_limit(facts)))
    if verdict is not Verdict.UNDERSIZED and not facts.settles:
        findings.append(Finding(FindingCode.HOLDS_IN_TIME, FindingLevel.CAUTION, _of_limit(facts)))
    if facts.boiling < facts.limit:
        findings.append(Finding(FindingCode.LIMIT_IS_BOILING, FindingLevel.CAUTION, _of_limit(facts)))
    if facts.cycle is not None:
        findings.append(_goes_up_and_down(facts, facts.cycle[0]))
    return Judgement(verdict, tuple(findings))


def _goes_up_and_down(facts: DutyFacts, lowest: float) -> Finding:
    """Between what a hunting valve or a switching fan lets the coolant swing."""
    numbers = {"lowest": lowest, "highest": facts.highest}
    if facts.hunts:
        return Finding(FindingCode.VALVE_HUNTS, FindingLevel.NOTE, {**numbers, "mean": facts.settled})
    return Finding(FindingCode.FAN_SWITCHES, FindingLevel.NOTE, numbers)


_VERDICT_OF: Mapping[FindingCode, Verdict] = {
    FindingCode.OVER_LIMIT: Verdict.UNDERSIZED,
    FindingCode.OVERCOOLED: Verdict.OVERCOOLING,
    FindingCode.MARGIN_SMALL: Verdict.MARGINAL,
    FindingCode.ODDS_SMALL: Verdict.MARGINAL,
}


def worst(verdicts: Iterable[Verdict | None]) -> Verdict | None:
    """The first present of undersized, overcooling, marginal, holds; None where there is none."""
    present = set(verdicts)
    return next((v for v in ORDER if v in present), None)


def _of_limit(facts: DutyFacts) -> dict[str, float]:
    numbers = {
        "peak": facts.peak,
        "limit": facts.what_limits,
        "margin": facts.margin,
        "boiling": facts.boiling,
        "coolant_limit": facts.limit,
        "wanted_margin": facts.wanted_margin,
        "confidence": facts.confidence,
    }
    if facts.holds_probability is not None:
        numbers["probability"] = facts.holds_probability
    if facts.status is Status.SOLVED:
        numbers["settled"] = facts.settled
    if facts.in_time is not None:
        numbers |= {"start": facts.in_time.start, "end": facts.in_time.end, "duration": facts.in_time.duration}
        numbers |= {"to_limit": facts.in_time.to_limit} if facts.in_time.to_limit < float("inf") else {}
    return numbers


def _over_limit(facts: DutyFacts) -> Finding | None:
    if facts.margin < 0.0:
        return Finding(FindingCode.OVER_LIMIT, FindingLevel.FAULT, _of_limit(facts))
    return None


def _margin(facts: DutyFacts) -> Finding | None:
    small = facts.margin < facts.wanted_margin
    return Finding(FindingCode.MARGIN_SMALL, FindingLevel.CAUTION, _of_limit(facts)) if small else None


def _odds(facts: DutyFacts) -> Finding | None:
    p = facts.holds_probability
    small = p is not None and p < facts.confidence
    return Finding(FindingCode.ODDS_SMALL, FindingLevel.CAUTION, _of_limit(facts)) if small else None


def _overcooled(facts: DutyFacts) -> Finding | None:
    if facts.healthy is None or facts.settled >= facts.healthy - OVERCOOLED_BY:
        return None
    numbers = {"settled": facts.settled, "healthy": facts.healthy, "short_by": facts.healthy - facts.settled}
    return Finding(FindingCode.OVERCOOLED, FindingLevel.FAULT, numbers)


def heat_limited(facts: DutyFacts) -> Finding | None:
    """That even a healthy valve leaves the coolant more than 11 K short of its opening, for lack of heat."""
    if facts.healthy is None or facts.opens_at is None or facts.healthy_regime is not Regime.FLOATING_BELOW:
        return None
    short = facts.opens_at - facts.healthy
    if short <= OVERCOOLED_BY:
        return None
    return Finding(
        FindingCode.HEAT_LIMITED,
        FindingLevel.NOTE,
        {"healthy": facts.healthy, "settled": facts.settled, "opens_at": facts.opens_at, "short_by": short},
    )
