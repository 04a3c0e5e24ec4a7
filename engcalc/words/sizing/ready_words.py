"""What the ready duties are called where a person chooses one."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

READY_BUTTON = "A usual duty..."
READY_HOW = (
    "Puts a duty that builders meet below those that are there, in the air of the hottest one; its power goes with the "
    "rated power. "
    "Change in it whatever is known better."
)
READY_LABELS: Mapping[str, str] = MappingProxyType(
    {
        "dyno pull": "Pull on the dyno, a blower before the grille",
        "drag run": "Drag run, way back and cool-down",
        "hot lap and grid": "Hot lap, then idle on the grid",
        "hill climb": "Hill climb without a trailer",
        "tow": "Hill with a trailer of 1500 kg and its drag",
        "high pass": "Pass at 2500 m",
    }
)
"""The label of each, by the word of ``engcalc.studies.duties.ready_duties.READY``."""
