"""Inputs. The coolant, its cap and tank."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import FRACTION, Input, choice
from engcalc.units import Array


@dataclass(frozen=True, eq=False)
class Coolant:
    """What carries the heat."""

    base: Annotated[
        str,
        choice(
            "Coolant",
            {
                "water": "plain water",
                "ethylene glycol": "ethylene glycol and water",
                "propylene glycol": "propylene glycol and water",
            },
            "ethylene glycol",
            help="Colour does not tell the chemistry; the maker's data does.",
        ),
    ]
    concentration: Annotated[
        Array,
        Input(
            "phi",
            "Concentration by volume",
            "fraction",
            "50 %",
            spread="8 %",
            limits=FRACTION,
            usual=("30 %", "60 %"),
            help="Computed to 60 %; above that the properties lie outside.",
        ),
    ]
    volume: Annotated[
        Array, Input("V_c", "Coolant volume", "volume", spread="10 %", limits=("0.1 L", "500 L"), usual=("4 L", "16 L"))
    ]
    cap_pressure: Annotated[
        Array,
        Input(
            "p_cap",
            "Cap opening pressure",
            "gauge pressure",
            "1.1 bar",
            spread="10 %",
            limits=("0 bar", "4 bar"),
            usual=("0.5 bar", "1.6 bar"),
            help="0 for an open system.",
        ),
    ]
    tank: Annotated[
        str,
        choice(
            "Tank",
            {
                "surge tank": "pressurised tank in the loop",
                "overflow bottle": "open bottle behind the cap",
                "none": "no tank",
            },
            "surge tank",
        ),
    ]
