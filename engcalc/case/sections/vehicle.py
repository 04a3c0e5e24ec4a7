"""Inputs. The vehicle: class, mass and road load."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import DetailLevel, FileShape, Input
from engcalc.case.presets import CLASS_LABELS
from engcalc.units import Array


@dataclass(frozen=True, eq=False)
class Vehicle:
    """What moves, and what it takes to move it."""

    class_: Annotated[
        str,
        Input(
            "",
            "Vehicle class",
            "word",
            "family car",
            options=CLASS_LABELS,
            shape=FileShape.WORD,
            level=DetailLevel.FIRST,
            help="Fills everything that is not typed with values typical of the class.",
        ),
    ]
    mass: Annotated[
        Array,
        Input(
            "m",
            "Vehicle mass",
            "mass",
            spread="10 %",
            limits=("0 kg", "80 t"),
            usual=("900 kg", "3500 kg"),
            help="With load, without trailer.",
        ),
    ]
    frontal_area: Annotated[
        Array,
        Input(
            "A_f",
            "Frontal area",
            "area",
            spread="8 %",
            limits=("0 m2", "15 m2"),
            usual=("1.8 m2", "4.5 m2"),
            level=DetailLevel.DETAIL,
        ),
    ]
    drag_coefficient: Annotated[
        Array,
        Input(
            "c_d", "Drag coefficient", spread="8 %", limits=("0", "2"), usual=("0.24", "0.7"), level=DetailLevel.DETAIL
        ),
    ]
    rolling_coefficient: Annotated[
        Array,
        Input(
            "c_rr",
            "Rolling coefficient",
            default="0.011",
            spread="15 %",
            limits=("0", "0.1"),
            usual=("0.007", "0.016"),
            level=DetailLevel.DETAIL,
        ),
    ]
    driveline_efficiency: Annotated[
        Array,
        Input(
            "eta_dl",
            "Driveline efficiency",
            "fraction",
            "88 %",
            spread="4 %",
            limits=("30 %", "100 %"),
            usual=("78 %", "95 %"),
            level=DetailLevel.DETAIL,
            help="Power at the wheels over power at the crankshaft.",
        ),
    ]
