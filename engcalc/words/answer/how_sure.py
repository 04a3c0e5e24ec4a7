"""How sure a verdict is, in words."""

from __future__ import annotations

from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.grounds import GroundCode, VehicleState
from engcalc.studies.checked import Check
from engcalc.verdict import Verdict
from engcalc.words.answer.answer import speaks_for_the_class
from engcalc.words.answer.reasons import deciding
from engcalc.words.terms.numbers import chance


def how_sure(check: Check) -> str:
    """How sure the verdict is, to the nearest 5 %; empty where no odds were computed. What was seen, and what is still
    open, has none."""
    found = conclude(check)
    if found.lead.code is GroundCode.COLDER or (found.repaired and found.state is VehicleState.HEALTHY):
        return _by_chance(check)
    if not speaks_for_the_class(found) or check.verdict is Verdict.OVERCOOLING:
        return ""
    duty = deciding(check)
    if duty is None or duty.holds_probability is None:
        return ""
    holds = duty.holds_probability
    if check.verdict is Verdict.UNDERSIZED:
        return f"The odds that it runs too hot in this duty ({duty.name}) are {chance(1.0 - holds)}."
    return f"The odds that it stays within its limit in the hardest duty ({duty.name}) are {chance(holds)}."


def _by_chance(check: Check) -> str:
    """How often a healthy vehicle would read as low as the lowest reading that decides; empty without one."""
    every = (*check.history, *check.readings)
    low = [reading for reading in every if reading.verdict is Verdict.OVERCOOLING]
    if not low:
        return ""
    probability = min(reading.chance_if_healthy for reading in low)
    so_low = "so low" if any(reading in check.readings for reading in low) else "as low as before the repair"
    return f"Of healthy vehicles of this kind, {chance(probability)} would read {so_low}."
