"""The answer to a case in one headline: what is said of the vehicle, and the sentences that carry it.

Everything here reads the one conclusion (:mod:`engcalc.diagnosis.conclusion`); the reasons behind it stand in
:mod:`engcalc.words.answer.reasons`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from engcalc.case.case import Case, value_at
from engcalc.diagnosis.checks.hand_checks import first_checks
from engcalc.diagnosis.conclusion import Conclusion, conclude, measured_warm_ups
from engcalc.diagnosis.grounds import Danger, GroundCode, Rank, VehicleState
from engcalc.studies.checked import Check, tightest
from engcalc.units import UnitSystem
from engcalc.vehicle.run import AFTER, BEFORE
from engcalc.verdict import Finding, FindingCode, FindingLevel, Verdict
from engcalc.words.answer.finding_sentences import finding_sentence, reading_sentence
from engcalc.words.answer.reasons import deciding, duty_sentence, freezing_sentence_of, verdict_label
from engcalc.words.answer.told import valve_was_seen
from engcalc.words.answer.warmup_words import warm_up_told
from engcalc.words.diagnosis.conclusion_words import (
    CAPACITY_QUESTION,
    ENTER_DUTIES,
    NextStepWords,
    because_sentences,
    conclusion_label,
    next_step_of,
)
from engcalc.words.diagnosis.told_by_customer import too_hot_cautions
from engcalc.words.lesson.bench_words import NOTHING_GIVEN, bench_label, bench_sentence

_SENTENCE_END = re.compile(r"(?<=[.!?])\s+(?=[A-Z])")
_SHORT = 2  # sentences: a statement, and what it is held against


def speaks_for_the_class(found: Conclusion) -> bool:
    """Whether nothing is known of this vehicle, but somebody asks what such a one would do."""
    return found.state is VehicleState.NOTHING_TO_JUDGE and found.asked


def answers_nothing(check: Check) -> bool:
    """Whether there was nothing to answer when this check was made: nothing was entered, or a bench without a point."""
    found = conclude(check)
    nothing = found.lead.code is GroundCode.NOTHING_ENTERED and not speaks_for_the_class(found)
    return nothing or bench_label(check) == NOTHING_GIVEN


def check_label(check: Check) -> str:
    """What is said of a case in two or three words, on screen and paper."""
    found = conclude(check)
    if not speaks_for_the_class(found):
        return conclusion_label(found)
    agrees = rig_agrees(check)
    if check.bench is not None:
        return bench_label(check)
    if agrees is not None:
        return RIG_LABELS[agrees]
    label = verdict_label(check.verdict)
    return WITH_PARTS_OF_THE_CLASS.format(label=label) if is_of_class_parts(check) else label


def is_of_class_parts(check: Check) -> bool:
    """Whether what is said is of duties held, or not, by parts that are all typical of the class: none was entered."""
    if not speaks_for_the_class(conclude(check)) or check.verdict is None or not check.plant.engine.present:
        return False
    return not check.rig and not has_parts(check.case)


def has_parts(case: Case) -> bool:
    """Whether any part of the cooling was entered."""
    return any(given.typed and path.startswith(PARTS) for path, given in case.given.items())


PARTS = ("radiator.", "airflow.", "circuit.", "thermostat.")
WITH_PARTS_OF_THE_CLASS = "{label}, with parts of the class"

RIG_LABELS = {True: "Agrees", False: "Does not agree"}
"""What is said of a rig's measured points: a rig holds no duty."""


def rig_agrees(check: Check) -> bool | None:
    """Whether the measured points of a rig agree with its dimensions; None without any, or where a duty weighs more."""
    if not check.rig:
        return None
    agree = all(point.agrees for point in check.rig)
    return agree if check.verdict is (Verdict.HOLDS if agree else Verdict.MARGINAL) else None


def headline(check: Check, system: UnitSystem = UnitSystem.SI) -> str:
    """What is said of the case and the sentences that carry it."""
    return f"{check_label(check)}. {' '.join(carrying(check, system))}".rstrip(" ")


def carrying(check: Check, system: UnitSystem = UnitSystem.SI) -> tuple[str, ...]:
    """What carries the conclusion: each a sentence or some that belong together."""
    found = conclude(check)
    if speaks_for_the_class(found):
        said = _of_the_class(check, system)
        return (said,) if said else ()
    told = because_sentences(found, system)
    if found.lead.code is GroundCode.FREEZES:
        told = (freezing_sentence_of(check, system), *told)
    elif any(ground.code is GroundCode.FREEZES for ground in found.because):
        told += (freezing_sentence_of(check, system),)
    if found.rank is Rank.READINGS and found.lead.code is not GroundCode.NOT_SEEN_AGAIN:
        told += _of_what_was_read(check, found, system)
        told += tuple(finding_sentence(f, system) for f in check.findings if f.code in _DOUBTS)
    return told


