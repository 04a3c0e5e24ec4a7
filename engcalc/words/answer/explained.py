"""Why it runs too hot, for whoever brought the vehicle: where the heat stays, in the fewest sentences.

What a fact means is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping

from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.grounds import GroundCode, VehicleState
from engcalc.studies.checked import Check, DutyCheck
from engcalc.units import UnitSystem
from engcalc.verdict import Finding, FindingCode, Verdict
from engcalc.words.answer.answer import speaks_for_the_class
from engcalc.words.answer.finding_sentences import STORED_HEAT, given_at_limit
from engcalc.words.answer.reasons import deciding
from engcalc.words.terms.numbers import heat

_GAS = "Gas pockets carry no heat, and the gas pushes coolant out: what is left cannot cool the engine."
_FAN = "Standing still, only the fan draws air through the radiator. Without it the heat stays in the engine."
_BY_GROUND: Mapping[GroundCode, str] = {
    GroundCode.GAS: _GAS,
    GroundCode.BUBBLES_LOW_HOT: _GAS,
    GroundCode.FAN_STILL_HOT: _FAN,
    GroundCode.FAN_STILL: _FAN,
    GroundCode.FAN_MISSED: _FAN,
    GroundCode.FAN_BACKWARD: "It works against the wind of the road, so that too little air passes the radiator.",
    GroundCode.NO_PUMP_DRIVE: "Without the pump no coolant carries the heat from the engine to the radiator.",
    GroundCode.VALVE_STAYS_SHUT: "A thermostat that stays shut keeps the hot coolant away from the radiator.",
    GroundCode.SUCTION_HOSE: "Less coolant flows the faster the engine turns, just when more is needed.",
    GroundCode.CAP_WEAK: "Without its pressure the coolant boils sooner, and is pushed out.",
}
_BY_COMPLAINT: Mapping[str, str] = {
    "hot at idle": "Standing still, only the fan draws air through the radiator. An engine that gets too hot then lacks "
    "that air, or coolant, or its flow.",
    "hot at speed": "Under way the wind cools the radiator. An engine that gets too hot then lacks coolant or its flow, "
    "or its radiator is blocked inside or outside.",
}
_ANY_HEAT = "The engine makes more heat than the coolant carries off, or than the radiator gives to the air."
_NEEDED: Mapping[str, str] = {
    "airflow": "The radiator already takes most of what its air can carry: it needs more air.",
    "air side": "Most of what holds the heat back lies on the air's side: more air, more fins or a deeper core help.",
    "coolant side": "Most of what holds the heat back lies on the coolant's side: more coolant flow or more tubes help.",
}


def why_hot(check: Check, system: UnitSystem) -> str:
    """Why it gets too hot; empty for what does not."""
    found = conclude(check)
    if speaks_for_the_class(found):
        return why_undersized(check, system)
    said = _BY_GROUND.get(found.lead.code, "")
    if said or found.state is not VehicleState.RUNS_HOT:
        return said
    return _BY_COMPLAINT.get(check.case.job.reason or "", _ANY_HEAT)


def why_undersized(check: Check, system: UnitSystem) -> str:
    """What the duty that breaks its limit lacks; empty where none does."""
    duty = deciding(check)
    if duty is None or check.verdict is not Verdict.UNDERSIZED:
        return ""
    limits = limits_of(duty)
    return "" if limits is None else explained(limits, system)


def limits_of(duty: DutyCheck) -> Finding | None:
    """What the check found to limit a duty that is short of cooling."""
    return next((f for f in duty.findings if f.code is FindingCode.WHAT_LIMITS), None)


def explained(limits: Finding, system: UnitSystem) -> str:
    """How much heat there is, how much of it the radiator gives off at the limit, and what would help."""
    handed = heat(limits.numbers["handed"], system)
    given = given_at_limit(limits, system)
    if limits.words["limiting"] == "stored":
        return f"The radiator gets about {handed}, and at the limit it could give off {given}. {STORED_HEAT}"
    return (
        f"The radiator gets about {handed}. At the limit it gives off about {given}; what is left over heats the "
        f"coolant further. {_NEEDED[limits.words['limiting']]}"
    )
