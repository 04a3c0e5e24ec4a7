"""Inputs. The cabin."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import DetailLevel, Input
from engcalc.units import Array


@dataclass(frozen=True, eq=False)
class Cabin:
    """The room that the heater serves."""

    volume: Annotated[
        Array,
        Input(
            "V_cab",
            "Cabin volume",
            "room volume",
            spread="10 %",
            limits=("0.5 m3", "100 m3"),
            usual=("2 m3", "8 m3"),
            level=DetailLevel.DETAIL,
        ),
    ]
    heat_loss: Annotated[
        Array,
        Input(
            "UA_cab",
            "Cabin heat loss",
            "conductance",
            spread="20 %",
            limits=("0 W/K", "2000 W/K"),
            usual=("40 W/K", "150 W/K"),
            level=DetailLevel.DETAIL,
        ),
    ]
    target: Annotated[
        Array,
        Input(
            "T_set",
            "Cabin temperature wanted",
            "temperature",
            "22 degC",
            limits=("-20 degC", "40 degC"),
            usual=("18 degC", "24 degC"),
        ),
    ]
