"""How a verdict looks."""

from __future__ import annotations

from reportlab.lib.colors import Color, HexColor

from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.grounds import Danger, VehicleState
from engcalc.studies.checked import Check
from engcalc.verdict import Verdict
from engcalc.words.answer.answer import is_of_class_parts, speaks_for_the_class

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
        return _GREY if is_of_class_parts(check) else INK_OF[check.verdict]
    if found.state is VehicleState.HEALTHY and not found.green:
        return _AMBER
    return INK_OF_DANGER.get(found.danger) or INK_OF_STATE[found.state]
