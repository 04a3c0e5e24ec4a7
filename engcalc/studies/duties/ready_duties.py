"""Duties that builders meet, ready to be put into a case by a word: a pull on the dyno, a drag run, the grid, a tow.

Powers go with the case's rated power, at the shares that stand here. Air, altitude and limit are those of the duty in
the hottest air, where one is typed: a lap is not driven in the frost that another duty asks for. Everything stands in
the case as if it were typed, and can be changed there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from engcalc.case.case import Case
from engcalc.case.text import CaseText
from engcalc.studies.duties.lap_file import power_typed
from engcalc.words.texts import study_texts

_KEPT = ("ambient", "relative_humidity", "altitude", "limit", "air_conditioning")
"""Inputs that a ready duty takes from the duty in the hottest air."""


@dataclass(frozen=True)
class ReadyLeg:
    """One duty: its inputs as typed; ``power`` and ``speed`` as shares [-] of the rated ones, None where not given.

    ``follows``: it begins where the leg above it ends.
    """

    inputs: Mapping[str, str]
    power: float | None = None
    speed: float | None = None
    follows: bool = False


READY: Mapping[str, tuple[ReadyLeg, ...]] = MappingProxyType(
    {
        # a pull in one gear over some 12 s, a blower before the grille; common practice, no source. At an even torque
        # from 40 % of the rated speed up, speed and power are 70 % of the rated ones on average
        "dyno pull": (
            ReadyLeg(
                {"name": study_texts.DYNO_PULL_BLOWER_OF_50_KM_H, "headwind": "50 km/h", "duration": "12 s"}, 0.7, 0.7
            ),
        ),
        # 12 s of full power, the way back, the lane; common practice, no source
        "drag run": (
            ReadyLeg({"name": "Drag run", "vehicle_speed": "140 km/h", "duration": "12 s"}, 1.0, 1.0),
            ReadyLeg({"name": "Way back", "vehicle_speed": "30 km/h", "duration": "3 min"}, follows=True),
            ReadyLeg({"name": "Cool-down, engine idles", "duration": "5 min"}, follows=True),
        ),
        # a lap asks for some 45 % of the rated power on average; common practice, no source
        "hot lap and grid": (
            ReadyLeg({"name": "Hot lap", "vehicle_speed": "130 km/h", "duration": "2 min"}, 0.45, 0.8),
            # nobody stands from full speed: a slow way in at 60 km/h, in second gear; common practice, no source
            ReadyLeg(
                {"name": study_texts.WAY_TO_THE_GRID, "vehicle_speed": "60 km/h", "duration": "60 s"},
                speed=0.5,
                follows=True,
            ),
            ReadyLeg({"name": "Grid, engine idles", "duration": "5 min"}, follows=True),
        ),
        "hill climb": (ReadyLeg({"name": study_texts.HILL_8_AT_60_KM_H, "vehicle_speed": "60 km/h", "grade": "8 %"}),),
        # a caravan's face and drag (``records.Duty``)
        "tow": (
            ReadyLeg(
                {
                    "name": study_texts.TRAILER_OF_1500_KG,
                    "vehicle_speed": "80 km/h",
                    "grade": "6 %",
                    "trailer_mass": "1500 kg",
                    "trailer_frontal_area": "4.5 m2",
                    "trailer_drag_coefficient": "0.45",
                }
            ),
        ),
        "high pass": (
            ReadyLeg(
                {
                    "name": study_texts.PASS_AT_2500_M,
                    "vehicle_speed": "60 km/h",
                    "grade": "7 %",
                    "altitude": "2500 m",
                }
            ),
        ),
    }
)
"""The legs of each ready duty, by its word."""


def with_ready(text: CaseText, case: Case, word: str) -> CaseText:
    """The text of a case with a ready duty below its own; ``word`` is one of ``READY``."""
    kept = _air_of_hottest(text, case)
    rated = float(case.engine.rated_power[0])
    if case.engine.power_at == "wheel":
        rated = rated / float(case.vehicle.driveline_efficiency[0])
    for leg in READY[word]:
        inputs = {**kept, **leg.inputs, "start": "above" if leg.follows else "warm"}
        if leg.power is not None:
            inputs |= power_typed(case, leg.power * rated)
        if leg.speed is not None:
            inputs["engine_speed"] = f"{60.0 * leg.speed * float(case.engine.rated_speed[0]):.0f} rpm"
        text = text.with_item("duties", len(text.get("duties") or []), inputs)
    return text


def _air_of_hottest(text: CaseText, case: Case) -> dict[str, Any]:
    """Air, altitude and limit, as typed, of the duty in the hottest air; of several alike the last."""
    typed = text.get("duties")
    known = min(len(typed), len(case.duties)) if isinstance(typed, list) else 0  # others were added since
    if not known:
        return {}
    hottest = max(range(known), key=lambda i: (float(case.duties[i].ambient[0]), i))
    return {name: value for name, value in typed[hottest].items() if name in _KEPT}
