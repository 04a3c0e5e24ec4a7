"""Where on the coolant circuit something is read, seen, checked or likely wrong: one table for all four.

A place of the picture is a :class:`CircuitPlace`. A cause or a fact without a place of its own there has none here.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from engcalc.case.case import Case
from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.checks.hand_checks import AT_THE_NECK, at_the_heater_core, lost_in_the_cabin
from engcalc.diagnosis.checks.part_checks import EVERY_CHECK
from engcalc.words.texts import diagnosis_texts


class CircuitPlace(StrEnum):
    """A part or a hose of the circuit."""

    ENGINE = "engine"
    SENSOR = "sensor"
    NECK = "outlet neck"  # from the engine to where the branches part
    FORWARD = diagnosis_texts.OUTLET_NECK_TO_BYPASS  # what radiator and bypass share
    THERMOSTAT = "thermostat"
    UPPER_HOSE = "upper hose"
    RADIATOR = "radiator"
    LOWER_HOSE = "lower hose"
    FAN = "fan"
    BYPASS = "bypass"
    RETURN = "bypass to pump"
    PUMP = "pump"
    HEATER_IN = "heater hose, inlet"
    HEATER = "heater core"
    HEATER_OUT = "heater hose, outlet"
    TANK = "tank"


SPOT_AT: Mapping[str, CircuitPlace] = {
    "coolant": CircuitPlace.SENSOR,
    AT_THE_NECK: CircuitPlace.SENSOR,
    "upper_hose": CircuitPlace.UPPER_HOSE,
    "lower_hose": CircuitPlace.LOWER_HOSE,
    "heater_inlet_hose": CircuitPlace.HEATER_IN,
    "heater_outlet_hose": CircuitPlace.HEATER_OUT,
    "vent": CircuitPlace.HEATER,
    "pressure": CircuitPlace.TANK,
    "freezing_point": CircuitPlace.TANK,
    "concentration": CircuitPlace.TANK,
    "cap_opens": CircuitPlace.TANK,
    "valve_starts": CircuitPlace.THERMOSTAT,
    "valve_open": CircuitPlace.THERMOSTAT,
}
"""Where each reading of the case file is taken."""

READ_AT: Mapping[CircuitPlace, str] = {
    place: spot
    for spot, place in SPOT_AT.items()
    if spot in ("coolant", "upper_hose", "lower_hose", "heater_inlet_hose", "heater_outlet_hose", "vent")
}
"""The temperature that is read at a place, by its word in the case file."""

FACT_AT: Mapping[str, tuple[CircuitPlace, bool]] = {
    "upper_hose_warms_early": (CircuitPlace.UPPER_HOSE, True),
    "lower_hose_cold_when_hot": (CircuitPlace.LOWER_HOSE, True),
    "thermostat_open_when_cold": (CircuitPlace.THERMOSTAT, True),
    "thermostat_missing": (CircuitPlace.THERMOSTAT, True),
    "thermostat_opens_hot": (CircuitPlace.THERMOSTAT, False),
    "fan_runs_when_hot": (CircuitPlace.FAN, False),
    "fan_fuse_good": (CircuitPlace.FAN, False),
    "fan_relay_works": (CircuitPlace.FAN, False),
    "fan_motor_runs": (CircuitPlace.FAN, False),
    "fan_runs_always": (CircuitPlace.FAN, True),
    "fan_blows_backward": (CircuitPlace.FAN, True),
    "level_low": (CircuitPlace.TANK, True),
    "bubbles_when_running": (CircuitPlace.TANK, True),
    "combustion_gas_found": (CircuitPlace.TANK, True),
    "cap_holds_pressure": (CircuitPlace.TANK, False),
    "pressure_held_cold": (CircuitPlace.TANK, False),
    "coolant_leak": (CircuitPlace.TANK, True),
    "belt_drives_pump": (CircuitPlace.PUMP, False),
    "lower_hose_collapses": (CircuitPlace.LOWER_HOSE, True),
    "heater_hoses_both_hot": (CircuitPlace.HEATER_OUT, False),
    "heater_hoses_swapped": (CircuitPlace.HEATER_IN, True),
    "vent_cold": (CircuitPlace.HEATER, True),
    "face_dirty": (CircuitPlace.RADIATOR, True),
    "shutter_closed": (CircuitPlace.RADIATOR, True),
    "seals_missing": (CircuitPlace.RADIATOR, True),
}
"""Where each thing seen is seen, and which answer is the bad one."""

_CAUSE_AT = {  # where the first check of a cause is not made at the cause itself, or there is no check
    "thermostat_stuck_open": CircuitPlace.THERMOSTAT,
    "thermostat_missing": CircuitPlace.THERMOSTAT,
    "thermostat_slow": CircuitPlace.THERMOSTAT,
    "heater_core_restricted": CircuitPlace.HEATER,
    "heater_valve_closed": CircuitPlace.HEATER,
    "pump_impeller_loose": CircuitPlace.PUMP,
    "suction_hose_collapsed": CircuitPlace.LOWER_HOSE,
    "radiator_restricted": CircuitPlace.RADIATOR,
    "sensor_erratic": CircuitPlace.SENSOR,
    "sensor_in_air": CircuitPlace.SENSOR,
    "excess_heat": CircuitPlace.ENGINE,
}


def places_of_check(key: str, case: Case) -> tuple[CircuitPlace, ...]:
    """Where a hand check is made: where it reads, where what it settles is seen, or where the part sits it is for; at
    the heater core too where this vehicle loses coolant in the cabin."""
    of_cabin = (CircuitPlace.HEATER,) if at_the_heater_core(key, case) else ()
    return tuple(dict.fromkeys((*of_cabin, *_PLACES_OF_CHECK[key])))


def _places_of(key: str) -> tuple[CircuitPlace, ...]:
    check = EVERY_CHECK[key]
    read = [SPOT_AT[spot] for spot in check.spots if spot in SPOT_AT]
    seen = [FACT_AT[fact][0] for fact in check.answers if fact in FACT_AT]
    parts = [_CAUSE_AT[cause] for cause in check.part_of if cause in _CAUSE_AT]
    return tuple(dict.fromkeys(read or seen or parts))


_PLACES_OF_CHECK = {key: _places_of(key) for key in EVERY_CHECK}


def place_of_cause(key: str, case: Case) -> CircuitPlace | None:
    """Where a cause sits, of a pair the first one; None where it sits nowhere on the circuit.

    A cause that is not named above sits where the first of its checks is made.
    """
    first = key.split("+", maxsplit=1)[0]
    if first == "external_leak" and lost_in_the_cabin(case):
        return CircuitPlace.HEATER
    if first in _CAUSE_AT:
        return _CAUSE_AT[first]
    made = [place for check in CAUSES[first].checks for place in _PLACES_OF_CHECK[check]]
    return made[0] if made else None
