"""The next check that follows without any odds: what comes first for a complaint, and what follows from what was read.

Odds ask for the same checks first (:func:`engcalc.diagnosis.checks.next_check.check_values`): no two faces name two of
them. The order is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import StrEnum

from engcalc.case.case import Case
from engcalc.case.records import Record
from engcalc.diagnosis.checks.hand_checks import CHECKS, first_checks, noted_in
from engcalc.diagnosis.evidence.hand_readings import heater_hoses_felt


class NextStep(StrEnum):
    """The next check that follows without any odds. Most are keys of :mod:`engcalc.diagnosis.checks.part_checks`."""

    STOP_AND_COOL = "stop_and_cool"
    LET_COOL = "let_cool"
    GAS = "combustion_gas_test"
    GAS_AGAIN = "combustion_gas_test_repeated"
    BLEED = "bled_and_watched_again"
    FAN = "fan_fuse"
    FAN_FUSE_BLOWN = "fan_fuse_replaced"
    FAN_RELAY_FAILS = "fan_relay_replaced"
    FAN_MOTOR_FAILS = "fan_motor_replaced"
    FAN_RUNS = "fan_commanded"
    FAN_WIRING = "fan_wiring"
    LOOK_AT_LEVEL = "level_and_bubbles"
    FILL_UP = "filled_up_and_leak_found"
    PRESSURE = "cold_pressure_test"
    DYE = "leak_by_dye"
    CAP = "cap_test"
    DRIVE = "belt_and_pump_drive"
    UPPER_HOSE = "upper_hose_while_warming"
    LOWER_HOSE = "lower_hose_while_warming"
    VALVE = "valve_out_and_looked_at_cold"
    NEW_VALVE = "thermostat_replaced"
    SUCTION_HOSE = "suction_hose"
    HEATER = "heater_hose_pair"
    FLAP = "flap_and_actuator"
    HEATER_FLOW = "heater_core_flow"
    HEATER_HOSES = "heater_hoses_followed"
    MIXTURE = "refractometer"
    READ_COOLANT = "read_coolant"
    READ_AGAIN = "read_again"
    READ_WHEN_HOT = "read_when_hot"
    ENTER = "enter_first"
    ENTER_RIG = "enter_rig_first"
    ENTER_DUTIES = "enter_duties_first"


LAST_STEPS: Mapping[str, NextStep] = {  # once everything that comes first for the complaint was looked at
    "hot at idle": NextStep.READ_WHEN_HOT,
    "hot at speed": NextStep.READ_WHEN_HOT,
    "loss of coolant": NextStep.DYE,
}


def first_step(case: Case, record: Record | None, then: NextStep) -> NextStep:
    """What comes first for the complaint, as far as nobody has looked; ``then`` once all of that was looked at."""
    noted = _noted(record)
    open_ = (key for key in first_checks(case.job.reason, case) if not CHECKS[key].is_done(noted))
    return NextStep(next(open_, then.value))


def valve_step(case: Case, record: Record | None) -> NextStep:
    """The hose that a thermostat should keep cold, four minutes of work, before anybody takes it out."""
    hose = NextStep.LOWER_HOSE if case.thermostat.side == "inlet" else NextStep.UPPER_HOSE
    if CHECKS[hose.value].is_done(_noted(record)):
        return NextStep.VALVE
    return hose


def heater_step(record: Record | None) -> NextStep:
    """Both heater hoses first: they say whether air or coolant is missing. Once they were felt, what that says."""
    told = None if record is None else record.seen.get("heater_hoses_both_hot")
    both_hot = heater_hoses_felt(record) if told is None else told
    if both_hot is None:
        return NextStep.HEATER
    return NextStep.FLAP if both_hot else NextStep.HEATER_FLOW


_FAN_PARTS: Mapping[str, NextStep] = {  # a seized motor blows fuses: it speaks before them
    "fan_motor_runs": NextStep.FAN_MOTOR_FAILS,
    "fan_fuse_good": NextStep.FAN_FUSE_BLOWN,
    "fan_relay_works": NextStep.FAN_RELAY_FAILS,
}


def fan_step(seen: Mapping[str, bool]) -> NextStep:
    """The search for the part of a fan that stands still; once one was found at fault, what to do about that one."""
    return next((step for part, step in _FAN_PARTS.items() if seen.get(part) is False), NextStep.FAN)


OPEN_VALVES = ("thermostat_stuck_open", "thermostat_opens_early", "thermostat_missing")
_STEP_OF_CAUSE: Mapping[str, NextStep] = {  # what finds the part of a cause
    **dict.fromkeys(OPEN_VALVES, NextStep.VALVE),
    "fan_not_running": NextStep.FAN,
    "heater_blend_stuck": NextStep.FLAP,
    "heater_core_restricted": NextStep.HEATER_FLOW,
    "heater_valve_closed": NextStep.HEATER_FLOW,
}


def settled_step(case: Case, record: Record | None, faults: Sequence[str]) -> NextStep | None:
    """What finds the part once the odds have settled the cause, after what comes first for the complaint; None where
    its causes ask for different steps, or for none."""
    steps = {_STEP_OF_CAUSE.get(fault) for fault in faults}
    step = steps.pop() if len(steps) == 1 else None
    if step is None:
        return None
    return first_step(case, record, valve_step(case, record) if step is NextStep.VALVE else step)


def _noted(record: Record | None) -> frozenset[str]:
    return frozenset() if record is None else noted_in(record)
