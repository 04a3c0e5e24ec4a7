"""Lines typed while a vehicle is read: what each says, what is refused, and that they become evidence."""

from __future__ import annotations

import pytest

from engcalc.case.records import SEEN_FACTS, heater_settings
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.checks.hand_checks import CHECKS
from engcalc.diagnosis.drive.drive_legs import AT_A_STOP
from engcalc.diagnosis.drive.planned_drive import LOOKS_FIRST, LOOKS_LAST
from engcalc.errors import InputError
from engcalc.units import UnitSystem
from ui.live.typed import FACTS, PLACES, TypedEvidence, line_read

CASE = CaseText({"format": FORMAT, "vehicle": {"class": "family car"}, "job": {"reason": "no heat"}})


@pytest.mark.parametrize(
    ("line", "what", "value", "instrument"),
    [
        ("upper hose 60", "upper_hose", "60 degC", "clamp"),
        ("Upper  Hose 60,5", "upper_hose", "60,5 degC", "clamp"),
        ("lower_hose 140 F", "lower_hose", "140 degF", "clamp"),
        ("heater inlet hose 71.5 °C", "heater_inlet_hose", "71.5 °C", "clamp"),
        ("heater outlet 52 infrared", "heater_outlet_hose", "52 degC", "infrared"),
        ("neck 85", "coolant", "85 degC", "clamp"),
        ("vent 45", "vent", "45 degC", "vent_probe"),
        ("heater outlet too hot to hold", "heater_outlet_hose", "too hot to hold", "hand"),
    ],
)
def test_a_reading_by_hand(line, what, value, instrument):
    spot = line_read(line, 125.4).spot
    assert spot is not None
    assert (spot["what"], spot["value"], spot["instrument"], spot["at"]) == (what, value, instrument, "125 s")
    assert spot.get("surface") == ("rubber" if instrument == "infrared" else None)


def test_infrared_reads_the_neck_on_matt_tape():
    spot = line_read("neck 85 infrared", 60.0).spot
    assert spot is not None
    assert (spot["instrument"], spot["surface"]) == ("infrared", "painted")


def test_a_bare_number_has_the_unit_that_was_chosen():
    spot = line_read("upper hose 140", 60.0, UnitSystem.US).spot
    assert spot is not None
    assert spot["value"] == "140 degF"


def test_what_a_plan_asks_for_can_be_typed():
    """All places of a stop, the fan, and both answers to every look beside a drive."""
    assert set(PLACES.values()) == set(AT_A_STOP)
    asked = {fact for key in (*LOOKS_FIRST, *LOOKS_LAST) for fact in CHECKS[key].answers} | {"fan_runs_when_hot"}
    assert asked <= SEEN_FACTS.keys()
    assert {(fact, answer) for fact in asked for answer in (True, False)} == set(FACTS.values())


@pytest.mark.parametrize(
    ("line", "wanted"),
    [
        ("uper hose 60", "upper hose"),
        ("upper hose", "upper hose"),
        ("upper hose sixty", "one number"),
        ("upper hose 700", "would do"),
        ("vent 30 bar", "the unit is not one"),
        ("back", "nothing was typed"),
    ],
)
def test_what_cannot_be_taken_says_what_would_do_and_changes_nothing(line, wanted):
    typed = TypedEvidence(CASE, "before")
    with pytest.raises(InputError) as refused:
        typed.take(line, 60.0)
    [fault] = refused.value.faults
    assert fault.given == line
    assert wanted in fault.wanted
    assert typed.text == CASE
    assert typed.lines == ()


def test_lines_add_up_in_the_record_and_the_last_is_taken_back():
    typed = TypedEvidence(CASE, "before")
    assert typed.take("upper hose 60", 245.0) == "upper radiator hose 60 degC, clamp-on probe, 4:05 after the start"
    assert typed.take("fan still", 250.0) == "the radiator fan runs when the engine is hot: no"
    typed.take("vent 30", 260.0)
    assert typed.take("back", 270.0) == "the last line is taken back"
    record = typed.text.tree["evidence"]["before"]
    assert [spot["what"] for spot in record["spots"]] == ["upper_hose"]
    assert record["seen"] == {"fan_runs_when_hot": False}
    assert [line.as_data() for line in typed.lines] == [record["spots"][0], {"seen": {"fan_runs_when_hot": False}}]
    typed.take("heater high", 300.0)
    assert typed.lines[-1].as_data() == {"at": "300 s", "setting": "high"}
    case = resolve(typed.text)
    assert heater_settings(case.evidence.before) == ((0.0, "unknown"), (300.0, "high"))
    spot = case.evidence.before.spots[0]
    assert (float(spot.at[0]), float(spot.value[0])) == pytest.approx((245.0, 333.15))


def test_a_heater_set_before_the_start_is_how_it_was_set():
    typed = TypedEvidence(CASE, "before")
    typed.take("heater off", 0.0)
    typed.take("heater high", 900.0)
    case = resolve(typed.text)
    assert heater_settings(case.evidence.before) == ((0.0, "off"), (900.0, "high"))
    assert typed.text.tree["evidence"]["before"]["heater_setting"] == "off"