_DOUBTS = (FindingCode.FUEL_DOUBTED, FindingCode.VENT_BELOW_AIR)  # what was entered may not be so


def _of_the_class(check: Check, system: UnitSystem) -> str:
    """What such a vehicle would do: by a rig's points, in its hardest duty, or in a run that was simulated."""
    if check.bench is not None:
        return bench_sentence(check, system)
    agree = sum(point.agrees for point in check.rig)
    if check.rig and check.verdict is (Verdict.HOLDS if agree == len(check.rig) else Verdict.MARGINAL):
        return f"{agree} of {len(check.rig)} measured points agree with what the dimensions give."
    duty = deciding(check)
    if duty is not None:
        return duty_sentence(duty, system)
    faults = [f for f in check.findings if f.severity is FindingLevel.FAULT]
    return finding_sentence(faults[0], system) if faults else ""


def read_beside(check: Check, system: UnitSystem = UnitSystem.SI) -> str:
    """What was read, where a danger or a fault that was found speaks first and tells no reading; empty elsewhere."""
    found = conclude(check)
    if not found.outranks or any(ground.hot is not None for ground in found.because):
        return ""
    return first_sentences(" ".join(_of_what_was_read(check, found, system)))


def _of_what_was_read(check: Check, found: Conclusion, system: UnitSystem) -> tuple[str, ...]:
    """The reading or the warm-up that carries the conclusion."""
    told = warm_ups(check)
    if told:
        return tuple(warm_up_told(f, system) for f in told)
    codes = _TOLD_BY.get(found.lead.code)
    those = [r for r in check.readings if codes is None or codes & {f.code for f in r.findings}]
    if not those:
        return ()
    reading = those[0] if codes else those[-1]
    inlet = check.case.thermostat.side == "inlet"
    seen = valve_was_seen(check.case)
    return (reading_sentence(reading, system, valve_at_inlet=inlet, valve_seen=seen),)


# The findings of readings that carry a conclusion; for all others the last reading does.
_TOLD_BY: Mapping[GroundCode, frozenset[FindingCode]] = {
    GroundCode.HOTTER: frozenset({FindingCode.READING_HOTTER}),
    GroundCode.COLDER: frozenset({FindingCode.READING_LOW, FindingCode.VALVE_PASSES}),
    GroundCode.VALVE_SUSPECTED: frozenset({FindingCode.VALVE_SUSPECTED}),
    GroundCode.ODDS_DOUBT_VALVE: frozenset({FindingCode.VALVE_SUSPECTED}),
    GroundCode.UNDECIDED: frozenset({FindingCode.READING_DEPENDS, FindingCode.READING_UNDECIDED}),
}


def capacity_sentence(check: Check, system: UnitSystem = UnitSystem.SI) -> str:
    """Whether the system would hold its duties, under that name; empty where nobody asked for it."""
    verdict = conclude(check).capacity
    if verdict is None:
        return ""
    duty = tightest([duty for duty in check.duties if duty.verdict is verdict])
    return f"{CAPACITY_QUESTION} {verdict_label(verdict)}. {duty_sentence(duty, system)}"


def class_heading(check: Check) -> str:
    """The heading over what such a vehicle would do in its duties, where the vehicle in front of us was judged; empty
    where the answer itself is of the class."""
    found = conclude(check)
    if speaks_for_the_class(found):
        return ""
    return CAPACITY_QUESTION if found.capacity is not None else TYPICAL_OF_THE_CLASS


TYPICAL_OF_THE_CLASS = "Typical of the class, not of this vehicle"


def warm_ups(check: Check) -> list[Finding]:
    """The warm-ups that carry the conclusion: after a repair the last one with the one before it, else what there is.
    Empty where a reading or a duty carries it."""
    found = [f for f in check.findings if f.code is FindingCode.WARM_UP and f.words["measured"] == "yes"]
    counted = measured_warm_ups(check)
    repaired = any(f.words["record"] == "after" for f in counted)
    if not counted or (check.readings and not repaired):
        return []
    lead = conclude(check).lead.code
    by_reading = (
        GroundCode.HOTTER,
        GroundCode.VALVE_SUSPECTED,
        GroundCode.ODDS_DOUBT_VALVE,
        GroundCode.UNDECIDED,
    )
    return [] if lead in by_reading else found[::-1]


