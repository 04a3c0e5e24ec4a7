"""Where on the circuit things are read, seen, checked or wrong: each names the right place of the picture."""

from __future__ import annotations

import pytest

from engcalc.case.records import SEEN_FACTS, SPOT_PLACES
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.checks.circuit_places import (
    FACT_AT,
    READ_AT,
    SPOT_AT,
    CircuitPlace,
    place_of_cause,
    places_of_check,
)
from engcalc.diagnosis.checks.hand_checks import AT_THE_NECK, CHECKS
from engcalc.words.page.circuit_words import BY_CAUSE, BY_FACT, NAMES

PLAIN, IN_THE_CABIN = (
    resolve(CaseText({"format": "heatdocket-case/1", "job": job})) for job in ({}, {"coolant_lost_at": "cabin"})
)


def test_coolant_lost_in_the_cabin_lights_the_heater_core():
    assert places_of_check("cold_pressure_test", IN_THE_CABIN) == (CircuitPlace.HEATER, CircuitPlace.TANK)
    assert places_of_check("cap_test", IN_THE_CABIN) == (CircuitPlace.TANK,)
    assert place_of_cause("external_leak", IN_THE_CABIN) is CircuitPlace.HEATER
    assert place_of_cause("external_leak", PLAIN) is CircuitPlace.TANK


def test_every_check_of_hoses_and_parts_has_a_place():
    assert {key for key in CHECKS if not places_of_check(key, PLAIN)} == set()


@pytest.mark.parametrize(
    ("check", "places"),
    [
        ("upper_hose_while_warming", (CircuitPlace.UPPER_HOSE,)),
        ("lower_hose_while_warming", (CircuitPlace.LOWER_HOSE,)),
        ("heater_hose_pair", (CircuitPlace.HEATER_IN, CircuitPlace.HEATER_OUT)),
        ("thermometer_at_outlet_neck", (CircuitPlace.SENSOR,)),
        ("vent_at_full_hot", (CircuitPlace.HEATER,)),
        ("fan_commanded", (CircuitPlace.FAN,)),
        ("belt_and_pump_drive", (CircuitPlace.PUMP,)),
        ("radiator_face_and_shutter", (CircuitPlace.RADIATOR,)),
        ("valve_out_and_looked_at_cold", (CircuitPlace.THERMOSTAT,)),
        ("level_and_bubbles", (CircuitPlace.TANK,)),
    ],
)
def test_the_next_check_lights_the_place_where_it_is_made(check, places):
    """Where each part is: the trade's own words; common practice, no source."""
    assert places_of_check(check, PLAIN) == places


@pytest.mark.parametrize(
    ("cause", "place"),
    [
        ("thermostat_stuck_open", CircuitPlace.THERMOSTAT),
        ("heater_core_restricted", CircuitPlace.HEATER),
        ("fan_not_running", CircuitPlace.FAN),
        ("pump_not_commanded", CircuitPlace.PUMP),
        ("radiator_restricted", CircuitPlace.RADIATOR),
        ("sensor_reads_low", CircuitPlace.SENSOR),
        ("low_coolant", CircuitPlace.TANK),
        ("thermostat_stuck_open+fan_not_running", CircuitPlace.THERMOSTAT),
        ("healthy", None),
        ("not_in_list", None),
    ],
)
def test_a_cause_is_marked_where_it_sits(cause, place):
    assert place_of_cause(cause, PLAIN) is place


def test_only_health_and_the_unlisted_sit_nowhere():
    assert {key for key in CAUSES if place_of_cause(key, PLAIN) is None} == {"healthy", "not_in_list"}


def test_the_tables_name_what_the_case_file_has():
    assert set(SPOT_AT) <= {*SPOT_PLACES, AT_THE_NECK}
    assert set(FACT_AT) <= set(SEEN_FACTS)
    assert set(BY_FACT) == set(FACT_AT)
    assert set(BY_CAUSE) <= set(CAUSES)
    assert all(SPOT_AT[spot] is place for place, spot in READ_AT.items())
    assert set(READ_AT) <= set(NAMES)
