"""The sentences: every code has one, numbers are the check's, in both systems, nothing claimed that is not known."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.studies.checked import Check, tightest
from engcalc.units import UnitSystem
from engcalc.verdict import Finding, FindingCode, FindingLevel, Verdict
from engcalc.words.answer import reasons as words
from engcalc.words.answer.answer import (
    ENTER_PARTS,
    ENTER_ROOM,
    SEE_CHOICE,
    WRITE_IT,
    capacity_sentence,
    check_label,
    headline,
    next_words,
)
from engcalc.words.answer.explained import explained
from engcalc.words.answer.finding_sentences import SENTENCES
from engcalc.words.answer.plainly import plain
from engcalc.words.answer.reasons import duty_sentence, reasons
from engcalc.words.answer.told import SentenceFacts
from engcalc.words.diagnosis.conclusion_words import ENTER_DUTIES
from engcalc.words.diagnosis.seen_words import ACTS_SEEN, MEANS_SEEN

EXAMPLES = Path(worked_examples.__file__).parent


@cache
def example(name: str) -> Check:
    case = resolve(read_case(EXAMPLES / f"{name}.heatcase.json"))
    assert isinstance(case, Case), case
    return check_with_records(case, {}).check


def checked(class_name: str = "family car", **sections: object) -> Check:
    case = resolve(CaseText({"format": "heatdocket-case/1", "vehicle": {"class": class_name}, **sections}))
    assert isinstance(case, Case), case
    return check_with_records(case, {}, members=8).check


def test_every_code_has_its_sentence() -> None:
    assert set(SENTENCES) == set(FindingCode)


def test_the_headline_of_each_example_carries_its_verdict() -> None:
    assert headline(example("track-day-car")).startswith(
        "Not explained yet. Nothing was read or seen so far that explains the complaint."
    )
    assert capacity_sentence(example("track-day-car")).startswith(
        "Would the system hold its duties? Undersized. Track lap: the coolant settles at "
    )
    assert headline(example("van-no-heat")).startswith("Runs cold. The coolant read 36 °C 35 min after the start.")
    assert headline(example("bench-exchanger")) == (
        "Agrees. 4 of 4 measured points agree with what the dimensions give."
    )


def test_the_numbers_in_a_sentence_are_those_of_the_duty() -> None:
    lap = example("track-day-car").duties[2]
    settled, over, limit = (int(n) for n in re.findall(r"-?\d+", duty_sentence(lap)))
    assert settled == round(float(lap.point.coolant_out[0]) - 273.15)
    assert over == round(-lap.margin)
    assert limit == round(lap.limit - 273.15)


def test_us_customary_is_the_same_in_fahrenheit() -> None:
    lap = example("track-day-car").duties[2]
    settled, over, limit = (int(n) for n in re.findall(r"-?\d+", duty_sentence(lap, UnitSystem.US)))
    assert settled == round((float(lap.point.coolant_out[0]) - 273.15) * 1.8 + 32)
    assert over == round(-lap.margin * 1.8)
    assert limit == 239
    assert "BTU/h" in " ".join(r.text for r in reasons(example("track-day-car"), UnitSystem.US))


def test_faults_come_before_cautions_and_notes() -> None:
    order = [list(FindingLevel).index(r.severity) for r in reasons(example("van-no-heat"))]
    assert order == sorted(order)
    assert order[0] == 0


def test_undersized_says_where_it_is_short() -> None:
    text = next(r.text for r in reasons(example("track-day-car")) if r.code == "what_limits")
    assert "at the limit the radiator can give off" in text
    assert "of the resistance to heat lies on the air side" in text


def test_overcooling_names_the_hose_by_the_valves_place() -> None:
    duties = [{"vehicle_speed": "70 km/h", "ambient": "-10 degC"}]
    for side, hose in (("outlet", "upper"), ("inlet", "lower")):
        found = checked(thermostat={"side": side, "minimum_opening": "40 %"}, duties=duties)
        text = next(r.text for r in reasons(found) if r.code == "overcooled")
        assert f"the {hose} radiator hose" in text


def test_lack_of_heat_is_called_no_fault_only_where_no_fault_is() -> None:
    texts = {r.about: r.text for r in reasons(example("van-no-heat")) if r.code == "heat_limited"}
    assert "No part need be at fault" in texts["Idle in the yard"]
    assert "No part need be at fault" not in texts["Town round, steady 40 km/h"]


@pytest.mark.parametrize("system", list(UnitSystem))
@pytest.mark.parametrize("name", ["van-no-heat", "track-day-car", "bench-exchanger"])
def test_sentences_are_clean(name: str, system: UnitSystem) -> None:
    for reason in reasons(example(name), system):
        assert reason.text.endswith(".")
        assert not re.search(r"nan|inf\b|None|\{|\}|  |e\+|e-\d|\d\.\d{3}", reason.text), reason.text
        foreign = ("°F", "BTU") if system is UnitSystem.SI else ("kW",)
        plain = re.sub(r"\([^)]*\)", "", reason.text)  # brackets may give the other system beside
        assert not any(unit in plain for unit in foreign), reason.text


def test_what_leaves_the_data_is_told_with_the_duties_that_it_does_in() -> None:
    """Those of the duties alone: with the valve held open for its air-to-boil a duty may leave them without need."""
    track = example("track-day-car")
    told = [words.outside_sentence(o, UnitSystem.SI, [d.name for d in track.duties]) for o in track.validity]
    assert [t.partition(":")[0] for t in told] == ["Outside the data (Paddock idle)", "Outside the data (Track lap)"]
    one = checked(duties=[{"ambient": "30 degC"}])
    assert [r.text.partition(":")[0] for r in reasons(one) if r.code == words.OUTSIDE_RANGE] == ["Outside the data"]


def test_a_workshops_answer_has_no_range_of_a_formula_in_it() -> None:
    """It stands in the annex: a Reynolds number that its data do not reach helps no technician."""
    for job in ({"reason": "hot at idle"}, {"complaint": "Runs hot."}):
        found = checked(job=job, duties=[{"ambient": "30 degC"}])
        assert found.validity
        assert not [r for r in reasons(found) if "Reynolds" in r.text or r.code == words.OUTSIDE_RANGE]


def test_a_boiling_duty_is_told_without_a_margin() -> None:
    found = checked(
        duties=[{"name": "Pull", "brake_power": "85 kW", "vehicle_speed": "5 km/h", "ambient": "48 degC", "fan": "off"}]
    )
    assert headline(found).startswith(
        "Undersized, with parts of the class. Pull: the coolant does not settle below its boiling point of "
    )


def test_a_name_with_braces_is_only_a_name() -> None:
    found = checked(duties=[{"name": "{oops} 100 %", "vehicle_speed": "60 km/h"}])
    assert any(r.text.startswith("{oops} 100 %: ") for r in reasons(found))


def test_each_code_that_a_check_can_give_reads_as_a_sentence() -> None:
    cases = [
        checked(heater={"rated_output": "30 kW"}, thermostat={"kind": "none", "bypass": "unknown"}),
        checked(
            engine={"brake_thermal_efficiency": "55 %", "coolant_share_rated": "75 %", "friction_mep": "6 bar"},
            duties=[{"brake_power": "85 kW", "vehicle_speed": "100 km/h"}],
        ),
        checked(duties=[{"vehicle_speed": "150 km/h", "grade": "12 %", "altitude": "3000 m"}]),
        checked(
            duties=[{"brake_power": "85 kW", "vehicle_speed": "30 km/h", "ambient": "45 degC", "duration": "20 s"}]
        ),
        checked(
            radiator={
                "rated_heat": "900 kW",
                "rated_coolant_flow": "60 L/min",
                "rated_air_velocity": "4 m/s",
                "rated_inlet_difference": "60 K",
            }
        ),
        checked(coolant={"cap_pressure": "0 bar"}, duties=[{"brake_power": "40 kW", "vehicle_speed": "60 km/h"}]),
    ]
    seen = {r.code for found in cases for r in reasons(found)}
    assert {
        "heater_impossible",
        "valve_missing",
        "assumed",
        "shares_impossible",
        "power_limited",
        "holds_in_time",
        "rated_point_impossible",
        "limit_is_boiling",
        "speed_guessed",
    } <= seen
    for found in cases:
        for reason in reasons(found):
            assert reason.text[0].isupper() or reason.about, reason.text


@pytest.mark.parametrize(
    ("sections", "told"),
    [
        ({}, True),
        ({"duties": [{"ambient": "3 degC"}]}, True),
        ({"radiator": {"core_width": "700 mm"}}, False),
        ({"evidence": {"before": {"seen": {"level_low": True}}}}, False),
    ],
)
def test_where_nothing_is_entered_about_the_vehicle_the_reasons_say_so(sections: dict[str, object], told: bool) -> None:
    said = [r.text for r in reasons(checked("pickup", **sections)) if r.code == words.NOTHING_ENTERED]
    assert said == ["Nothing is entered yet: these are the numbers of a typical pickup."] * told


def test_frost_speaks_before_any_verdict_on_heat() -> None:
    """Plain water at -20 degC held "almost certain": only the engine's outlet was asked."""
    water = {"base": "water", "concentration": "0 %"}
    night, noon = (
        {"name": n, "ambient": T, "vehicle_speed": "50 km/h"} for n, T in (("Night", "-20 degC"), ("Noon", "20 degC"))
    )
    found = checked(coolant=water, duties=[noon, night])
    assert found.verdict is Verdict.MARGINAL
    assert headline(found).startswith("Can freeze. Night: the coolant can freeze: first ice forms at 0 °C")
    assert reasons(found)[0].code == FindingCode.FREEZES
    assert plain(found).lead == "The coolant can freeze."
    assert not headline(checked(coolant=water, duties=[noon])).startswith("Can freeze")
    assert not headline(checked(duties=[night])).startswith("Can freeze")  # half glycol: -37 degC


