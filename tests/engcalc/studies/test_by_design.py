"""What is by design is told from a fault: in verdicts, in findings and in words."""

from __future__ import annotations

from typing import Any

import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.studies.by_design import ByDesign
from engcalc.studies.check import check
from engcalc.studies.checked import Check
from engcalc.units import UnitSystem
from engcalc.vehicle.warmup_study import study
from engcalc.verdict import FindingCode, FindingLevel, Verdict
from engcalc.words.answer.reasons import reasons
from engcalc.words.answer.results import BY_KEY
from engcalc.words.answer.warmup_words import warmup_sentences

FULL = {
    "name": "pull",
    "brake_power": "84 kW",
    "engine_speed": "5500 rpm",
    "vehicle_speed": "150 km/h",
    "ambient": "0 degC",
}
ROAD = {"name": "road", "vehicle_speed": "50 km/h", "ambient": "10 degC"}
OLD = {
    "ambient": "0 degC",
    "start_temperature": "0 degC",
    "heater_setting": "off",
    "engine_off_phases": "no",
    "block_heater": "no",
    "auxiliary_heater": "none",
}


def checked(**sections: Any) -> Check:
    found = resolve(CaseText({"format": FORMAT, **sections}))
    assert isinstance(found, Case), found
    return check(found, members=0)


def told(c: Check) -> list[str]:
    """What is said to be by design."""
    return [r.text for r in reasons(c, UnitSystem.SI) if r.code == FindingCode.BY_DESIGN.value]


def test_a_lower_temperature_under_load_is_told_as_design_and_is_no_overcooling() -> None:
    valve = {"kind": "heated wax", "mapped_shift": "20 K", "rating": "103 degC"}
    c = checked(thermostat=valve, duties=[FULL, ROAD], limits={"coolant_limit": "118 degC"})
    pull, road = c.duties
    # more than the 11 K of a monitor lie between the two: without the map in the comparison it would be a fault
    assert float(road.point.coolant_out[0] - pull.point.coolant_out[0]) > 11.0
    assert [d.verdict for d in c.duties] == [Verdict.HOLDS, Verdict.HOLDS]
    assert BY_KEY["thermostat_opens_degC"].getter(pull) == pytest.approx(356.15)
    assert BY_KEY["thermostat_opens_degC"].getter(road) == pytest.approx(376.15)
    assert told(c) == [
        "pull: under this load the thermostat is opened from 83 °C on, 20 K lower than in light "
        "running. That is by design: a lower temperature under load is no fault."
    ]


@pytest.mark.parametrize(("shift", "tells"), [("0.4 K", False), ("0.6 K", True)])
def test_a_shift_that_nobody_would_see_is_not_told(shift: str, tells: bool) -> None:
    assert bool(told(checked(thermostat={"kind": "valve", "mapped_shift": shift}, duties=[FULL]))) is tells


def test_a_mapped_valve_that_leaks_is_overcooling_all_the_same() -> None:
    stuck = {"kind": "heated wax", "minimum_opening": "40 %"}
    c = checked(thermostat=stuck, duties=[{**ROAD, "ambient": "-10 degC", "heater": "high"}])
    assert c.verdict is Verdict.OVERCOOLING


def test_what_lacks_heat_is_measured_from_the_opening_in_force() -> None:
    # it settles some 10 K under the opening at this load, 44 K under the one of light running
    c = checked(
        thermostat={"kind": "valve", "rating": "125 degC", "mapped_shift": "40 K"},
        limits={"coolant_limit": "140 degC"},
        coolant={"cap_pressure": "2 bar"},
        heater={"rated_output": "8 kW", "blower_flow": "600 m3/h"},
        duties=[
            {
                "brake_power": "8.1 kW",
                "engine_speed": "500 rpm",
                "ambient": "-40 degC",
                "heater": "high",
                "vehicle_speed": "10 km/h",
            }
        ],
    )
    duty = c.duties[0]
    below = float((duty.point.opens_at - duty.point.coolant_out)[0])
    assert 0.0 < below < 11.0
    assert 398.15 - float(duty.point.coolant_out[0]) > 11.0
    assert FindingCode.HEAT_LIMITED not in [f.code for f in duty.findings]


def test_a_reading_is_cold_only_below_the_opening_under_load() -> None:
    found = resolve(
        CaseText(
            {
                "format": FORMAT,
                "thermostat": {"kind": "valve", "rating": "103 degC", "mapped_shift": "20 K"},
                "evidence": {"before": {**OLD, "spots": [{"at": "25 min", "value": "84 degC"}]}},
            }
        )
    )
    assert isinstance(found, Case), found
    reading = check_with_records(found, {}, members=8).check.readings[0]
    assert reading.findings[0].numbers["opens"] == pytest.approx(356.15)


