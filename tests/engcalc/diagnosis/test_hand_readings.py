"""Heater hoses and vents read by hand: what they say by themselves, and where a healthy vehicle would be beside them.

What a hot hose means is common practice, no source: both hot is a fault of flap or air, one cold of flow.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.checks.first_steps import NextStep, heater_step
from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.evidence.hand_readings import doubted_readings, heater_hoses_felt
from engcalc.diagnosis.evidence.places_read import check_places
from engcalc.diagnosis.grounds import GroundCode, VehicleState
from engcalc.diagnosis.whole_check import check_with_records, joined
from engcalc.studies.check import check
from engcalc.studies.readings import PlaceReading
from engcalc.units import UnitSystem
from engcalc.verdict import FindingCode
from engcalc.words.answer.finding_sentences import finding_sentence
from engcalc.words.answer.plainly import plain
from engcalc.words.diagnosis.conclusion_words import because_sentences
from reports.pages.customer import _readings_of_both
from reports.plots.measured import readings

FROST = {"ambient": "-6 degC", "heater_setting": "high", "driving": "town", "engine_off_phases": "no"}


def spot(what: str, value: str, instrument: str, at: str = "20 min", **more: str) -> dict[str, str]:
    return {"what": what, "value": value, "instrument": instrument, "at": at, **more}


def case_of(*spots: dict[str, str], after: dict[str, Any] | None = None, **before: Any) -> Case:
    records: dict[str, Any] = {"before": {**FROST, "spots": list(spots), **before}}
    if after is not None:
        records["after"] = {**FROST, **after}
    tree = {
        "format": "heatdocket-case/1",
        "vehicle": {"class": "family car"},
        "job": {"reason": "no heat"},
        "limits": {"coolant_limit": "115 degC"},
        "evidence": records,
    }
    found = resolve(CaseText(tree))
    assert isinstance(found, Case), found
    return found


def hoses(inlet: str, outlet: str, instrument: str = "hand") -> tuple[dict[str, str], dict[str, str]]:
    return spot("heater_inlet_hose", inlet, instrument), spot("heater_outlet_hose", outlet, instrument)


FELT = (  # of both hoses, what it says, and what comes next
    (hoses("too hot to hold", "too hot to hold"), True, NextStep.FLAP),
    (hoses("too hot to hold", "cold"), False, NextStep.HEATER_FLOW),
    (hoses("too hot to hold", "hot"), None, NextStep.HEATER),
    (hoses("warm", "cold"), None, NextStep.HEATER),
    (hoses("82 degC", "78 degC", "immersed"), True, NextStep.FLAP),
    (hoses("82 degC", "49 degC", "immersed"), False, NextStep.HEATER_FLOW),
    (hoses("82 degC", "51 degC", "immersed"), None, NextStep.HEATER),
    (hoses("64 degC", "20 degC", "immersed"), None, NextStep.HEATER),
    (hoses("82 degC", "30 degC", "immersed")[:1], None, NextStep.HEATER),
)


@pytest.mark.parametrize(("spots", "both_hot", "step"), FELT)
def test_heater_hoses_that_were_felt_are_not_asked_for_again(
    spots: tuple[dict[str, str], ...], both_hot: bool | None, step: NextStep
) -> None:
    record = case_of(*spots).evidence.before
    assert heater_hoses_felt(record) is both_hot
    assert heater_step(record) is step


def test_the_latest_reading_of_a_hose_counts_and_an_answer_given_outright_before_all() -> None:
    early = spot("heater_outlet_hose", "20 degC", "immersed", at="5 min")
    late = hoses("82 degC", "78 degC", "immersed")
    assert heater_hoses_felt(case_of(*late, early).evidence.before) is True
    told = case_of(*late, seen={"heater_hoses_both_hot": False}).evidence.before
    assert heater_step(told) is NextStep.HEATER_FLOW


@pytest.mark.parametrize(
    ("vent", "setting", "doubted"),
    [("-10 degC", "high", True), ("-8 degC", "high", False), ("-10 degC", "off", False), ("25 degC", "high", False)],
)
def test_a_vent_colder_than_outside_with_the_heater_on_is_doubted(vent: str, setting: str, doubted: bool) -> None:
    """Outside it is -6 degC, and 3 K of that may be the probe's."""
    case = case_of(spot("vent", vent, "vent_probe"), heater_setting=setting)
    assert case.evidence.before is not None
    found = doubted_readings("before", case.evidence.before)
    assert [f.code for f in found] == ([FindingCode.VENT_BELOW_AIR] if doubted else [])
    if doubted:
        said = finding_sentence(found[0], UnitSystem.SI)
        assert "-10 °C, colder than the -6 °C outside" in said
        assert "Check the probe" in said


def test_the_doubt_stands_with_the_answer() -> None:
    found = check_with_records(case_of(spot("vent", "-15 degC", "vent_probe")), {}, members=0).check
    assert FindingCode.VENT_BELOW_AIR in [f.code for f in found.findings]


def test_a_reading_that_came_too_early_is_followed_by_a_later_one_and_not_by_the_same_again() -> None:
    """A healthy engine still rises at that time: it is driven on, and nobody begins anew from cold."""
    found = conclude(
        check_with_records(case_of(spot("coolant", "10 degC", "scan_tool", at="4 min")), {}, members=10).check
    )
    assert found.lead.code is GroundCode.TOO_EARLY
    assert found.next_step is NextStep.READ_AGAIN


# ---- beside a healthy vehicle ---------------------------------------------------------------------------------------


