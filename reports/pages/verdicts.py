"""How a verdict looks and how sure it is, in words."""

from __future__ import annotations

from reportlab.lib.colors import Color, HexColor

from engcalc.studies.check import Check, DutyCheck
from engcalc.verdict import Verdict
from engcalc.words.numbers import odds_words

PLAINLY: dict[Verdict | None, str] = {
    Verdict.UNDERSIZED: "The engine runs too hot.", Verdict.OVERCOOLING: "The engine does not get warm enough.",
    Verdict.MARGINAL: "The cooling holds, but with little in hand.",
    Verdict.HOLDS: "The cooling system holds its temperature.",
    None: "There is no answer for this vehicle as it was described."}
INK_OF: dict[Verdict | None, Color] = {
    Verdict.UNDERSIZED: HexColor("#a4262c"), Verdict.OVERCOOLING: HexColor("#1f5fa8"),
    Verdict.MARGINAL: HexColor("#9a6700"), Verdict.HOLDS: HexColor("#1f7a3d"), None: HexColor("#52606b")}


def deciding(check: Check) -> DutyCheck | None:
    """The duty that carries the verdict: the one with the least margin among those with it."""
    those = [duty for duty in check.duties if duty.verdict is check.verdict and duty.verdict is not None]
    return min(those, key=lambda duty: duty.margin if duty.margin is not None else float("-inf"), default=None)


def how_sure(check: Check) -> str:
    """How sure the verdict on the limit is, to the nearest 5 %; empty where no odds were computed."""
    duty = deciding(check)
    if duty is None or duty.holds_probability is None or check.verdict is Verdict.OVERCOOLING:
        return ""
    holds = duty.holds_probability
    if check.verdict is Verdict.UNDERSIZED:
        return f"That it runs too hot in this duty ({duty.name}) is {odds_words(1.0 - holds)}."
    return f"That it stays within its limit in the hardest duty ({duty.name}) is {odds_words(holds)}."
