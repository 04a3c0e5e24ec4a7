"""Coolant readings: what instruments do to them, what is refused, what is too early, what is overcooling."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.case.records import WAYS
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.evidence.readings import check_readings
from engcalc.diagnosis.whole_check import READING_MEMBERS, check_with_records
from engcalc.studies.readings import ReadingCheck
from engcalc.system.operating_point import solve
from engcalc.system.plant import prepare
from engcalc.verdict import FindingCode, Verdict

Spots = Mapping[str, object] | Sequence[Mapping[str, object]]


def case_of(spots: Spots, record: dict[str, object] | None = None, **sections: object) -> Case:
    drive = [{"vehicle_speed": "80 km/h", "duration": "30 min"}]
    usual = {"what": "coolant", "at": "25 min", "instrument": "scan_tool"}
    read = [spots] if isinstance(spots, Mapping) else spots
    before = {
        "ambient": "0 degC",
        "heater_setting": "high",
        "engine_off_phases": "no",
        "schedule": drive,
        **(record or {}),
        "spots": [{**usual, **spot} for spot in read],
    }
    tree = {
        "format": "heatdocket-case/1",
        "vehicle": {"class": "family car"},
        "evidence": {"before": before},
        "duties": [{"name": "road", "vehicle_speed": "80 km/h", "ambient": "0 degC", "heater": "high"}],
        **sections,
    }
    case = resolve(CaseText(tree))
    assert isinstance(case, Case), case
    return case


def readings(spots: Spots, record: dict[str, object] | None = None, **sections: object) -> tuple[ReadingCheck, ...]:
    """Readings of one record, as the whole check judges each; its duties and warm-ups are left out.

    One at a time or together comes to the same, but where a cold one is followed by a warm one of a later time.
    """
    return check_readings(case_of(spots, record, **sections), {}, READING_MEMBERS, seed=1)


def reading(spot: Mapping[str, object], record: dict[str, object] | None = None, **sections: object) -> ReadingCheck:
    return readings(spot, record, **sections)[0]


@cache
def cold() -> ReadingCheck:
    """A coolant of 34 degC after 25 min at 80 km/h."""
    return reading({"value": "34 degC"})


def codes(found: ReadingCheck) -> set[FindingCode]:
    return {f.code for f in found.findings}


def test_a_warm_reading_fits_a_healthy_vehicle() -> None:
    found = reading({"value": "87 degC"})
    assert found.verdict is Verdict.HOLDS
    assert codes(found) == {FindingCode.READING_AGREES}


def test_a_cold_reading_after_long_driving_is_overcooling() -> None:
    found = cold()
    assert found.verdict is Verdict.OVERCOOLING
    assert found.expected_low - found.measured > 11.0


def test_the_chance_of_a_healthy_vehicle_is_that_of_its_range() -> None:
    """By definition: one in twenty lies under the range's low end, half under its middle; an instrument widens it."""
    found = cold()
    exact = replace(found, uncertainty=0.0, measured=found.expected_low)
    assert exact.chance_if_healthy == pytest.approx(0.05)
    middle = 0.5 * (found.expected_low + found.expected_high)
    assert replace(exact, measured=middle).chance_if_healthy == pytest.approx(0.5)
    assert replace(exact, uncertainty=5.0).chance_if_healthy > 0.05
    assert found.chance_if_healthy < 0.01


def test_the_explaining_opening_settles_at_the_reading() -> None:
    case = case_of({"value": "34 degC"})
    opening = cold().explained_by_opening
    assert opening is not None
    again = solve(prepare(case), conditions_of(case.duties).replace(valve_held=np.array([opening])))
    assert again.coolant_out[0] - 273.15 == pytest.approx(34.0, abs=1.5)  # read off a row of 28 openings


def test_a_reading_below_what_an_open_valve_gives_is_not_explained_by_it() -> None:
    assert reading({"value": "2 degC"}).explained_by_opening is None


def test_the_same_reading_early_is_too_early_to_tell() -> None:
    found = reading({"value": "14 degC", "at": "2 min"})
    assert found.verdict is None
    assert FindingCode.TOO_EARLY in codes(found)


def test_without_its_time_a_low_reading_says_nothing() -> None:
    found = reading({"value": "34 degC", "at": None})
    assert found.verdict is None
    assert codes(found) == {FindingCode.READING_WITHOUT_TIME}


def test_over_the_limit_counts_at_any_time() -> None:
    both = readings([{"value": "121 degC", "at": at} for at in ("25 min", None)])
    assert len(both) == 2
    for found in both:
        assert found.verdict is Verdict.UNDERSIZED
        assert codes(found) == {FindingCode.READING_OVER_LIMIT}


def test_infrared_on_rubber_reads_three_to_ten_kelvin_low() -> None:
    # common practice, no source: 3 to 10 K low on rubber, 2 to 4 K for clamps
    rubber, clamp = readings(
        [
            {"value": "70 degC", "instrument": "infrared", "surface": "rubber"},
            {"value": "70 degC", "instrument": "clamp"},
        ]
    )
    assert 3.0 <= rubber.measured - rubber.as_read <= 10.0
    assert 2.0 <= clamp.measured - clamp.as_read <= 4.0


