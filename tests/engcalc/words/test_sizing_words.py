"""Sizing in words: each situation has its sentence, and every number in it is the study's."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

import worked_examples
from engcalc.case.file import read_case
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.studies.choice.changes import SystemSide
from engcalc.studies.choice.sizing import size
from engcalc.studies.choice.tables import parse_table
from engcalc.studies.duties.cycle import Leg, cycle
from engcalc.studies.spread.sensitivity import sensitivity
from engcalc.units import UnitSystem
from engcalc.words.answer.reasons import deciding
from engcalc.words.sizing.sizing_words import (
    LIMITS,
    cycle_sentences,
    hangs_on,
    limiting_sentence,
    mending,
    needed_sentence,
    option_lines,
    option_sentence,
    why,
)

TEXT = read_case(worked_examples.folder() / "tow-and-track.heatcase.json")
CLIMB = 5


def case_of(text: CaseText):
    case = resolve(text)
    assert not isinstance(case, Faults), case
    return case


@pytest.fixture(scope="module")
def failing():
    return size(case_of(TEXT))


def test_why_it_fails_has_its_numbers(failing):
    told = " ".join(why(failing))
    for number in (failing.coolant_out - 273.15, failing.limit - 273.15, failing.needed.target - 273.15):
        assert f"{number:.0f} °C" in told
    assert f"{failing.point.radiator_heat[0] / 1000:.0f} kW" in told
    then, now = (float(value) for value in re.search(r"to be (\d+) W/K, .* than now \((\d+) W/K\)", told).groups())
    more = int(re.search(r"(\d+) % more than now", told).group(1))
    assert more == pytest.approx(100 * (then / now - 1), abs=1)  # a reader who divides the two finds the same
    assert "48 % of what drives it being the fan's" in told


def test_what_mends_it_names_each_change_with_its_gain(failing):
    told = mending(failing)
    assert told[0] == "Three changes that mend it:"
    for option, line in zip(failing.best, told[1:], strict=False):
        assert option.change.name[1:] in line
        assert f"gains {option.gain:.0f} K" in line
    assert told[4] == f"Together they gain {failing.together.gain:.0f} K (97 °C, holds)."


def test_us_units_say_fahrenheit_throughout(failing):
    told = " ".join((*why(failing, UnitSystem.US), *mending(failing, UnitSystem.US)))
    assert "°C" not in told
    assert " K" not in told
    assert "BTU/h" in told


def test_a_duty_that_boils_says_so():
    alone = TEXT.with_value("airflow.fan_count", "1").with_value("duties", [TEXT.get("duties")[CLIMB]])
    found = size(case_of(alone))
    told = why(found)
    assert told[0] == "Climb with trailer, 12 % at 1800 m fails: the coolant boils at 130 °C before it settles."
    assert any("(still boils)" in option_sentence(o) for o in found.options)
    assert mending(found)[0] == "Three changes that mend it:"
    heavier = size(case_of(alone.with_value("duties[0].trailer_mass", "2200 kg")))
    assert mending(heavier)[0] == (
        "The best that can be done here does not suffice. Three changes, each on another side:"
    )
    assert "Together they gain" in mending(heavier)[-1]


def test_a_duty_that_holds_needs_nothing():
    found = size(case_of(TEXT), duty_index=0)
    assert mending(found) == (
        "By the numbers entered Idle in frost, heater on holds with the margin wanted. How sure that is, with their "
        "uncertainty, the check tells.",
    )
    assert needed_sentence(found) == (
        "By the numbers entered, their uncertainty left out, even a far smaller radiator holds the limit."
    )
    assert "is the hardest duty" in why(found)[0]


def test_what_is_gained_where_nothing_can_be_told_is_not_called_nothing(failing):
    first, second, third, *_ = (o for o in failing.options if o.gain is not None and not o.change.from_table)
    options = [replace(o, gain=0.0, at_least=True, spoils=()) for o in (first, second)] + [third]
    said = option_lines(options)
    (untold,) = (line for line in said if line.startswith("Too far over the limit to tell what is gained by: "))
    for option in (first, second):
        assert option.change.name[1:] in untold
    assert option_sentence(third) in said
    assert not any("next to nothing" in line.lower() for line in said)


def test_a_duty_of_a_time_gets_to_its_peak_and_does_not_settle_there():
    found = size(case_of(TEXT.with_value("duties[0].duration", "5 min")), duty_index=0)
    assert "the coolant gets to" in why(found)[0]
    assert "settles" not in why(found)[0]


def test_a_radiator_with_room_to_spare_is_told_by_how_small_it_may_be(failing):
    spare = replace(failing, needed=replace(failing.needed, scale=0.3, target=383.15))
    assert needed_sentence(spare) == (
        "By the numbers entered, their uncertainty left out, one with 30 % of this radiator's conductance would still "
        "hold 110 °C."
    )


def test_changes_that_do_nothing_share_a_line_and_lose_nothing(failing):
    *lines, circuit = option_lines(failing.options)
    assert circuit.startswith("Another core is tried with pump, jacket, thermostat and hoses as they are")
    assert lines[-1].startswith("Next to nothing is changed by: ")
    for option in failing.options:
        alone = option_sentence(option)
        if "next to nothing" in alone and not option.spoils:
            assert option.change.name[1:] in lines[-1]
            assert alone not in lines
        else:
            assert alone in lines


def test_without_another_core_among_the_changes_the_circuit_is_not_spoken_of(failing):
    others = [o for o in failing.options if not any(p.startswith("radiator.") for p in o.change.values)]
    assert not any(line.startswith("Another core") for line in option_lines(others))


def test_a_margin_that_is_smaller_than_wanted_is_said():
    found = size(case_of(TEXT.with_value("limits.coolant_limit", "125 degC")))
    assert "2 K under its limit of 125 °C, less than the 5 K wanted" in why(found)[0]


def test_flows_that_fall_short_are_said():
    found = size(case_of(TEXT.with_value("airflow.fan_count", "0").with_value("duties[5].vehicle_speed", "20 km/h")))
    assert needed_sentence(found).startswith("No radiator of any size holds Climb")


def test_an_option_says_what_is_in_the_way_what_it_costs_and_what_it_spoils(failing):
    shroud = next(o for o in failing.options if "shroud" in o.change.name)
    assert "costs 3 K" in option_sentence(shroud)
    cap = next(o for o in failing.options if o.side is SystemSide.CAP)
    assert "changes next to nothing" in option_sentence(cap)
    assert "Only where the maker allows it" in option_sentence(cap)
    wide = case_of(TEXT.with_value("radiator.core_width", "3.9 m"))
    blocked = next(o for o in size(wide).options if "wider" in o.change.name)
    assert "cannot be built. Core width: " in option_sentence(blocked)
    duties = [
        {
            "name": "hill",
            "vehicle_speed": "60 km/h",
            "grade": "10 %",
            "trailer_mass": "2000 kg",
            "ambient": "38 degC",
            "fan": "on",
        },
        {"name": "stopped", "ambient": "38 degC", "brake_power": "25 kW", "fan": "auto"},
    ]
    hill = case_of(CaseText({"format": "heatdocket-case/1", "vehicle": {"class": "pickup"}, "duties": duties}))
    tall = next(
        o
        for o in size(hill, parse_table("name,fan_drive,core_height\ntall,none,900 mm\n"), 0).options
        if o.change.from_table
    )
    assert option_sentence(tall).endswith("It spoils: stopped.")


def test_every_side_has_its_words(failing):
    assert set(LIMITS) == set(SystemSide)
    assert LIMITS[failing.limiting.side] in limiting_sentence(failing)


def test_what_the_temperature_hangs_on_has_signs_and_steps():
    case = case_of(TEXT)
    told = hangs_on(sensitivity(case, CLIMB))
    assert "number of fans (-13 K per one more)" in told[0]
    assert "ambient temperature (+6 K per 5 K)" in told[0]
    assert told[1].startswith("Resistance to heat, from coolant to air: air film and fins")
    assert "(+10 °F per 9 °F)" in hangs_on(sensitivity(case, CLIMB), UnitSystem.US)[0]
    town = hangs_on(sensitivity(case, 1))[0]  # there the thermostat holds: only it, and a valve that does not close
    assert "hangs most on: never closes further than (-26 K from zero to 10 %), stamped rating (+5 K per 5 K)." in town


def test_a_cycle_is_told_leg_by_leg_with_the_stop_after_it():
    case = case_of(TEXT)
    lap = cycle_sentences(cycle(case, [Leg(10, 45.0), Leg(11, 50.0)]))
    assert lap[0].startswith("Over the whole cycle the coolant peaks at")
    assert lap[1].startswith("Track, straights, 45 s: ")
    assert "after the stop, under its boiling point of 133 °C" in lap[-2]
    assert lap[-1].startswith("A fan that runs on does not change that")  # this pump hangs on the belt
    weaker_cap = case_of(TEXT.with_value("coolant.cap_pressure", "1.1 bar"))
    climb = cycle_sentences(cycle(weaker_cap, [Leg(CLIMB, 900.0)], repeat=False))
    assert climb[-2].endswith("and boils: let it idle first.")
    boiling = cycle_sentences(cycle(case_of(TEXT.with_value("airflow.fan_count", "0")), [Leg(CLIMB, 1800.0)]))
    assert boiling[0] == "The coolant boils on the way, at 130 °C."


TWO_THAT_BOIL = {
    "format": "heatdocket-case/1",
    "job": {"reason": "sizing"},
    "vehicle": {"class": "sports car"},
    "engine": {"rated_power": "420 hp", "rated_speed": "6500 rpm", "displacement": "2 L", "aspiration": "turbo"},
    "radiator": {"core_height": "400 mm", "core_width": "650 mm", "core_depth": "42 mm", "tube_rows": "2"}
    | {"fin_pitch": "18 /in"},
    "airflow": {"fan_free_flow": "1600 cfm", "fan_count": "2"},
    "duties": [
        {
            "name": "Laps",
            "brake_power": "250 hp",
            "engine_speed": "5800 rpm",
            "vehicle_speed": "85 mph",
            "ambient": "32 degC",
        },
        {
            "name": "Straight",
            "brake_power": "420 hp",
            "engine_speed": "6500 rpm",
            "vehicle_speed": "130 mph",
            "ambient": "32 degC",
        },
    ],
}


def test_the_duty_that_asks_for_the_largest_radiator_is_named_where_it_is_another_one():
    found = size(case_of(CaseText(TWO_THAT_BOIL)))
    assert (found.name, found.needed.name) == ("Straight", "Laps")
    assert why(found)[2].startswith("Laps asks for the largest radiator. To hold ")
    alone = size(case_of(CaseText(TWO_THAT_BOIL)), duty_index=1)
    assert why(alone)[2].startswith("To hold ")


def test_the_verdict_and_the_sizing_agree_on_the_hardest_of_two_duties_that_boil():
    case = case_of(CaseText(TWO_THAT_BOIL))
    assert deciding(check_with_records(case, {}, members=8).check).name == size(case).name == "Straight"
