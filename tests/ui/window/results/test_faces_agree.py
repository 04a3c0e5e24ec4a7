"""No two faces disagree: every bundled case and two hundred invented ones, walked through banner, command line, causes,
page one's sentence, the JSON object and the words of every picture.

What counts as a danger is told by the invented cases themselves (``invented_cases.py``), not by the program. Readings
are held against healthy vehicles in every seventh case only: that is what takes the time.
"""

from __future__ import annotations

from functools import cache

import pytest
from invented_cases import HOW_MANY, MORE, Invented, invented, invented_more
from told_cases import EXAMPLES, example_answered

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.checks.first_steps import NextStep
from engcalc.diagnosis.checks.found_causes import found_causes
from engcalc.diagnosis.checks.hand_checks import CHECKS, noted_in
from engcalc.diagnosis.conclusion import Conclusion, conclude
from engcalc.diagnosis.grounds import GroundCode, Rank, VehicleState
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.studies.checked import Check
from engcalc.units import UnitSystem
from engcalc.vehicle.run import AFTER, BEFORE
from engcalc.verdict import FindingCode, Verdict
from engcalc.words.answer.answer import (
    class_heading,
    comes_before_odds,
    headline,
    next_words,
    speaks_for_the_class,
    speaks_of,
)
from engcalc.words.answer.plainly import NOTHING_LOST, plain
from engcalc.words.answer.reasons import of_the_class, reasons
from engcalc.words.diagnosis.conclusion_words import CAN_FREEZE, DANGERS, STEPS, next_step_of, part_found
from engcalc.words.terms.numbers import span, temperature
from reports.plots.measured import reading_label
from reports.plots.registry import ChosenDuty, Screen, pictures_at
from ui.command.as_json import check_json
from ui.command.checking import check_lines
from ui.window.results.content import cautions_of, duties_of, headline_of, reasons_of
from ui.window.results.verdict_bar import WORKING, sign_of

SI = UnitSystem.SI
GRAVITY = ("none", "care", "stop")
MEMBERS, EVERY = 6, 7  # healthy vehicles, and in which of the cases they are run
STEPS_OF_A_FAULT = (
    "cap_test",
    "cold_pressure_test",
    "heater_hoses_followed",
    "belt_and_pump_drive",
)  # keys that here mean to mend it

# What a ground says was found, by the fact; a cause of the same fact is told as found, not as odds
FOUND_BY = {
    GroundCode.FAN_STILL: "fan_runs_when_hot",
    GroundCode.FAN_STILL_HOT: "fan_runs_when_hot",
    GroundCode.LEVEL_LOW: "level_low",
    GroundCode.LEAK: "coolant_leak",
    GroundCode.CAP_WEAK: "cap_holds_pressure",
    GroundCode.VALVE_STAYS_SHUT: "thermostat_opens_hot",
    GroundCode.VALVE_OPEN: "thermostat_open_when_cold",
    GroundCode.VALVE_MISSING: "thermostat_missing",
    GroundCode.FAN_BACKWARD: "fan_blows_backward",
    GroundCode.FAN_ALWAYS: "fan_runs_always",
    GroundCode.HEATER_HOSES: "heater_hoses_swapped",
    GroundCode.NO_PUMP_DRIVE: "belt_drives_pump",
    GroundCode.SUCTION_HOSE: "lower_hose_collapses",
    GroundCode.GAS: "combustion_gas_found",
}


@cache
def check_of(number: int) -> Check:
    case = resolve(CaseText(BY_NUMBER[number].tree))
    assert isinstance(case, Case), case
    return check_with_records(case, {}, members=MEMBERS if number % EVERY == 0 else 0).check


BY_NUMBER: dict[int, Invented] = {case.number: case for case in (*invented(), *invented_more())}
EXAMPLE_CHECKS = [pytest.param(name, id=name) for name in EXAMPLES]


def faces_agree(check: Check) -> None:
    """Everything that must hold of any case."""
    found = conclude(check)
    said = check_json(check, SI)["conclusion"]
    lines = check_lines(check, (), SI)
    _one_word(check, found, said, lines)
    _one_next_step(check, found, said, lines)
    _cautions_with_the_step(check, found, said, lines)
    _danger_first(check, found, lines)
    _the_class_apart(check, lines)
    _nothing_green_over_an_open_complaint(check, found)
    _found_is_found(check, found)
    _the_readings_picture_agrees(check)
    _the_part_and_the_place_are_named(check, found, lines)
    _a_repair_read_once_is_not_proven(check, found)


def _the_part_and_the_place_are_named(check: Check, found: Conclusion, lines: list[str]) -> None:
    """The part found at fault, and the heater core where coolant is lost in the cabin: banner, command line and
    page one's sentence alike."""
    part = next((said for ground in found.because if (said := part_found(ground))), "")
    if part and found.lead.code in (GroundCode.FAN_STILL, GroundCode.FAN_STILL_HOT):
        assert part in lines[0]
        assert part in plain(check).lead
    step = next_step_of(found)
    named = step is not None and "heater core" in step.text
    seeks = found.next_step in (NextStep.LOOK_AT_LEVEL, NextStep.FILL_UP, NextStep.PRESSURE, NextStep.DYE)
    lost = check.case.job.coolant_lost_at == "cabin" and check.case.evidence.after is None
    assert named is (seeks and lost)