def test_frost_noted_in_a_record_counts_as_well() -> None:
    found = checked(
        coolant={"base": "water", "concentration": "0 %"},
        evidence={"before": {"ambient": "-5 degC"}},
        duties=[{"ambient": "20 degC"}],
    )
    assert found.verdict is Verdict.MARGINAL
    assert "when the vehicle stands in air of -5 °C" in headline(found)


def test_what_the_answer_tells_is_not_told_again() -> None:
    """A positive gas test beside bubbles: nobody is told to test for gas first, nor to fill up."""
    facts = {"combustion_gas_found": True, "bubbles_when_running": True, "level_low": True, "seals_missing": True}
    told = [r.text for r in reasons(checked(evidence={"before": {"ambient": "20 degC", "seen": facts}}))]
    assert not [text for text in told if "test for combustion gas first" in text or "fill up" in text]
    assert ACTS_SEEN["combustion_gas_found"] not in told
    assert "Bubbles rise with the engine running." in told
    assert MEANS_SEEN["level_low"] in told
    assert ACTS_SEEN["seals_missing"] in told, "the answer does not tell it"


def _depends(**words: str) -> SentenceFacts:
    numbers = {"as_read": 348.15, "measured": 348.15, "at": 1500.0, "uncertainty": 1.0}
    numbers |= {"too_cold_low": 356.15, "too_cold_high": 367.15, "fits_low": 324.15, "fits_high": 367.15}
    return SentenceFacts("", Finding(FindingCode.READING_DEPENDS, FindingLevel.CAUTION, numbers, words), UnitSystem.SI)