def test_infrared_on_bare_metal_is_refused_unless_taped() -> None:
    bare, painted = readings(
        [
            {"value": "34 degC", "instrument": "infrared", "surface": "bare_metal"},
            {"value": "30 degC", "instrument": "infrared", "surface": "painted"},
        ]
    )
    assert bare.verdict is None
    assert codes(bare) == {FindingCode.READING_REFUSED}
    assert painted.verdict is Verdict.OVERCOOLING


def test_a_dash_gauge_in_the_middle_says_only_that_it_is_warm() -> None:
    assert codes(reading({"value": "90 degC", "instrument": "dash_gauge"})) == {FindingCode.READING_COARSE}


def test_a_stated_uncertainty_takes_the_place_of_the_instruments() -> None:
    usual, stated = readings([{"value": "80 degC"}, {"value": "80 degC", "uncertainty": "0.5 K"}])
    assert usual.uncertainty == 2.0
    assert stated.uncertainty == pytest.approx(0.5)
    just = f"{min(usual.expected_low - 3.0, usual.expected_healthy - 11.5) - 273.15:.2f} degC"  # K; low by both rules
    sure, doubtful = readings([{"value": just, "uncertainty": u} for u in ("0.5 K", "6 K")])
    assert sure.verdict is Verdict.OVERCOOLING
    assert doubtful.verdict is not Verdict.OVERCOOLING


def test_low_is_both_outside_what_healthy_vehicles_show_and_far_from_the_middle() -> None:
    # 11 K (20 degF): 13 CCR 1968.2 (e)(10.2.1); the expanded uncertainty is twice the standard one, GUM 6.3.1
    found = cold()
    low, middle = found.expected_low - 273.15, found.expected_healthy - 273.15
    values = (low - 1.5, low - 0.5)
    judged = readings([{"value": f"{value:.2f} degC", "uncertainty": "0.5 K"} for value in values])
    for value, one in zip(values, judged, strict=True):
        assert (one.verdict is Verdict.OVERCOOLING) is (value + 1.0 < low and value < middle - 11.0)
    near = reading({"value": f"{middle - 9.0:.2f} degC", "uncertainty": "0.1 K"})
    assert near.verdict is not Verdict.OVERCOOLING


def test_a_colder_reading_is_never_judged_warmer() -> None:
    judged = readings([{"value": f"{t} degC"} for t in range(10, 100, 6)])
    low = [one.verdict is Verdict.OVERCOOLING for one in judged]
    assert len(low) == 15
    assert low == sorted(low, reverse=True)
    assert low[0]
    assert not low[-1]


def test_an_unknown_heater_setting_is_said_and_excuses_more() -> None:
    """In frost, where a heater that may be on costs kelvins: the healthy range begins lower."""
    idling = {"ambient": "-12 degC", "schedule": [], "driving": "idling"}
    known, unknown = (
        reading({"value": "40 degC", "at": "20 min"}, {**idling, "heater_setting": s}) for s in ("off", "unknown")
    )
    assert unknown.expected_low < known.expected_low - 2.0
    assert FindingCode.HEATER_UNKNOWN in codes(unknown)


def test_a_measured_overcooling_speaks_for_the_case() -> None:
    found = check_with_records(case_of({"value": "34 degC"}), {}, members=8).check
    assert found.duties[0].verdict is Verdict.HOLDS
    assert found.verdict is Verdict.OVERCOOLING


def test_running_that_was_not_noted_is_carried_as_unknown() -> None:
    noted, not_noted = (reading({"value": "50 degC"}, r) for r in ({}, {"schedule": []}))  # idling gives no more
    assert noted.verdict is Verdict.OVERCOOLING
    assert not_noted.verdict is not Verdict.OVERCOOLING
    assert not_noted.expected_low < noted.expected_low
    assert FindingCode.RUNNING_UNKNOWN in codes(not_noted)


IN_FROST = {"ambient": "-12 degC", "schedule": []}  # the heater on high as in every record here
VAN = {
    "vehicle": {"class": "delivery van"},
    "thermostat": {"side": "outlet"},
    "duties": [{"name": "town", "vehicle_speed": "50 km/h", "ambient": "-12 degC", "heater": "high"}],
}


def test_a_cold_reading_that_healthy_vehicles_show_as_well_is_left_open() -> None:
    found = reading({"value": "43 degC"}, {**IN_FROST, "driving": "idling"}, **VAN)
    assert FindingCode.READING_UNDECIDED in codes(found)
    assert found.verdict is Verdict.MARGINAL
    assert found.expected_low <= found.measured <= found.expected_high
    assert found.explained_by_opening is not None