@cache
def placed() -> tuple[Case, tuple[PlaceReading, ...]]:
    case = case_of(
        spot("heater_inlet_hose", "hot", "hand"),
        spot("vent", "12 degC", "vent_probe"),
        spot("upper_hose", "30 degC", "infrared", surface="rubber"),
        spot("upper_hose", "30 degC", "infrared", surface="bare_metal"),
    )
    return case, check_places(case, {}, 20, 1)


def test_hoses_and_vents_stand_beside_what_a_healthy_vehicle_shows() -> None:
    inlet, vent, upper = placed()[1]  # what bare metal shows by infrared is refused
    assert (inlet.what, vent.what, upper.what) == ("heater_inlet_hose", "vent", "upper_hose")
    assert (inlet.low - 273.15, inlet.high - 273.15) == (pytest.approx(49.0), pytest.approx(63.0))  # a hand, 5 K low
    assert vent.measured - 273.15 == pytest.approx(12.0)
    assert (vent.high - vent.low) / 2.0 == pytest.approx(1.645 * 3.0)  # a vent probe's own 3 K
    assert upper.measured - 273.15 == pytest.approx(36.5)  # infrared on rubber, 6.5 K low
    for one in (inlet, vent, upper):
        assert one.expected_low < one.expected_high
    assert vent.measured < vent.expected_low, "a healthy heater on full blows warmer than 12 degC after 20 min"


def test_the_picture_of_readings_carries_every_place() -> None:
    case, elsewhere = placed()
    alone = replace(joined(check(case, members=0), ()), elsewhere=elsewhere)
    drawn = readings(alone, UnitSystem.SI)
    assert drawn is not None
    assert drawn.words.title == "Readings against a healthy vehicle"
    labels = [row.label for row in drawn.rows]
    assert any("heater hose, inlet" in label and "\u201chot\u201d" in label for label in labels)
    assert [len(row.dots) for row in drawn.rows] == [0, 1, 1], "a word is a band, a number a ring"
    thin = [bar for bar in drawn.rows[0].spans if bar.thin]
    assert [(bar.low, bar.high) for bar in thin] == [(pytest.approx(49.0), pytest.approx(63.0))]
    assert readings(replace(alone, elsewhere=()), UnitSystem.SI) is None


# ---- on the customer's paper ----------------------------------------------------------------------------------------


def test_before_and_after_holds_hoses_and_what_was_seen_otherwise() -> None:
    after = {
        "spots": [spot("heater_outlet_hose", "71 degC", "clamp"), spot("vent", "52 degC", "vent_probe")],
        "seen": {"fan_runs_when_hot": True, "level_low": False},
    }
    case = case_of(
        spot("heater_outlet_hose", "24 degC", "clamp"),
        spot("vent", "12 degC", "vent_probe"),
        spot("upper_hose", "20 degC", "clamp"),
        after=after,
        seen={"fan_runs_when_hot": False, "level_low": False},
    )
    rows = _readings_of_both(case, UnitSystem.SI)
    assert [(label, was[:5], now[:5]) for label, was, now in rows] == [
        ("Air from the vents", "12 °C", "52 °C"),
        ("Heater hose, outlet", "24 °C", "71 °C"),
        ("The radiator fan runs when the engine is hot", "no", "yes"),
    ]


PARTS = {
    "fan_fuse_good": "Its fuse is blown.",
    "fan_relay_works": "Its relay does not work.",
    "fan_motor_runs": "Its motor does not run.",
}


@pytest.mark.parametrize(("part", "said"), PARTS.items())
def test_the_part_of_the_fan_that_was_found_is_named_on_page_one(part: str, said: str) -> None:
    hot = {"ambient": "33 degC", "heater_setting": "off", "driving": "idling"}
    case = case_of(spot("coolant", "113 degC", "scan_tool"), **hot, seen={"fan_runs_when_hot": False, part: False})
    found = joined(check(case, members=0), ())
    assert plain(found).lead.endswith(f"the radiator fan does not run. {said}")
    assert any(said in text for text in because_sentences(conclude(found), UnitSystem.SI))
    untold = case_of(spot("coolant", "113 degC", "scan_tool"), **hot, seen={"fan_runs_when_hot": False})
    whole = joined(check(untold, members=0), ())
    assert plain(whole).lead.endswith("the radiator fan does not run.")


def test_what_was_seen_before_the_repair_is_no_advice_after_it() -> None:
    """Nobody is told to find out why a fuse blew that was replaced."""
    hot = {"ambient": "33 degC", "heater_setting": "off", "driving": "idling"}
    after = {**hot, "spots": [spot("coolant", "94 degC", "scan_tool")], "seen": {"fan_runs_when_hot": True}}
    case = case_of(
        spot("coolant", "113 degC", "scan_tool"),
        **hot,
        seen={"fan_runs_when_hot": False, "fan_fuse_good": False},
        after=after,
    )
    found = check_with_records(case, {}, members=20).check
    assert FindingCode.SEEN not in [f.code for f in found.findings]


def test_a_thermostat_found_before_the_repair_is_not_told_of_the_vehicle_after_it() -> None:
    """Not even for the moments in which the record after the repair is still to be counted in."""
    case = case_of(
        spot("coolant", "40 degC", "scan_tool"),
        seen={"thermostat_open_when_cold": True},
        after={"seen": {"level_low": False}},
    )
    found = conclude(check_with_records(case, {}, members=0).check)
    assert found.repaired
    assert found.state is not VehicleState.RUNS_COLD
    said = " ".join(because_sentences(found, UnitSystem.SI))
    assert "thermostat was found open" not in said
    before = conclude(check_with_records(case_of(seen={"thermostat_open_when_cold": True}), {}, members=0).check)
    assert before.state is VehicleState.RUNS_COLD