def test_a_reading_that_depends_on_how_it_ran_names_the_ways() -> None:
    some = SENTENCES[FindingCode.READING_DEPENDS](_depends(too_cold="country road, motorway", fits="idling, town"))
    assert "If it ran on a country road or on a motorway, that is too cold: a healthy vehicle would be at 83" in some
    assert "If it only idled or ran in town, it is no sign of a fault (51 to 94 °C)." in some
    every = _depends(too_cold="town, country road, motorway", fits="idling")
    assert "If it was driven, that is too cold" in SENTENCES[FindingCode.READING_DEPENDS](every)
    before = SENTENCES[FindingCode.READING_DEPENDS](replace(every, overtaken=True))
    assert before.endswith("If it only idled, it is no sign of a fault (51 to 94 °C).")


def test_an_empty_rig_is_asked_for_what_a_rig_has() -> None:
    assert next_words(checked("bench rig")).startswith(
        "Name both fluids and the arrangement, or enter the dimensions of a radiator. Then paste or enter "
    )
    assert next_words(checked()).startswith("Enter the complaint, the outside temperature")


def test_a_sizing_is_told_what_comes_next_and_whose_parts_speak() -> None:
    """A green "Holds" stood with the class alone, and nothing said what to enter next."""
    job, duties = {"reason": "sizing"}, [{"name": "Climb", "grade": "6 %", "vehicle_speed": "70 km/h"}]
    power = {"rated_power": "120 kW"}
    assert next_words(checked(job=job, engine=power)) == ENTER_DUTIES
    assert next_words(checked("sports car", job=job)) == ENTER_DUTIES, "asked for a complaint and a coolant reading"
    of_class = checked(job=job, duties=duties)
    assert check_label(of_class) == "Holds, with parts of the class"
    assert headline(of_class).startswith("Holds, with parts of the class. ")
    assert next_words(of_class) == ENTER_PARTS
    own = checked(job=job, duties=duties, radiator={"core_height": "450 mm"})
    assert (check_label(own), next_words(own)) == ("Holds", WRITE_IT)
    small = {"core_height": "60 mm", "core_width": "120 mm"}
    assert next_words(checked(job=job, duties=duties, radiator=small)) == ENTER_ROOM
    room = {"room_height": "400 mm", "room_width": "600 mm", "room_depth": "50 mm"}
    assert next_words(checked(job=job, duties=duties, radiator=small, limits=room)) == SEE_CHOICE
    assert next_words(checked(duties=duties)) == "", "nobody asked for a sizing"