def statement(check: Check, system: UnitSystem = UnitSystem.SI) -> str:
    """What stands beside the label: a statement and what it is held against.

    What comes next is told by :func:`next_words`; whatever else is advised stands with the reasons.
    """
    found = conclude(check)
    said = first_sentences(" ".join(carrying(check, system)))
    beside = capacity_sentence(check, system) if capacity_stands_beside(found) else ""
    return " ".join(part for part in (said, beside) if part)


def next_words(check: Check) -> str:
    """What comes next, where it stands with the answer; empty where it does not."""
    found = conclude(check)
    if speaks_for_the_class(found):
        return _next_of_sizing(check) if check.case.job.reason == "sizing" else ""
    if odds_ask_next(check):
        return _asked_by_odds(check).text
    step = next_step_of(found) if says_what_is_next(found) else None
    return step.text if step else ""


def _next_of_sizing(check: Check) -> str:
    """What gets a choice of parts on: duties, then parts, then the room or a table to choose from, then the paper."""
    case = check.case
    if not case.own_duties:
        return ENTER_DUTIES
    if not has_parts(case):
        return ENTER_PARTS
    if check.verdict is Verdict.HOLDS:
        return WRITE_IT
    has_room = value_at(case, "limits.room_height") is not None
    return SEE_CHOICE if has_room or case.job.part_tables else ENTER_ROOM


ENTER_PARTS = "Enter the parts that there are: the radiator's core first, then fan, ducts and pump."
ENTER_ROOM = (
    "Enter the room there is for a core, under Limits: the smallest core that holds every duty is then sought in it. "
    "Or load a table of parts."
)
SEE_CHOICE = "Find out which core or part holds every duty: in the step Choice, or by the command size."
WRITE_IT = "Write the sizing report. Under Choice you see whether a smaller core holds as well."


def odds_ask_next(check: Check) -> bool:
    """Whether odds were weighed of the record that the answer rests on, and nothing comes before what they ask for."""
    asked = check.asked_by_odds
    if asked is None or conclude(check).danger is not Danger.NONE:
        return False
    return speaks_of(check, asked.record) and comes_before_odds(check, asked.record) is None


def _asked_by_odds(check: Check) -> NextStepWords:
    """What the odds ask for next: how to make it, and its cautions. Empty where they ask for nothing."""
    from engcalc.diagnosis.checks.hand_checks import CHECKS
    from engcalc.words.diagnosis.causes import check_title, how_made  # odds are there, so that this is loaded

    key = None if check.asked_by_odds is None else check.asked_by_odds.hand_check
    if key is None:
        return NextStepWords("")
    hand_check = CHECKS[key]
    return NextStepWords(f"{check_title(hand_check)}. {how_made(hand_check, check.case)}", hand_check.cautions)


def says_what_is_next(found: Conclusion) -> bool:
    """Whether the next check stands with the answer: always but where only the class is spoken of."""
    return found.next_step is not None and not speaks_for_the_class(found)


def cautions_with_answer(check: Check) -> tuple[str, ...]:
    """What to mind with the answer: those of the next check, and of what was too hot to hold."""
    found = conclude(check)
    step = next_step_of(found) if says_what_is_next(found) else None
    step = _asked_by_odds(check) if odds_ask_next(check) else step
    return (*(() if step is None else step.caution_texts), *too_hot_cautions(check.case))


def comes_before_odds(check: Check, record: str) -> NextStepWords | None:
    """The next step that no odds may push aside: where a danger or a fault was found in the record that they judge, or
    where they have settled the cause themselves. What comes first for the complaint the odds name first too."""
    found = conclude(check)
    settled = found.lead.code in (GroundCode.ODDS_SETTLE, GroundCode.READ_ONCE) and found.next_step not in first_checks(
        check.case.job.reason, check.case
    )
    return next_step_of(found) if (found.outranks or settled) and speaks_of(check, record) else None


def speaks_of(check: Check, record: str) -> bool:
    """Whether the conclusion rests on this record: the one after a repair where there is one, else the one before."""
    return record == (AFTER if conclude(check).repaired else BEFORE)


def state_told(check: Check, record: str) -> VehicleState | None:
    """What the conclusion says of the vehicle above the odds of this record; None where it rests on another."""
    return conclude(check).state if speaks_of(check, record) else None


def capacity_stands_beside(found: Conclusion) -> bool:
    """Whether the capacity is said in the same breath: of a healthy vehicle while a duty does not hold."""
    if not found.of_this_vehicle or found.outranks:
        return False
    return found.state is VehicleState.HEALTHY and found.capacity is not Verdict.HOLDS


def first_sentences(said: str) -> str:
    """The first two sentences of a text."""
    return " ".join(_SENTENCE_END.split(said)[:_SHORT])