def test_a_duty_in_its_time_begins_where_light_running_leaves_a_mapped_valve() -> None:
    valve = {"kind": "heated wax", "mapped_shift": "20 K", "rating": "103 degC"}
    pull = checked(thermostat=valve, duties=[{**FULL, "duration": "2 min"}]).duties[0]
    assert pull.start == pytest.approx(376.15, abs=0.01)
    assert pull.end is not None
    assert pull.end < 376.15 - 5.0


def test_a_missing_valve_has_no_opening_and_plain_wax_nothing_to_tell() -> None:
    gone = checked(thermostat={"kind": "none"}, duties=[ROAD])
    assert BY_KEY["thermostat_opens_degC"].getter(gone.duties[0]) is None
    assert not told(checked(duties=[FULL, ROAD]))


@pytest.mark.parametrize(
    ("duty", "may"), [({"name": "idle"}, True), (ROAD, False), ({"name": "yard", "vehicle_speed": "10 km/h"}, True)]
)
def test_a_hybrid_is_told_that_its_engine_may_stand(duty: dict[str, str], may: bool) -> None:
    c, plain = checked(engine={"hybrid": "yes"}, duties=[duty]), checked(duties=[duty])
    assert float(c.duties[0].point.coolant_out[0]) == float(plain.duties[0].point.coolant_out[0])
    said = f"{duty['name']}: a hybrid's engine may stop here, by design"
    assert [sentence.startswith(said) for sentence in told(c)] == [True] * may
    assert not told(plain)


def test_pump_warmers_and_exhaust_heat_are_told_once_each() -> None:
    c = checked(
        duties=[ROAD, FULL],
        circuit={
            "pump_cold": "stands when cold",
            "pump_starts": "65 degC",
            "extra": [{"kind": "oil warmer"}, {"kind": "gearbox warmer"}, {"kind": "exhaust heat", "stops": "72 degC"}],
        },
    )
    said = told(c)
    assert len(said) == 4
    for part in (
        "The coolant pump does not turn until the engine's coolant has 65 °C, by design",
        "The coolant warms the engine oil, by design",
        "The coolant warms the gearbox while it is cold",
        "takes heat from the exhaust until it has 72 °C",
    ):
        assert sum(part in sentence for sentence in said) == 1
    assert all(f.severity is FindingLevel.NOTE for f in c.findings if f.code is FindingCode.BY_DESIGN)
    assert {f.words["design"] for f in c.findings if f.code is FindingCode.BY_DESIGN} == {
        ByDesign.PUMP_STANDS,
        ByDesign.OIL,
        ByDesign.GEARBOX,
        ByDesign.EXHAUST,
    }


def test_what_nobody_knows_of_valve_and_pump_is_said_to_be_assumed() -> None:
    c = checked(thermostat={"kind": "unknown"}, circuit={"pump_cold": "unknown"}, duties=[FULL])
    said = " ".join(r.text for r in reasons(c, UnitSystem.SI))
    assert "The kind of valve is not known: it counts as plain wax" in said
    assert "Whether the pump stands while cold is not known" in said
    plain = checked(duties=[FULL])
    assert float(c.duties[0].point.coolant_out[0]) == float(plain.duties[0].point.coolant_out[0])


def warm_up_said(sections: dict[str, Any], schedule: list[dict[str, str]]) -> str:
    found = resolve(CaseText({"format": FORMAT, **sections, "evidence": {"before": {**OLD, "schedule": schedule}}}))
    assert isinstance(found, Case), found
    return " ".join(warmup_sentences(study(found, {}, members=4, fits=False).records[0], UnitSystem.SI))


def test_a_warm_up_tells_what_is_by_design() -> None:
    drive = [
        {"vehicle_speed": "50 km/h", "duration": "15 min"},
        {"vehicle_speed": "180 km/h", "engine_speed": "5600 rpm", "duration": "10 min"},
    ]
    said = warm_up_said(
        {
            "circuit": {"pump_cold": "stands when cold", "extra": [{"kind": "exhaust heat"}]},
            "thermostat": {"kind": "heated wax"},
        },
        drive,
    )
    assert "the coolant pump does not turn for" in said
    assert "the heater gets nothing in that time" in said
    assert "from the exhaust, by design" in said
    assert "Under load the thermostat is opened" in said
    assert "by design" not in warm_up_said({}, drive)