def _a_repair_read_once_is_not_proven(check: Check, found: Conclusion) -> None:
    """One warm reading since the repair is no proof on any face: not green, and read again."""
    after = check.case.evidence.after
    if found.state is not VehicleState.HEALTHY or after is None or after.curve or after.log is not None:
        return
    once = sum(spot.what == "coolant" for spot in after.spots) == 1
    assert (headline_word(check) == "Healthy so far") is once
    if once:
        assert not found.green
        assert "not proven" in plain(check).lead
        assert next_words(check)


def headline_word(check: Check) -> str:
    return headline(check, SI).split(". ")[0].rstrip(".")


@pytest.mark.parametrize("first", range(HOW_MANY, HOW_MANY + MORE, 6))
def test_no_two_faces_disagree_where_a_part_a_place_or_a_second_reading_was_told(first: int, look) -> None:
    for number in range(first, first + 6):
        faces_agree(check_of(number))


def _one_word(check: Check, found: Conclusion, said: dict, lines: list[str]) -> None:
    """Banner, command line and JSON have the same word and the same first sentence."""
    assert lines[0] == headline(check, SI)
    assert lines[0].startswith(f"{said['label']}.")
    sign = sign_of(check)
    assert sign.word == said["label"] or (sign is WORKING and not found.outranks)
    if said["because"] and sign is not WORKING:
        assert headline_of(check, SI).startswith(said["because"][0].split(". ")[0])


def _one_next_step(check: Check, found: Conclusion, said: dict, lines: list[str]) -> None:
    """Banner, command line, causes and JSON name the same next step, and none that was done."""
    told = [line.removeprefix("Next: ") for line in lines if line.startswith("Next: ")]
    if speaks_for_the_class(found) or found.next_step is None:
        assert told == ([next_words(check)] if check.case.job.reason == "sizing" else [])
        assert said["next"] == next(iter(told), None)
        return
    assert told == [said["next_check"]["text"]]
    assert told[0] == next_words(check)
    record = AFTER if found.repaired else BEFORE
    if found.outranks and speaks_of(check, record):
        assert comes_before_odds(check, record) == next_step_of(found)
    latest = check.case.evidence.after if found.repaired else check.case.evidence.before
    step = found.next_step.value
    if latest is not None and step in CHECKS and step not in STEPS_OF_A_FAULT and not found.repaired:
        assert not CHECKS[step].is_done(noted_in(latest)), step


def _cautions_with_the_step(check: Check, found: Conclusion, said: dict, lines: list[str]) -> None:
    """Wherever the next step is told, on the command line, in JSON or in the window, its cautions are told too."""
    step = next_step_of(found)
    if step is None or speaks_for_the_class(found):
        return
    wanted = set(step.caution_texts)
    assert wanted <= {line.removeprefix("  ! ") for line in lines}
    assert wanted <= set(said["next_check"]["cautions"])
    assert wanted <= {sentence.text for sentence in cautions_of(check)}


def _danger_first(check: Check, found: Conclusion, lines: list[str]) -> None:
    if found.danger == "none":
        return
    word = CAN_FREEZE if found.lead.code is GroundCode.FREEZES else DANGERS[found.danger]
    assert lines[0].startswith(word)
    assert found.lead.danger == found.danger
    step = next_step_of(found)
    assert step is not None
    assert step.cautions
    assert not found.green


def _the_class_apart(check: Check, lines: list[str]) -> None:
    """What the class would do stands under its own heading, after everything on this vehicle."""
    head = class_heading(check)
    if not head:
        return
    at = next(i for i, line in enumerate(lines) if line.startswith(head))
    told = [reason.text for reason in reasons(check, SI) if of_the_class(reason, check)]
    names = tuple(f"{duty.name}: " for duty in check.duties)
    for line in lines[:at]:
        assert line.removeprefix("- ") not in told
        assert not line.startswith(names)
    for line in lines[at + 1 :]:
        assert not line or line.startswith(("  ", "note: ")), line
    weighty, notes = reasons_of(check, check.duties[0], SI)
    shown, of_duties = duties_of(check, check.duties[0], SI)
    assert shown == head
    assert not {sentence.text for sentence in (*weighty, *notes)} & {sentence.text for sentence in of_duties}
    assert not any(sentence.text.startswith(names) for sentence in weighty)


def _nothing_green_over_an_open_complaint(check: Check, found: Conclusion) -> None:
    told = plain(check)
    if found.complaint and found.lead.code is GroundCode.COMPLAINT_OPEN:
        assert not found.green
    if not check.rig and check.bench is None:
        assert (told.if_left == NOTHING_LOST) is found.green
    if sign_of(check).tone == "good":
        assert found.green
    if found.of_this_vehicle:
        assert "ndersized" not in sign_of(check).word + told.lead + lines_before_duties(check)


