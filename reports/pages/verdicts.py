"""How a verdict looks and how sure it is, in words."""

from __future__ import annotations

from reportlab.lib.colors import Color, HexColor

from engcalc.studies.check import Check
from engcalc.verdict import Verdict
from engcalc.words.numbers import odds_words
from engcalc.words.reasons import deciding, freezing_finding, is_too_early

INK_OF: dict[Verdict | None, Color] = {
    Verdict.UNDERSIZED: HexColor("#a4262c"), Verdict.OVERCOOLING: HexColor("#1f5fa8"),
    Verdict.MARGINAL: HexColor("#9a6700"), Verdict.HOLDS: HexColor("#1f7a3d"), None: HexColor("#52606b")}


def ink_of(check: Check) -> Color:
    """The ink of a case's verdict; that of no answer where it is too early for one, of a fault where it can freeze."""
    if freezing_finding(check) is not None:
        return INK_OF[Verdict.UNDERSIZED]
    return INK_OF[None if is_too_early(check) else check.verdict]


def how_sure(check: Check) -> str:
    """How sure the verdict is, to the nearest 5 %; empty where no odds were computed."""
    if check.verdict is Verdict.OVERCOOLING:
        return _by_chance(check)
    duty = deciding(check)
    if duty is None or duty.holds_probability is None:
        return ""
    holds = duty.holds_probability
    if check.verdict is Verdict.UNDERSIZED:
        return f"That it runs too hot in this duty ({duty.name}) is {odds_words(1.0 - holds)}."
    return f"That it stays within its limit in the hardest duty ({duty.name}) is {odds_words(holds)}."


def _by_chance(check: Check) -> str:
    """How often a sound vehicle would read as low as the lowest reading that decides; empty without one."""
    every = (*check.history, *check.readings)
    low = [reading for reading in every if reading.verdict is Verdict.OVERCOOLING]
    if not low:
        return ""
    chance = min(reading.chance_if_healthy for reading in low)
    return f"That a sound vehicle of this kind would read so low by chance is {odds_words(chance)}."
