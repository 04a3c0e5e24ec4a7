"""The words on the picture of the circuit: names of its places, what is marked there, and its captions."""

from __future__ import annotations

from collections.abc import Mapping

from engcalc.diagnosis.checks.circuit_places import CircuitPlace

NAMES: Mapping[CircuitPlace, str] = {
    CircuitPlace.ENGINE: "Engine",
    CircuitPlace.SENSOR: "Coolant sensor",
    CircuitPlace.THERMOSTAT: "Thermostat",
    CircuitPlace.UPPER_HOSE: "Upper radiator hose",
    CircuitPlace.RADIATOR: "Radiator",
    CircuitPlace.LOWER_HOSE: "Lower radiator hose",
    CircuitPlace.FAN: "Fan",
    CircuitPlace.BYPASS: "Bypass",
    CircuitPlace.PUMP: "Pump",
    CircuitPlace.HEATER_IN: "Heater hose, inlet",
    CircuitPlace.HEATER: "Heater core",
    CircuitPlace.HEATER_OUT: "Heater hose, outlet",
    CircuitPlace.TANK: "Tank",
}
PUMPS = {"belt": "Pump on the belt", "electric": "Electric pump"}
TANKS = {"surge tank": "Tank in the loop", "overflow bottle": "Overflow bottle"}
NO_THERMOSTAT = "No valve fitted"
COOLANT_HEATER = "with its own heater"

SHUT = "shut"
WIDE_OPEN = "fully open"
STILL = "stands still"
FULL_SPEED = "full speed"
HARDLY = "hardly any flow"
MEASURE_HERE = "Measure here"
CHECK_HERE = "Check here"

OPEN_WHEN_COLD = "open when cold"
DOES_NOT_OPEN = "does not open"
CLOGGED = "clogged"
COVERED = "face covered"
SHUTTER_SHUT = "shutter shut"
VALVE_SHUT = "valve shut"

BY_CAUSE: Mapping[str, str] = {
    "thermostat_stuck_open": "stays open",
    "thermostat_missing": "missing",
    "thermostat_opens_early": "opens early",
    "thermostat_slow": "slow",
    "thermostat_stuck_shut": "stays shut",
    "low_coolant": "coolant low",
    "external_leak": "leaks",
    "heater_core_restricted": "clogged",
    "heater_valve_closed": "valve shut",
    "heater_blend_stuck": "flap stuck",
    "heater_airflow_low": "little air",
    "heater_hoses_swapped": "hoses swapped",
    "pump_weak": "little flow",
    "pump_impeller_loose": "impeller loose",
    "pump_not_commanded": "not driven",
    "suction_hose_collapsed": "hose sucks shut",
    "radiator_restricted": "clogged",
    "face_blocked": "face covered",
    "seals_missing": "seals missing",
    "shutter_stuck": "shutter shut",
    "fan_not_running": "stands still",
    "fan_always_on": "runs always",
    "fan_clutch_slipping": "clutch slips",
    "fan_reversed": "wrong way",
    "cap_weak": "cap weak",
    "wrong_mixture": "wrong mixture",
    "sensor_reads_low": "reads too low",
    "sensor_reads_high": "reads too high",
    "sensor_erratic": "jumps",
    "sensor_in_air": "in air",
    "gas_in_coolant": "gas in it",
    "excess_heat": "too much heat",
}
"""A cause in two or three words, for a flag at its place."""
LIKELY_HERE = "likely here"

BY_FACT: Mapping[str, str] = {
    "upper_hose_warms_early": "warms early",
    "lower_hose_cold_when_hot": "cold when hot",
    "thermostat_open_when_cold": "open when cold",
    "thermostat_missing": "missing",
    "thermostat_opens_hot": "does not open",
    "fan_runs_when_hot": "stands still",
    "fan_fuse_good": "fuse blown",
    "fan_relay_works": "relay fails",
    "fan_motor_runs": "motor fails",
    "fan_runs_always": "runs always",
    "fan_blows_backward": "wrong way",
    "level_low": "level low",
    "bubbles_when_running": "bubbles",
    "combustion_gas_found": "gas found",
    "cap_holds_pressure": "cap weak",
    "pressure_held_cold": "loses pressure",
    "coolant_leak": "leaks",
    "belt_drives_pump": "belt slips",
    "lower_hose_collapses": "sucks shut",
    "heater_hoses_both_hot": "not both hot",
    "heater_hoses_swapped": "swapped",
    "vent_cold": "blows cold",
    "face_dirty": "dirty",
    "shutter_closed": "shutter shut",
    "seals_missing": "seals missing",
}
"""What was seen, in two or three words, for a flag at its place."""


def seen_words(fact: str) -> str:
    """A thing seen, for a flag."""
    return f"seen: {BY_FACT[fact]}" if fact in BY_FACT else "seen"


def healthy_words(number: str) -> str:
    """What a healthy vehicle has at the same place."""
    return f"healthy {number}"


KEY = "A thicker line carries more coolant; a thin dashed one hardly any."
AS_DESCRIBED = "as the vehicle is described"
CAPTION_DUTY = "Settled at this duty, as the vehicle is described."
CAPTION_MOMENT = "From the warm-up as it was simulated; with a ring what was read on this vehicle."
CAPTION_BESIDE = "In grey: the same with a healthy thermostat, where it differs."
CAPTION_HEALTHY = (
    "In grey: a typical healthy vehicle of this class, where it differs. The table of the evidence "
    "uses another: the healthy one that comes nearest to the readings."
)
CAPTION_CAUSE = "What the likeliest cause would give, judged by all that was read. With a ring: what was read."
CAPTION_EXTRAS = "Other parts in the coolant are drawn at the engine, wherever they sit."
TAP_HINT = "Click a hose, the sensor or the heater to take a reading there."
