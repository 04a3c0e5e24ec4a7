"""Causes that were looked at and found: no odds are told of them any more, only of what else there may be.

What a look at a part shows of it is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping

from engcalc.case.case import Case

# By fact and its answer: the causes that it finds, as far as the vehicle can have them
_FOUND: Mapping[tuple[str, bool], tuple[str, ...]] = {
    ("thermostat_open_when_cold", True): ("thermostat_stuck_open",),
    ("thermostat_missing", True): ("thermostat_missing",),
    ("thermostat_opens_hot", False): ("thermostat_stuck_shut",),
    ("fan_runs_when_hot", False): ("fan_not_running", "fan_clutch_slipping"),
    ("fan_runs_always", True): ("fan_always_on",),
    ("fan_blows_backward", True): ("fan_reversed",),
    ("level_low", True): ("low_coolant",),
    ("coolant_leak", True): ("external_leak",),
    ("cap_holds_pressure", False): ("cap_weak",),
    ("combustion_gas_found", True): ("gas_in_coolant",),
    ("belt_drives_pump", False): ("pump_weak", "pump_not_commanded"),
    ("lower_hose_collapses", True): ("suction_hose_collapsed",),
    ("face_dirty", True): ("face_blocked",),
    ("seals_missing", True): ("seals_missing",),
    ("heater_hoses_swapped", True): ("heater_hoses_swapped",),
}


_NO_FAN_WITHOUT = ("fan_fuse_good", "fan_motor_runs")
_ALSO_WHERE_ALL_IS_WELL = frozenset({"face_blocked", "seals_missing"})  # many vehicles hold with some dirt, some gaps


def fan_cannot_run(seen: Mapping[str, bool]) -> bool:
    """Whether a part without which no fan runs was found at fault, and nobody says whether the fan itself runs."""
    return seen.get("fan_runs_when_hot") is None and any(seen.get(part) is False for part in _NO_FAN_WITHOUT)


_TELLS_NO_PART = "bubbles_when_running"  # seen by eye or not: the cylinder leak test is made all the same


def looked_at(seen: Mapping[str, bool]) -> frozenset[str]:
    """The facts that somebody answered, without those that found a cause: they name it, and none of its parts."""
    return frozenset(fact for fact, answer in seen.items() if (fact, answer) not in _FOUND and fact != _TELLS_NO_PART)


def found_causes(case: Case, record_name: str) -> tuple[str, ...]:
    """The causes that somebody looked at in a record ("before" or "after") and found, by their keys."""
    record = case.evidence.after if record_name == "after" else case.evidence.before
    return () if record is None else _causes_seen(record.seen)


def surely_at_fault(seen: Mapping[str, bool]) -> frozenset[str]:
    """Of what was found, the causes with which a vehicle is not healthy, whatever it reads."""
    return frozenset(_causes_seen(seen)) - _ALSO_WHERE_ALL_IS_WELL


def _causes_seen(seen: Mapping[str, bool]) -> tuple[str, ...]:
    found = [keys for (fact, answer), keys in _FOUND.items() if seen.get(fact) is answer]
    by_look = tuple(key for keys in found for key in keys)
    return (*by_look, "fan_not_running") if fan_cannot_run(seen) else by_look
