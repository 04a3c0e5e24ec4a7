"""Verdicts and findings in plain sentences, numbers in the system that the person reads.

A finding's own sentence is made in :mod:`engcalc.words.answer.finding_sentences`; nothing is computed here.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping, Sequence
from dataclasses import dataclass, replace

from engcalc.case.bench_rules import BENCH_CLASS
from engcalc.components.validity import Outside
from engcalc.diagnosis.conclusion import conclude, facts_told
from engcalc.diagnosis.grounds import Danger
from engcalc.studies.checked import Check, DutyCheck, tightest
from engcalc.studies.readings import ReadingCheck
from engcalc.studies.rig import RigCheck
from engcalc.system.state import Status
from engcalc.units import UnitSystem, show
from engcalc.verdict import Finding, FindingCode, FindingLevel, Verdict
from engcalc.words.answer.finding_sentences import SENTENCES, freezes, in_its_time, would
from engcalc.words.answer.told import SentenceFacts, valve_was_seen
from engcalc.words.diagnosis.conclusion_words import fact_sentence
from engcalc.words.diagnosis.seen_words import MEANS_SEEN
from engcalc.words.lesson.bench_words import point_name
from engcalc.words.terms.numbers import difference, lowered, span, temperature


@dataclass(frozen=True)
class Reason:
    """One sentence or two, with the code of its finding, how much it weighs, and what it is about. ``in_answer``: the
    whole headline tells it too."""

    code: str
    severity: FindingLevel
    text: str
    about: str  # name of the duty, path of the reading or the rig point; empty for the case
    in_answer: bool = False


VERDICT_LABELS: Mapping[Verdict, str] = {
    Verdict.UNDERSIZED: "Undersized",
    Verdict.OVERCOOLING: "Overcooling",
    Verdict.MARGINAL: "Marginal",
    Verdict.HOLDS: "Holds",
}
NO_VERDICT = "No answer"
OIL_OVERHEATS = "Its oil overheats."
OUTSIDE_RANGE = "outside_range"  # code of the reason that a quantity left the data behind its formula
NOTHING_ENTERED = "nothing_entered"  # code of the reason that all numbers are those of the class


def verdict_label(verdict: Verdict | None) -> str:
    """The verdict as it stands on screen and paper."""
    return NO_VERDICT if verdict is None else VERDICT_LABELS[verdict]


def freezing_sentence_of(check: Check, system: UnitSystem) -> str:
    """That the coolant freezes, in what a record noted or in the duty with the coldest air; empty where it does not."""
    coldest = _coldest(check, system)
    return "" if coldest is None else freezes(coldest)


def _coldest(check: Check, system: UnitSystem) -> SentenceFacts | None:
    """The finding of coolant that freezes in the coldest air; None where it nowhere does."""
    named = [("", f) for f in check.findings] + [(duty.name, f) for duty in check.duties for f in duty.findings]
    freezes = [SentenceFacts(name, f, system) for name, f in named if f.code is FindingCode.FREEZES]
    return min(freezes, key=lambda t: t.number("ambient"), default=None)


def deciding(check: Check) -> DutyCheck | None:
    """The duty that shows the verdict of the case most; None where no duty has it and a reading decides."""
    those = [d for d in check.duties if d.verdict is check.verdict]
    return tightest(those) if those else None


def duty_sentence(duty: DutyCheck, system: UnitSystem = UnitSystem.SI) -> str:
    """One sentence on a duty: how hot the coolant gets and what that is to its limit. Oil that overheats is told too."""
    said = _coolant_sentence(duty, system)
    return f"{said} {OIL_OVERHEATS}" if duty.oil_overheats else said


def _coolant_sentence(duty: DutyCheck, system: UnitSystem) -> str:
    if duty.peak is None or duty.margin is None or duty.verdict is None:
        return _unsolved_sentence(duty, system)
    settled = duty.coolant_out
    limit = temperature(duty.limit, system)
    start = f"{duty.name}: the coolant settles at {temperature(settled, system)}"
    if duty.verdict is Verdict.OVERCOOLING:
        healthy = temperature(_healthy_of(duty), system)
        return f"{start}; with a healthy thermostat it would be at {healthy}."
    where = f"{difference(duty.margin, system)} {'over' if duty.margin < 0.0 else 'under'} the limit of {limit}"
    solved = duty.status is Status.SOLVED
    short = not solved or abs(duty.peak - settled) > 0.5
    if duty.hunting is not None:
        swings = span(*duty.swing, system, "and")
        return (
            f"{duty.name}: the thermostat hunts and the coolant swings between {swings}, "
            f"{temperature(settled, system)} on average, at most {where}."
        )
    if short and duty.duration is not None and duty.start is not None and duty.end is not None:
        reached = in_its_time(duty.start, duty.peak, duty.end, duty.duration, system)
        return f"{duty.name}: the coolant {reached}, {where}; {would(settled if solved else None, system)}."
    if duty.point.cycles[0]:
        swings = span(float(duty.point.span_low[0]), float(duty.point.span_high[0]), system, "and")
        return f"{duty.name}: the fan switches and the coolant swings between {swings}, at most {where}."
    return f"{start}, {where}."


def _healthy_of(duty: DutyCheck) -> float:
    """How hot a healthy vehicle would be [K], as the finding has it."""
    told = [f.numbers["healthy"] for f in duty.findings if f.code is FindingCode.OVERCOOLED]
    return told[0] if told else float(duty.healthy.coolant_out[0])


def _unsolved_sentence(duty: DutyCheck, system: UnitSystem) -> str:
    if duty.boils:
        boiling = temperature(float(duty.point.boiling[0]), system)
        if duty.status is not Status.BOILS:
            return f"{duty.name}: the coolant boils before it ends, at {boiling}."
        return f"{duty.name}: the coolant does not settle below its boiling point of {boiling}."
    return f"{duty.name}: there is no answer; {_WHY_NONE.get(duty.status, 'the model does not reach so far')}."


_WHY_NONE: Mapping[Status, str] = {
    Status.NO_FLOW: "no coolant flows",
    Status.OUTSIDE: "the model does not reach so far",
}


def reasons(check: Check, system: UnitSystem = UnitSystem.SI) -> tuple[Reason, ...]:
    """Every reason, the weightiest first: faults, cautions, notes; within each what was seen and read before the rest."""
    if is_empty_lesson(check):
        return ()
    concluded = conclude(check)
    found = _of_findings(check, system)
    if concluded.danger is Danger.STOP:  # nobody is asked for more readings of an engine that is to be stopped
        found = [reason for reason in found if reason.code != FindingCode.READING_WITHOUT_TIME.value]
    found += _of_the_case(check, system, facts_told(concluded))
    coldest = _coldest(check, system)
    if coldest is not None:  # once, for what it means is the same in every duty
        found = [reason for reason in found if reason.code != FindingCode.FREEZES.value]
        found.append(_reason(coldest, coldest.name))
    names = tuple(duty.name for duty in check.duties)
    if not concluded.of_this_vehicle:  # of a vehicle in the workshop a formula's range stands in the annex
        outside = (outside_sentence(o, system, names) for o in check.validity)
        found += [Reason(OUTSIDE_RANGE, FindingLevel.NOTE, said, "") for said in outside]
    if says_nothing(check):
        vehicle = check.case.vehicle.class_
        words = f"Nothing is entered yet: these are the numbers of a typical {vehicle}."
        found.insert(0, Reason(NOTHING_ENTERED, FindingLevel.CAUTION, words, ""))
    return tuple(sorted(found, key=_weight))


def _teller(check: Check, system: UnitSystem) -> Callable[..., SentenceFacts]:
    """Makes what a finding is told by: of what (its name), the finding, and of a reading the reading itself."""
    inlet = check.case.thermostat.side == "inlet"
    seen = valve_was_seen(check.case)

    def told(name: str, finding: Finding, reading: ReadingCheck | None = None) -> SentenceFacts:
        return SentenceFacts(name, finding, system, inlet, reading, seen)

    return told


def _of_findings(check: Check, system: UnitSystem) -> list[Reason]:
    """Of readings, those before a repair, duties, and points on a rig or a bench."""
    told = _teller(check, system)
    bench = check.bench.points if check.bench is not None else ()
    found = [_reason(told(r.path, f, r), r.path) for r in check.readings for f in r.findings]
    found += [_overtaken(told(r.path, r.findings[0], r), r.path) for r in check.history if r.findings]
    found += [_reason(told(duty.name, f), duty.name) for duty in check.duties for f in duty.findings]
    found += [_reason(told(_rig_name(p), f), p.path) for p in check.rig for f in p.findings]
    found += [_reason(told(f"Measured point {point_name(p)}", f), p.path) for p in bench for f in p.findings]
    return found


def _of_the_case(check: Check, system: UnitSystem, facts: Container[str]) -> list[Reason]:
    """Of the whole case; of what the answer tells (``facts``) that it was seen first, what it means behind."""
    told = _teller(check, system)
    in_answer = [f for f in check.findings if _is_in_answer(f, facts)]
    found = [_in_answer(f) if f in in_answer else _reason(told("", f), "") for f in check.findings]
    meant = [(f.code.value, f.words["fact"]) for f in in_answer if f.words["fact"] in MEANS_SEEN]
    return found + [Reason(code, FindingLevel.NOTE, MEANS_SEEN[fact], "") for code, fact in meant]


def _is_in_answer(finding: Finding, facts: Container[str]) -> bool:
    """Whether it was seen and the answer tells it, with what to do."""
    return finding.code in (FindingCode.SEEN, FindingCode.SEEN_VALVE_OPEN) and finding.words["fact"] in facts


def _in_answer(finding: Finding) -> Reason:
    """What was seen, and no more: what to do about it is the answer's, and may be something else first."""
    return Reason(finding.code.value, finding.severity, fact_sentence(finding.words["fact"]), "", in_answer=True)