def test_a_hose_that_warms_early_points_to_the_valve_unless_that_sits_at_the_inlet() -> None:
    seen = {**IN_FROST, "seen": {"upper_hose_warms_early": True}}
    found = reading({"value": "41 degC"}, seen, **VAN)
    assert found.verdict is Verdict.MARGINAL
    assert FindingCode.VALVE_SUSPECTED in codes(found)
    idled = {**seen, "driving": "idling"}  # noted: one way to run in place of four
    assert FindingCode.VALVE_SUSPECTED in codes(reading({"value": "41 degC"}, idled, **VAN))
    for other in ({**VAN, "thermostat": {"side": "inlet"}}, {**VAN, "thermostat": {"side": "unknown"}}):
        assert FindingCode.READING_UNDECIDED in codes(reading({"value": "41 degC"}, idled, **other))
    looked_at = {**idled, "seen": {"thermostat_open_when_cold": True}}
    assert FindingCode.VALVE_PASSES in codes(reading({"value": "41 degC"}, looked_at, **VAN))
    assert reading({"value": "41 degC"}, looked_at, **VAN).verdict is Verdict.OVERCOOLING
    assert reading({"value": "88 degC"}, idled, **VAN).verdict is Verdict.HOLDS  # a warm hose on a warm engine


def test_too_cold_for_driving_and_warm_enough_for_idling_is_said_to_depend() -> None:
    found = reading({"value": "45 degC"}, {**IN_FROST, "heater_setting": "low"}, **VAN)
    assert found.verdict is Verdict.MARGINAL
    assert FindingCode.READING_DEPENDS in codes(found)
    numbers = found.findings[0].numbers
    assert numbers["idled_high"] < numbers["driven_high"]
    assert (min(numbers["idled_low"], numbers["driven_low"]), max(numbers["idled_high"], numbers["driven_high"])) == (
        found.expected_low,
        found.expected_high,
    )
    assert found.measured < numbers["too_cold_low"], "too cold for the ways that are said to be driven too cold"
    assert numbers["fits_low"] <= numbers["idled_low"]
    words = found.findings[0].words
    assert sorted([*words["too_cold"].split(", "), *words["fits"].split(", ")]) == sorted(WAYS)
    driven = reading(
        {"value": "45 degC"},
        {**IN_FROST, "heater_setting": "low", "schedule": [{"vehicle_speed": "90 km/h", "duration": "60 min"}]},
        **VAN,
    )
    assert driven.verdict is Verdict.OVERCOOLING
    idled = reading(
        {"value": "45 degC"},
        {**IN_FROST, "heater_setting": "low", "schedule": [{"vehicle_speed": "0 km/h", "duration": "60 min"}]},
        **VAN,
    )
    assert idled.verdict is not Verdict.OVERCOOLING


def test_warmer_than_such_running_makes_a_healthy_vehicle_is_no_fault() -> None:
    idled = {**IN_FROST, "schedule": [{"vehicle_speed": "0 km/h", "duration": "60 min"}]}
    found = reading({"value": "60 degC"}, idled, **VAN)
    assert found.expected_high < found.measured
    assert found.verdict is Verdict.HOLDS


def test_no_heat_with_warm_coolant_points_to_the_heaters_own_side() -> None:
    for reason, told in (("no heat", True), ("screening", False)):
        found = reading({"value": "87 degC"}, job={"reason": reason})
        assert (FindingCode.HEATER_SIDE in codes(found)) is told


def test_a_hot_reading_is_no_sign_of_a_fault_before_it_leaves_what_a_valve_allows() -> None:
    """Up to where the fan comes on, and twice the scan tool's 2 K of doubt on top, a healthy vehicle may get."""
    for values, hotter in ((("99 degC", "101.9 degC"), False), (("102.1 degC",), True), (("114 degC",), True)):
        found = readings(
            [{"value": value} for value in values],
            thermostat={"rating": "82 degC"},
            limits={"coolant_limit": "120 degC"},
            airflow={"fan_drive": "electric", "fan_on": "98 degC", "fan_off": "92 degC"},
        )
        assert [FindingCode.READING_HOTTER in codes(one) for one in found] == [hotter] * len(values)


def test_what_got_warm_later_was_slow_and_not_cold() -> None:
    """A valve that stays open does not mend itself under way: the later warm reading says what the earlier is worth."""
    alone = reading({"value": "34 degC", "at": "10 min"})
    later = {"what": "coolant", "at": "25 min", "value": "88 degC", "instrument": "scan_tool"}
    tree = {
        "format": "heatdocket-case/1",
        "vehicle": {"class": "family car"},
        "evidence": {
            "before": {
                "ambient": "0 degC",
                "heater_setting": "high",
                "engine_off_phases": "no",
                "driving": "motorway",
                "spots": [{"what": "coolant", "at": "10 min", "value": "34 degC", "instrument": "scan_tool"}, later],
            }
        },
    }
    both = resolve(CaseText(tree))
    assert isinstance(both, Case)
    first, second = check_readings(both, {}, READING_MEMBERS, seed=1)
    assert [f.code for f in first.findings] == [FindingCode.READING_WARMED]
    assert first.verdict is None
    assert second.verdict is Verdict.HOLDS
    assert alone.verdict is Verdict.OVERCOOLING


def test_the_first_five_minutes_convict_no_valve() -> None:
    early, later = readings([{"value": "5 degC", "at": at} for at in ("4.9 min", "5 min")])
    assert (early.verdict, later.verdict) == (None, Verdict.OVERCOOLING)