def test_an_empty_lesson_tells_no_numbers_of_a_typical_rig() -> None:
    """It told the coolant of a radiator's rig at the air's temperature, and a chance of holding 95 degC."""
    assert reasons(checked("bench rig")) == ()
    assert reasons(checked()) != ()


@pytest.mark.parametrize(("fan_runs", "asked"), [(False, False), (True, True)])
def test_an_engine_that_is_to_be_stopped_is_not_asked_for_a_time(fan_runs: bool, asked: bool) -> None:
    record = {
        "ambient": "33 degC",
        "spots": [{"value": "113 degC", "instrument": "scan_tool"}],
        "seen": {"fan_runs_when_hot": fan_runs},
    }
    limits = {"coolant_limit": "115 degC"}
    found = checked(evidence={"before": record}, limits=limits, job={"reason": "hot at idle"})
    assert any("Add the time" in reason.text for reason in reasons(found)) is asked


LAP = {"name": "Lap", "brake_power": "300 kW", "engine_speed": "6000 rpm", "vehicle_speed": "120 km/h"}
GRID = {"name": "Grid", "duration": "5 min", "start": "above"}


def test_of_a_lap_that_boils_and_the_idle_after_it_the_lap_is_blamed() -> None:
    found = checked(
        "sports car",
        engine={"rated_power": "300 kW"},
        duties=[{**LAP, "duration": "2 min", "start": "warm", "ambient": "30 degC"}, {**GRID, "ambient": "30 degC"}],
    )
    assert [duty.boils for duty in found.duties] == [True, True]
    assert tightest(list(found.duties)).name == "Lap"
    assert tightest(list(found.duties)[1:]).name == "Grid"  # alone it is what there is
    told = " ".join(r.text for r in reasons(found))
    assert "Grid: the coolant boils as it begins" in told
    assert headline(found).startswith("Undersized, with parts of the class. Lap")


def test_heat_stored_before_is_told_where_a_duty_would_hold_if_it_settled() -> None:
    found = checked(
        "sports car",
        limits={"coolant_limit": "100 degC"},
        duties=[
            {**LAP, "brake_power": "95 kW", "duration": "4 min", "start": "warm", "ambient": "25 degC"},
            {**GRID, "ambient": "25 degC"},
        ],
    )
    grid = found.duties[1]
    assert grid.peak is not None
    assert grid.peak > grid.coolant_out + 1.0
    (limits,) = (f for f in grid.findings if f.code is FindingCode.WHAT_LIMITS)
    assert limits.numbers["given_at_limit"] > limits.numbers["handed"]
    assert limits.words["limiting"] == "stored"
    said = next(r.text for r in reasons(found) if r.about == "Grid" and r.code == FindingCode.WHAT_LIMITS.value)
    assert "left to settle it would hold" in said
    # the radiator's own capacity at that limit, valve wide open and the fan running, is no less than what is told
    held = checked(
        "sports car",
        limits={"coolant_limit": "100 degC"},
        thermostat={"minimum_opening": "100 %"},
        duties=[{"name": "Grid", "ambient": "25 degC", "fan": "on"}],
    ).duties[0]
    most = held.point.radiator_heat[0] * (373.15 - 298.15) / (held.coolant_out - 298.15)
    assert most > limits.numbers["given_at_limit"]
    assert f"at least {limits.numbers['given_at_limit'] / 1000:.1f} kW at the limit" in said
    assert "at least" in explained(limits, UnitSystem.SI)
    assert "more air" not in said