# Codes that come before the others of their severity, and those that come after; the rest keep their order in between
_FIRST = (
    FindingCode.FREEZES,
    FindingCode.SEEN_VALVE_OPEN,
    FindingCode.SEEN,
    FindingCode.SEEN_HOSE,
    FindingCode.WHAT_LIMITS,
)
_LAST = (FindingCode.HOLDS_IN_ANY_WEATHER, FindingCode.SPEED_GUESSED, FindingCode.ASSUMED)


_OF_THE_MODEL = (FindingCode.HOLDS_IN_ANY_WEATHER.value, FindingCode.SPEED_GUESSED.value, OUTSIDE_RANGE)


def of_the_class(reason: Reason, check: Check) -> bool:
    """Whether a reason speaks of what such a vehicle would do in its duties, not of the vehicle in front of us. That
    the coolant freezes is a danger, whoever says it."""
    if reason.code == FindingCode.FREEZES.value:
        return False
    return reason.about in {duty.name for duty in check.duties} or reason.code in _OF_THE_MODEL


def says_nothing(check: Check) -> bool:
    """Whether nobody has entered anything that tells this vehicle from the others of its class, nor read or seen
    anything on it."""
    case = check.case
    if check.measured or check.bench is not None or case.evidence.before is not None or case.evidence.after is not None:
        return False
    return not any(
        g.typed and not path.startswith(("job.", "duties[")) and path != "vehicle.class"
        for path, g in case.given.items()
    )


