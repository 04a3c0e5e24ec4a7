"""How a verdict looks and how sure it is, in words."""

from __future__ import annotations

from reportlab.lib.colors import Color, HexColor

from engcalc.diagnosis.conclusion import Danger, GroundCode, VehicleState, conclude
from engcalc.studies.checked import Check
from engcalc.verdict import Verdict
from engcalc.words.answer import speaks_for_the_class
from engcalc.words.numbers import chance
from engcalc.words.reasons import deciding

INK_OF: dict[Verdict | None, Color] = {
    Verdict.UNDERSIZED: HexColor("#a4262c"),
    Verdict.OVERCOOLING: HexColor("#1f5fa8"),
    Verdict.MARGINAL: HexColor("#9a6700"),
    Verdict.HOLDS: HexColor("#1f7a3d"),
    None: HexColor("#52606b"),
}


_RED, _AMBER, _GREY = INK_OF[Verdict.UNDERSIZED], INK_OF[Verdict.MARGINAL], INK_OF[None]
INK_OF_DANGER: dict[Danger, Color] = {Danger.STOP: _RED, Danger.CARE: _AMBER}
INK_OF_STATE: dict[VehicleState, Color] = {
    VehicleState.RUNS_HOT: _AMBER,
    VehicleState.RUNS_COLD: INK_OF[Verdict.OVERCOOLING],
    VehicleState.HEATS_POORLY: _AMBER,
    VehicleState.LOSES_COOLANT: _AMBER,
    VehicleState.CANNOT_TELL: _GREY,
    VehicleState.HEALTHY: INK_OF[Verdict.HOLDS],
    VehicleState.NOTHING_TO_JUDGE: _GREY,
}


def ink_of(check: Check) -> Color:
    """The ink of what is said of a case: green only where nothing speaks against leaving it as it is."""
    found = conclude(check)
    if speaks_for_the_class(found):
        return INK_OF[check.verdict]
    if found.state is VehicleState.HEALTHY and not found.green:
        return _AMBER
    return INK_OF_DANGER.get(found.danger) or INK_OF_STATE[found.state]


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
    return f"The odds that a healthy vehicle of this kind reads {so_low} by chance are {chance(probability)}."
