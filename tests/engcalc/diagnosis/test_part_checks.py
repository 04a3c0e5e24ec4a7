"""The checks of the trade that find the part: each cause has its own, whole, with a place for its result."""

from __future__ import annotations

import pytest

from engcalc.case.records import SEEN_FACTS, SPOT_PLACES
from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.checks.hand_checks import AT_THE_NECK, CHECKS
from engcalc.diagnosis.checks.part_checks import EVERY_CHECK, PART_CHECKS, checks_that_tell, parts_of
from engcalc.words.page.cautions import CAUTION_TEXTS

NO_PART = ("healthy", "not_in_list")
# What the trade looks at, by the cause: common practice, no source
TRADE = {
    "fan_not_running": ["fan_fuse", "fan_relay", "fan_motor", "fan_switch"],
    "pump_not_commanded": ["pump_command", "pump_seen_turning"],
    "pump_weak": ["pump_seen_turning", "block_and_hose_temperatures"],
    "pump_impeller_loose": ["pump_seen_turning"],
    "heater_blend_stuck": ["flap_and_actuator"],
    "thermostat_opens_early": ["thermostat_heater_circuit", "thermostat_seat_and_seal"],
    "sensor_reads_low": ["sensor_resistance"],
    "cap_weak": ["cap_seal_and_neck"],
    "external_leak": ["leak_by_dye", "heater_core_leak"],
    "gas_in_coolant": ["gas_from_which_cylinder", "drained_and_looked_at"],
    "thermostat_stuck_shut": ["block_and_hose_temperatures"],
    "radiator_restricted": ["drained_and_looked_at", "radiator_swept"],
}


@pytest.mark.parametrize("key", list(EVERY_CHECK))
def test_a_check_is_whole(key: str) -> None:
    check = EVERY_CHECK[key]
    assert check.key == key
    assert 0.0 < check.minutes <= 60.0
    assert set(check.cautions) <= set(CAUTION_TEXTS)
    assert check.cautions or key == "valve_out_and_looked_at_cold"
    assert check.answers or check.spots, "its result goes back in"
    assert set(check.answers) <= set(SEEN_FACTS)
    assert set(check.spots) <= {*SPOT_PLACES, AT_THE_NECK}
    for words in (check.tools, check.how, check.tells):
        assert words[0].isupper()
        assert words.endswith(".")


@pytest.mark.parametrize("key", list(EVERY_CHECK))
def test_nobody_reads_a_check_twice(key: str) -> None:
    check = EVERY_CHECK[key]
    for sentence in " ".join((check.tools, check.how, check.tells)).split(". "):
        assert len(sentence.split()) <= 25, sentence


def test_a_result_has_two_sides() -> None:
    """What it means if it shows something, and what if it does not."""
    one_sided = [key for key, check in EVERY_CHECK.items() if check.tells.count(".") < 2 and ":" not in check.tells]
    allowed = {"refractometer", "thermostat_seat_and_seal", "load_on_the_engine"}  # a number, a list of findings
    assert set(one_sided) <= allowed


@pytest.mark.parametrize("cause", [key for key in CAUSES if key not in NO_PART])
def test_every_cause_has_a_check_that_tells_it(cause: str) -> None:
    for side in ("outlet", "inlet"):
        assert checks_that_tell(cause, side)
        assert parts_of((cause,)), "and one that finds its part"


@pytest.mark.parametrize("cause", list(TRADE))
def test_the_trades_own_checks_in_the_trades_order(cause: str) -> None:
    assert [check.key for check in parts_of((cause,))] == TRADE[cause]


def test_a_part_check_names_causes_that_there_are_and_no_odds() -> None:
    for check in PART_CHECKS.values():
        assert check.part_of
        assert set(check.part_of) <= set(CAUSES)
        assert check.reads is None
    assert not any(check.part_of for check in CHECKS.values())


@pytest.mark.parametrize(
    ("key", "fact"),
    [("fan_fuse", "fan_fuse_good"), ("fan_relay", "fan_relay_works"), ("fan_motor", "fan_motor_runs")],
)
def test_a_part_of_the_fan_is_asked_about_itself(key: str, fact: str) -> None:
    """A good fuse is no fan that runs: the answer to the one was put in as the other."""
    assert PART_CHECKS[key].answers == (fact,)
    assert key.removeprefix("fan_") in SEEN_FACTS[fact]


def test_who_opens_the_system_is_warned() -> None:
    for key in ("pump_seen_turning", "gas_from_which_cylinder", "heater_core_flow", "drained_and_looked_at"):
        assert "hot_cap" in PART_CHECKS[key].cautions
    for check in EVERY_CHECK.values():
        if "idle" in check.how.lower() or "start the engine" in check.how.lower():
            assert {"exhaust", "moving_parts"} & set(check.cautions), check.key
        if check.key.startswith("fan_"):
            assert "fan_by_itself" in check.cautions, check.key