def lines_before_duties(check: Check) -> str:
    lines, head = check_lines(check, (), SI), class_heading(check)
    at = next((i for i, line in enumerate(lines) if head and line.startswith(head)), len(lines))
    return " ".join(lines[:at])


def _found_is_found(check: Check, found: Conclusion) -> None:
    """What the conclusion calls found has no odds in the causes."""
    record = AFTER if found.repaired else BEFORE
    known = found_causes(check.case, record)
    latest = check.case.evidence.after if found.repaired else check.case.evidence.before
    for ground in found.because:
        fact = FOUND_BY.get(ground.code)
        if fact is not None and latest is not None and fact in latest.seen:
            assert known, ground.code
    if known and not any(key in ("face_blocked", "seals_missing") for key in known):
        assert found.rank <= Rank.FOUND


_BELOW_HEALTHY = (FindingCode.READING_LOW,)
_ABOVE_HEALTHY = (FindingCode.READING_HOTTER,)


def _the_readings_picture_agrees(check: Check) -> None:
    """The picture of the readings shows each as its sentence tells it, and on the side of healthy vehicles it names."""
    chosen = ChosenDuty(check, None)
    drawn = [entry.build(chosen, SI) for entry in pictures_at(Screen.READINGS)]
    told = " ".join(plot.words.alternative for plot in drawn if plot is not None)
    sentences = " ".join(reason.text for reason in reasons(check, SI))
    for reading in (*check.history, *check.readings):
        read = reading.word or temperature(reading.as_read, SI)
        healthy = span(reading.expected_low, reading.expected_high, SI)
        assert f"{reading_label(reading, check.case, SI)}: read {read}" in told
        assert f"expected {healthy}" in told
        codes = {finding.code for finding in reading.findings}
        if codes - {FindingCode.READING_REFUSED}:
            assert read in sentences
        if codes & set(_BELOW_HEALTHY):
            assert reading.measured < reading.expected_low
            assert f"at {healthy}" in sentences or "if it was driven" in sentences
        if codes & set(_ABOVE_HEALTHY):
            assert reading.measured > reading.expected_high


OF_A_DUTY = (Screen.DUTY, Screen.CIRCUIT, Screen.MORE)
VERDICT_WORDS = ("ndersized", "vercool", "ealthy: ", "o not drive", "rive with care", "at fault")


def pictures_of_a_duty_give_no_verdict(check: Check) -> None:
    """What such a vehicle would do is drawn with the name of its duty, and is no answer on this one."""
    duty = check.duties[0]
    for place in OF_A_DUTY:
        for entry in pictures_at(place):
            plot = entry.build(ChosenDuty(check, duty), SI)
            if plot is None:
                continue
            said = f"{plot.words.title} {plot.words.caption} {plot.words.alternative}"
            assert duty.name in said, entry.key
            assert not [words for words in VERDICT_WORDS if words in said], entry.key


@pytest.mark.parametrize("number", range(0, HOW_MANY, 5 * EVERY))
def test_the_pictures_of_a_duty_give_no_verdict_on_this_vehicle(number: int, look) -> None:
    pictures_of_a_duty_give_no_verdict(check_of(number))


@pytest.mark.parametrize("first", range(0, HOW_MANY, 20))
def test_no_two_faces_disagree_on_an_invented_case(first: int, look) -> None:
    for number in range(first, first + 20):
        told, check = BY_NUMBER[number], check_of(number)
        faces_agree(check)
        found = conclude(check)
        assert GRAVITY.index(found.danger.value) >= GRAVITY.index(told.wanted_danger), told.tree
        if told.wanted_danger == "stop":
            assert check_lines(check, (), SI)[0].startswith("Stop: do not drive on. ")
        if told.broken:
            assert found.state is not VehicleState.HEALTHY or set(told.seen) <= {"face_dirty"}, told.tree


@pytest.mark.parametrize("name", EXAMPLE_CHECKS)
def test_no_two_faces_disagree_on_a_worked_example(name: str, look) -> None:
    faces_agree(example_answered(name).check)


def test_the_invented_cases_reach_what_they_are_for() -> None:
    """Every complaint, every danger and most grounds come up: else the walk proves little."""
    found = [conclude(check_of(number)) for number in range(HOW_MANY)]
    assert {c.danger.value for c in found} == set(GRAVITY)
    assert len({ground.code for c in found for ground in c.because}) >= 20
    assert len({c.next_step for c in found}) >= 12
    assert {c.state for c in found} >= set(VehicleState) - {VehicleState.NOTHING_TO_JUDGE}
    assert sum(c.capacity is Verdict.UNDERSIZED for c in found) >= 5
    assert {c.next_step for c in found if c.next_step is not None} <= set(STEPS)
    assert FindingCode.READING_LOW in {
        f.code for n in range(HOW_MANY) for r in check_of(n).readings for f in r.findings
    }
