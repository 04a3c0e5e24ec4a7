"""Inputs. The cabin heater."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import FRACTION, DetailLevel, Input, choice
from engcalc.units import Array


@dataclass(frozen=True, eq=False)
class Heater:
    """The cabin heater's core, its air and its valve."""

    rated_output: Annotated[
        Array,
        Input("Q_heat,r", "Rated heat", "heat rate", spread="15 %", limits=("0 W", "200 kW"), usual=("4 kW", "10 kW")),
    ]
    rated_coolant_flow: Annotated[
        Array,
        Input(
            "V_hc",
            "at a coolant flow of",
            "coolant flow",
            "10 L/min",
            spread="10 %",
            limits=("0.1 L/min", "500 L/min"),
            usual=("6 L/min", "20 L/min"),
            level=DetailLevel.DETAIL,
        ),
    ]
    rated_air_flow: Annotated[
        Array,
        Input(
            "V_ha",
            "and an air flow of",
            "air flow",
            "300 m3/h",
            spread="10 %",
            limits=("5 m3/h", "20000 m3/h"),
            usual=("200 m3/h", "500 m3/h"),
            level=DetailLevel.DETAIL,
        ),
    ]
    rated_inlet_difference: Annotated[
        Array,
        Input(
            "ITD_h",
            "and coolant in over air in by",
            "temperature difference",
            "80 K",
            limits=("5 K", "150 K"),
            usual=("60 K", "100 K"),
            level=DetailLevel.DETAIL,
        ),
    ]
    blower_flow: Annotated[
        Array,
        Input(
            "V_bl",
            "Blower flow on high",
            "air flow",
            "300 m3/h",
            spread="15 %",
            limits=("0 m3/h", "20000 m3/h"),
            usual=("200 m3/h", "500 m3/h"),
        ),
    ]
    fresh_air_share: Annotated[
        Array,
        Input(
            "x_fresh",
            "Share of fresh air",
            "fraction",
            "100 %",
            limits=FRACTION,
            usual=("0 %", "100 %"),
            level=DetailLevel.DETAIL,
        ),
    ]
    blend: Annotated[
        Array,
        Input(
            "x_hot",
            "Share of the air led through the heater core",
            "fraction",
            "100 %",
            limits=FRACTION,
            usual=("0 %", "100 %"),
            words={"cold": "0 %", "hot": "100 %"},
            help="Full hot is 100 %.",
        ),
    ]
    auxiliary_heat: Annotated[
        Array,
        Input(
            "Q_aux",
            "Auxiliary heater",
            "small heat rate",
            "0 W",
            limits=("0 W", "50 kW"),
            usual=("0 W", "1800 W"),
            help="Electric or fuel-fired, into the cabin air; a record may note it.",
        ),
    ]
    coolant_heater: Annotated[
        str,
        choice(
            "Heater in the coolant circuit",
            {"none": "none", "fuel-fired": "burns fuel", "electric": "electric"},
            "none",
            help="Burns fuel: its exhaust kills in closed rooms. Electric: it may carry high voltage, for "
            "trained staff.",
        ),
    ]
    coolant_heat: Annotated[
        Array,
        Input(
            "Q_ch,max",
            "Its full power",
            "heat rate",
            "5 kW",
            limits=("0 W", "100 kW"),
            usual=("1 kW", "9 kW"),
            help="Into the coolant, ahead of the heater core.",
        ),
    ]
    coolant_heater_reduces: Annotated[
        Array,
        Input(
            "T_red",
            "It gives less above",
            "temperature",
            "75 degC",
            limits=("0 degC", "129 degC"),
            usual=("60 degC", "80 degC"),
            level=DetailLevel.DETAIL,
            help="Coolant at the engine's outlet. The maker's figure comes first.",
        ),
    ]
    coolant_heater_stops: Annotated[
        Array,
        Input(
            "T_stop",
            "and nothing above",
            "temperature",
            "80 degC",
            limits=("1 degC", "130 degC"),
            usual=("70 degC", "88 degC"),
            level=DetailLevel.DETAIL,
        ),
    ]
    coolant_heater_pump: Annotated[
        Array,
        Input(
            "V_ch",
            "Flow of its own pump",
            "coolant flow",
            "10 L/min",
            limits=("0 L/min", "500 L/min"),
            usual=("0 L/min", "20 L/min"),
            level=DetailLevel.DETAIL,
            help="Runs while the engine's pump rests. 0: it has none.",
        ),
    ]
    valve: Annotated[
        Array,
        Input(
            "x_hv",
            "Heater valve open",
            "fraction",
            "100 %",
            limits=FRACTION,
            usual=("0 %", "100 %"),
            words={"none": "100 %", "open": "100 %", "closed": "0 %"},
            level=DetailLevel.DETAIL,
        ),
    ]
