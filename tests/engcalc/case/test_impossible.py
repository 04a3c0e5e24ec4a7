"""Readings and facts that no vehicle shows are faults of the input, all named at once; what a broken one shows is not.

The bounds are common practice or from memory, as they stand beside the constants; each is pinned here from both sides.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot, sqrt
from typing import Any

import pytest

from engcalc.case.case import Case
from engcalc.case.impossible import (
    AIR_ERROR,
    COOLANT_HEAT,
    COVERAGE,
    HEATER_WARM,
    METAL_HEAT,
    ON_A_HOSE,
    QUICK_SHARE,
    RADIATOR_WARM,
    RAN,
    TOGETHER,
    TYPED_ERROR,
)
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText

SMALL = 0.05  # K or s, to either side of a bound
SCAN, CLAMP = 2.0, hypot(1.0, ON_A_HOSE)  # K, standard, of a scan tool and of a clamp on a hose


def faults(record: Mapping[str, Any], name: str = "before", **sections: Any) -> list[str]:
    """Paths of the faults of a case with this record."""
    found = resolve(
        CaseText({"format": FORMAT, "vehicle": {"class": "family car"}, **sections, "evidence": {name: record}})
    )
    return [] if isinstance(found, Case) else [fault.path for fault in found.faults]


def said(record: Mapping[str, Any], **sections: Any) -> str:
    found = resolve(CaseText({"format": FORMAT, **sections, "evidence": {"before": record}}))
    assert isinstance(found, Faults)
    return "\n".join(str(fault) for fault in found.faults)


def spot(T: float, at: float | None = 1800.0, what: str = "coolant", instrument: str = "scan_tool") -> dict[str, str]:
    """A reading in degC at a time in s."""
    when = {} if at is None else {"at": f"{at:.3f} s"}
    return {"what": what, "value": f"{T:.4f} degC", "instrument": instrument, **when}


def hose(what: str, T: float, at: float | None = 1800.0) -> dict[str, str]:
    """A hose by a clamp; ``T`` is what flows inside, the clamp shows 3 K less."""
    return {**spot(T - 3.0, at, what, "clamp"), "surface": "rubber"}


# ---- colder than the air ---------------------------------------------------------------------------------------------


def test_the_bounds_are_those_that_were_meant() -> None:
    assert (COVERAGE, RAN, AIR_ERROR, TYPED_ERROR, ON_A_HOSE, TOGETHER) == (3.0, 600.0, 3.0, 2.0, 3.0, 120.0)
    assert (RADIATOR_WARM, HEATER_WARM) == (333.15, 313.15)
    assert (QUICK_SHARE, METAL_HEAT, COOLANT_HEAT) == (0.5, 500.0, 3.7e6)


@pytest.mark.parametrize(("instrument", "u"), [("scan_tool", 2.0), ("immersed", 1.0), ("dash_gauge", 8.0)])
def test_coolant_colder_than_the_air_after_a_run(instrument: str, u: float) -> None:
    bound = 20.0 - AIR_ERROR - COVERAGE * u
    for T, refused in ((bound - SMALL, True), (bound + SMALL, False)):
        record = {"ambient": "20 degC", "spots": [spot(T, instrument=instrument)]}
        assert faults(record) == (["evidence.before.spots[0].value"] if refused else [])


@pytest.mark.parametrize(("at", "refused"), [(RAN - SMALL, False), (RAN + SMALL, True), (None, False)])
def test_before_a_run_it_may_be_as_cold_as_where_it_stood(at: float | None, refused: bool) -> None:
    """A car from a cold garage on a warm day."""
    assert bool(faults({"ambient": "30 degC", "spots": [spot(8.0, at)]})) is refused


def test_where_it_began_colder_than_the_air_it_may_still_be() -> None:
    started = {"ambient": "30 degC", "start_temperature": "5 degC"}
    assert not faults({**started, "spots": [spot(8.0)]})
    assert faults({**started, "spots": [spot(5.0 - AIR_ERROR - COVERAGE * SCAN - SMALL)]})
    warm = {"ambient": "20 degC", "start_temperature": "60 degC"}
    assert faults({**warm, "spots": [spot(5.0, TOGETHER + 1.0)]}), "from 60 degC it does not fall below the air"
    assert not faults({**warm, "spots": [spot(5.0, TOGETHER - 1.0)]})


def test_a_typed_curve_and_a_hose_are_held_to_it_too() -> None:
    bound = 20.0 - AIR_ERROR - COVERAGE * TYPED_ERROR
    for T, refused in ((bound - SMALL, True), (bound + SMALL, False)):
        curve = [[1, "20 degC"], [30, f"{T:.3f} degC"]]
        assert faults({"ambient": "20 degC", "curve": curve}) == (["evidence.before.curve[1]"] if refused else [])
    bound = 20.0 - AIR_ERROR - COVERAGE * CLAMP
    for T, refused in ((bound - SMALL, True), (bound + SMALL, False)):
        assert bool(faults({"ambient": "20 degC", "spots": [hose("upper_hose", T)]})) is refused
    assert not faults({"ambient": "20 degC", "spots": [spot(3.0, what="vent", instrument="vent_probe")]}), "chilled air"


def test_a_sensor_whose_circuit_has_a_code_may_show_anything() -> None:
    """An open circuit reads -40 degC: that is evidence of the sensor, and no fault of the input."""
    record = {"ambient": "20 degC", "spots": [spot(-40.0)], "codes": ["p0118"]}
    assert not faults(record)
    assert faults({**record, "codes": ["P0128"]})
    assert faults({**record, "spots": [spot(-40.0, instrument="immersed")]}), "another thermometer is no part of it"


# ---- hotter on the way back ------------------------------------------------------------------------------------------

PAIRS = (
    ("upper_hose", "lower_hose", RADIATOR_WARM - 273.15),
    ("heater_inlet_hose", "heater_outlet_hose", HEATER_WARM - 273.15),
)


@pytest.mark.parametrize(("feed", "back", "warm"), PAIRS)
def test_a_return_hose_hotter_than_its_feed(feed: str, back: str, warm: float) -> None:
    room = COVERAGE * sqrt(2.0) * CLAMP
    for T, refused in ((warm + 10.0 + room + SMALL, True), (warm + 10.0 + room - SMALL, False)):
        record = {"spots": [hose(feed, warm + 10.0), hose(back, T)]}
        assert faults(record) == (["evidence.before.spots[1].value"] if refused else [])
    for T, refused in ((warm + SMALL, True), (warm - SMALL, False)):
        assert bool(faults({"spots": [hose(feed, T), hose(back, T + room + 1.0)]})) is refused, "only while heat flows"


def test_only_hoses_read_together_are_laid_beside_one_another() -> None:
    for apart, refused in ((TOGETHER - 1.0, True), (TOGETHER + 1.0, False)):
        record = {"spots": [hose("upper_hose", 65.0, 600.0), hose("lower_hose", 85.0, 600.0 + apart)]}
        assert bool(faults(record)) is refused
    assert faults({"spots": [hose("upper_hose", 65.0, None), hose("lower_hose", 85.0, None)]})
    assert not faults({"spots": [hose("upper_hose", 65.0, None), hose("lower_hose", 85.0, 600.0)]})


def test_swapped_heater_hoses_explain_it() -> None:
    record = {"spots": [hose("heater_inlet_hose", 55.0), hose("heater_outlet_hose", 80.0)]}
    assert faults(record)
    assert not faults({**record, "seen": {"heater_hoses_swapped": True}})


# ---- faster than any heat --------------------------------------------------------------------------------------------

# by hand: 90 kW at 36 %, 25 % of the fuel into the metal: 62.5 kW; half of 100 kg of metal 25 kJ/K, 5 L 18.5 kJ/K
ENGINE = {
    "engine": {
        "rated_power": "90 kW",
        "brake_thermal_efficiency": "36 %",
        "coolant_share_rated": "25 %",
        "metal_mass": "100 kg",
    },
    "coolant": {"volume": "5 L"},
}
QUICKEST = 62500.0 / 43500.0  # K/s: 86 K in a minute


@pytest.mark.parametrize("seconds", [20.0, 30.0])
def test_a_rise_faster_than_all_of_the_engines_heat(seconds: float) -> None:
    room = QUICKEST * seconds + COVERAGE * sqrt(2.0) * SCAN
    for rise, refused in ((room + SMALL, True), (room - SMALL, False)):
        record = {"spots": [spot(20.0, 300.0), spot(20.0 + rise, 300.0 + seconds)]}
        assert faults(record, **ENGINE) == (["evidence.before.spots[1].value"] if refused else [])


def test_two_readings_of_one_instrument_at_the_same_time() -> None:
    room = COVERAGE * sqrt(2.0) * SCAN
    for off, refused in ((room + SMALL, True), (room - SMALL, False)):
        for T in (60.0 + off, 60.0 - off):
            assert bool(faults({"spots": [spot(60.0), spot(T)]})) is refused
    assert not faults({"spots": [spot(60.0), spot(95.0, instrument="immersed")]}), "that is evidence of the sensor"


def test_a_typed_curve_with_a_jump_names_its_point() -> None:
    curve = [[0, "20 degC"], [5, "40 degC"], [5.2, "90 degC"], [10, "91 degC"]]
    assert faults({"curve": curve}, **ENGINE) == ["evidence.before.curve[2]"]
    assert not faults({"curve": [[0, "90 degC"], [0.5, "20 degC"]]}, **ENGINE), "a fall may be cold water or a valve"
    assert not faults({"curve": curve, "codes": ["P0119"]}, **ENGINE), "an intermittent circuit jumps"


# ---- facts that exclude one another ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("seen", "path"),
    [
        ({"fan_runs_always": True, "fan_runs_when_hot": False}, "fan_runs_always"),
        ({"thermostat_missing": True, "thermostat_opens_hot": True}, "thermostat_opens_hot"),
        ({"thermostat_missing": True, "thermostat_opens_hot": False}, "thermostat_opens_hot"),
        ({"thermostat_missing": True, "thermostat_open_when_cold": True}, "thermostat_open_when_cold"),
    ],
)
@pytest.mark.parametrize("name", ["before", "after"])
def test_facts_that_cannot_both_be(seen: dict[str, bool], path: str, name: str) -> None:
    assert faults({"seen": seen}, name) == [f"evidence.{name}.seen.{path}"]
    for fact, answer in seen.items():
        assert not faults({"seen": {fact: answer}}, name), "each alone may be"


@pytest.mark.parametrize(
    "seen",
    [
        {"fan_runs_always": True, "fan_runs_when_hot": True},
        {"fan_runs_always": False, "fan_runs_when_hot": False},
        {"thermostat_open_when_cold": True, "thermostat_opens_hot": False},
        {"thermostat_missing": False, "thermostat_opens_hot": True},
    ],
)
def test_facts_that_go_together_pass(seen: dict[str, bool]) -> None:
    assert not faults({"seen": seen})


def test_no_thermostat_and_one_in_the_pot() -> None:
    none = {"thermostat": {"kind": "none"}}
    pot = spot(82.0, None, "valve_starts", "immersed")
    assert faults({"seen": {"thermostat_opens_hot": True}}, **none) == ["evidence.before.seen.thermostat_opens_hot"]
    assert faults({"seen": {"thermostat_opens_hot": False}}, **none) == ["evidence.before.seen.thermostat_opens_hot"]
    assert faults({"seen": {"thermostat_open_when_cold": True}}, **none)
    assert faults({"spots": [pot]}, **none) == ["evidence.before.spots[0].what"]
    assert faults({"spots": [pot], "seen": {"thermostat_missing": True}}) == ["evidence.before.spots[0].what"]
    assert not faults({"seen": {"thermostat_opens_hot": True}}, "after", **none), "a new one came in between"
    assert not faults({"spots": [pot]})


def test_all_faults_come_at_once_and_say_what_would_do() -> None:
    record = {
        "ambient": "20 degC",
        "spots": [spot(-5.0), hose("upper_hose", 65.0), hose("lower_hose", 90.0)],
        "seen": {"fan_runs_always": True, "fan_runs_when_hot": False},
    }
    assert faults(record) == [
        "evidence.before.spots[0].value",
        "evidence.before.spots[2].value",
        "evidence.before.seen.fan_runs_always",
    ]
    words = said(record)
    for part in ("coolant does not get colder than the air", "Read both again", "Take back this or"):
        assert part in words