def is_empty_lesson(check: Check) -> bool:
    """Whether this is a bench on which nothing stands yet: the numbers of a typical rig would tell nobody anything."""
    return check.case.vehicle.class_ == BENCH_CLASS and not check.case.own_duties and says_nothing(check)


def _weight(reason: Reason) -> tuple[int, int]:
    place = 0 if reason.code in _FIRST else 2 if reason.code in _LAST or reason.code == OUTSIDE_RANGE else 1
    return tuple(FindingLevel).index(reason.severity), place


def _reason(told: SentenceFacts, about: str) -> Reason:
    return Reason(told.finding.code.value, told.finding.severity, SENTENCES[told.finding.code](told), about)


def _overtaken(told: SentenceFacts, about: str) -> Reason:
    """What a reading said before the repair: worth knowing, no longer how things stand."""
    said = SENTENCES[told.finding.code](replace(told, overtaken=True))
    return Reason(told.finding.code.value, FindingLevel.NOTE, f"Before the repair: {lowered(said)}", about)


def _rig_name(point: RigCheck) -> str:
    return f"Measured point {int(point.path.removeprefix('rig[').removesuffix(']')) + 1}"


# What each quantity with a range is called, the kind it is shown as, and what follows from leaving the range.
_RANGES: Mapping[str, tuple[str, str, str]] = {
    "Re_Lp": (
        "so little air moves through the fins that its Reynolds number",
        "number",
        "heat and air resistance of the fins are rough there",
    ),
    "coolant temperature": (
        "the coolant's temperature",
        "temperature",
        "its properties are our extension of the tables",
    ),
    "coolant concentration": ("the concentration", "fraction", "the properties at 60 % are used"),
    "Re": ("the coolant's Reynolds number in the tubes", "number", "the film in the tubes is uncertain there"),
    "Pr": ("the coolant's Prandtl number", "number", "the film in the tubes is uncertain there"),
    "flow depth": ("the core depth", "small length", ""),
}
_BEYOND = "the fin correlation is used beyond its data"
_KIND_OF_UNIT = {"m": "small length", "rad": "angle", "K": "temperature"}


def outside_sentence(outside: Outside, system: UnitSystem, duties: Sequence[str]) -> str:
    """That a quantity left the range of the data behind its formula, and in which of the duties if not in all."""
    kind = _KIND_OF_UNIT.get(outside.span.unit, "number")
    name, kind, so = _RANGES.get(outside.quantity, (f"the {outside.quantity}", kind, ""))
    value = float(outside.value[outside.members].ravel()[0])
    if outside.quantity == "Re_Lp" and value > outside.span.high:
        name = "the air's Reynolds number in the fins"

    def number(x: float) -> str:
        return temperature(x, system) if kind == "temperature" else show(x, kind, system, 2)

    limits = f"{number(outside.span.low)} to {number(outside.span.high)}"
    of = [duty for duty, left in zip(duties, outside.members, strict=False) if left]
    where = f" ({'; '.join(of)})" if outside.members.size > 1 and len(of) < len(duties) else ""
    return f"Outside the data{where}: {name} is {number(value)}, while the data reach from {limits}; {so or _BEYOND}."
