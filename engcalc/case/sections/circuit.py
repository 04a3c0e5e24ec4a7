"""Inputs. Pump, branches and heat from other parts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import FRACTION, DetailLevel, Input, choice, text
from engcalc.units import Array

# Words of what is fitted today, as components read them
HEAT_SOURCE = "heat source"
OIL_WARMER = "oil warmer"
GEARBOX_WARMER = "gearbox warmer"
EXHAUST_HEAT = "exhaust heat"
OIL_COOLER = "oil cooler"
NEVER_SLIPS = "100000 rpm"  # faster than any pump turns
TURNS_ALWAYS = "turns always"
STANDS_COLD = "stands when cold"
STARTS_PUMP = "starts it"
WAITS_FOR_PUMP = "waits for it"


@dataclass(frozen=True, eq=False)
class ExtraSource:
    """Another source of heat into the coolant: gearbox, oil, turbo, exhaust-gas cooler, an immersion heater.

    Or an exchanger whose heat follows from temperatures: a warmer of engine or gearbox oil, heat out of the exhaust.
    Or a cooler of oil, at its place in the coolant.
    """

    name: Annotated[str | None, text("Name")]
    kind: Annotated[
        str,
        choice(
            "What it is",
            {
                HEAT_SOURCE: "gives the heat stated below",
                OIL_COOLER: "an oil cooler in the coolant or in a tank of the radiator: gives the heat stated below",
                OIL_WARMER: "coolant and engine oil exchange heat",
                GEARBOX_WARMER: "coolant and gearbox oil exchange heat",
                EXHAUST_HEAT: "the coolant takes heat from the exhaust while it is cold",
            },
            HEAT_SOURCE,
        ),
    ]
    heat: Annotated[
        Array | None, Input("Q_x,0", "Heat, always", "heat rate", limits=("0 W", "2000 kW"), usual=("0 kW", "15 kW"))
    ]
    at_idle: Annotated[
        Array | None, Input("Q_x,idle", "Heat at idle", "heat rate", limits=("0 W", "2000 kW"), usual=("0 kW", "3 kW"))
    ]
    at_rated: Annotated[
        Array | None,
        Input("Q_x,rated", "Heat at rated power", "heat rate", limits=("0 W", "2000 kW"), usual=("0 kW", "25 kW")),
    ]
    conductance: Annotated[
        Array,
        Input(
            "UA_x",
            "Conductance of a warmer or cooler, oil to coolant",
            "conductance",
            "150 W/K",
            spread="30 %",
            limits=("0 W/K", "5000 W/K"),
            usual=("50 W/K", "500 W/K"),
            level=DetailLevel.DETAIL,
        ),
    ]
    mass: Annotated[
        Array,
        Input(
            "m_x",
            "Gearbox that warms with its oil",
            "mass",
            "40 kg",
            spread="25 %",
            limits=("1 kg", "2 t"),
            usual=("25 kg", "100 kg"),
            level=DetailLevel.DETAIL,
        ),
    ]
    recovery: Annotated[
        Array,
        Input(
            "x_ex",
            "Share of the exhaust's heat that the coolant takes",
            "fraction",
            "25 %",
            spread="30 %",
            limits=FRACTION,
            usual=("10 %", "50 %"),
            level=DetailLevel.DETAIL,
        ),
    ]
    stops: Annotated[
        Array,
        Input(
            "T_ex",
            "The exhaust goes past it above",
            "temperature",
            "70 degC",
            limits=("0 degC", "130 degC"),
            usual=("60 degC", "85 degC"),
            level=DetailLevel.DETAIL,
            help="Coolant at the engine's outlet.",
        ),
    ]

    place: Annotated[
        str,
        choice(
            "An oil cooler sits",
            {
                "engine": "beside the engine, in its coolant",
                "hot tank": "in the radiator's tank where hot coolant enters",
                "cold tank": "in the radiator's tank where cooled coolant leaves",
            },
            "engine",
        ),
    ]
    effectiveness: Annotated[
        Array | None,
        Input(
            "eps_x",
            "Effectiveness of an oil cooler, if known",
            "fraction",
            spread="10 %",
            limits=("2 %", "99 %"),
            usual=("20 %", "80 %"),
            level=DetailLevel.DETAIL,
            help="Share of what the oil is hotter than the coolant that the cooler takes from it, with the stated "
            "flows of oil and coolant. It takes the place of the conductance.",
        ),
    ]
    oil_flow: Annotated[
        Array,
        Input(
            "V_oil",
            "Oil through an oil cooler",
            "coolant flow",
            "15 L/min",
            limits=("0.1 L/min", "1000 L/min"),
            usual=("4 L/min", "60 L/min"),
            level=DetailLevel.DETAIL,
        ),
    ]
    stream_share: Annotated[
        Array,
        Input(
            "x_st,x",
            "Share of the coolant there that passes it",
            "fraction",
            "100 %",
            limits=("1 %", "100 %"),
            usual=("5 %", "100 %"),
            level=DetailLevel.DETAIL,
            help="In a tank: all of it. Beside the engine often a small branch.",
        ),
    ]
    hottest: Annotated[
        Array,
        Input(
            "T_oil,max",
            "Its oil may get as hot as",
            "temperature",
            "140 degC",
            limits=("40 degC", "200 degC"),
            usual=("110 degC", "150 degC"),
            level=DetailLevel.DETAIL,
            help="The maker's limit comes first. A cooler that would need hotter oil to pass its heat is too small.",
        ),
    ]
    coolant_drop: Annotated[
        Array,
        Input(
            "dp_x",
            "Pressure that an oil cooler takes from the coolant",
            "pump pressure",
            "0 kPa",
            limits=("0 kPa", "300 kPa"),
            usual=("0 kPa", "20 kPa"),
            level=DetailLevel.DETAIL,
            help="At the stated flow of the coolant there, over and above the hoses: the pump then gives less than was "
            "stated.",
        ),
    ]


@dataclass(frozen=True, eq=False)
class Circuit:
    """Pump and branches: the flows below are those of a healthy system, valve fully open, at the stated pump speed."""

    pump_drive: Annotated[
        str, choice("Pump drive", {"belt": "belt or gear from the engine", "electric": "electric, commanded"}, "belt")
    ]
    pump_cold: Annotated[
        str,
        choice(
            "While the engine is cold the pump",
            {
                TURNS_ALWAYS: "turns as at all times",
                STANDS_COLD: "stands until the engine's coolant is warm, by design",
                "unknown": "not known",
            },
            TURNS_ALWAYS,
            help="An electric pump, or one on the belt that can be switched off.",
        ),
    ]
    pump_starts: Annotated[
        Array,
        Input(
            "T_pump",
            "and starts at",
            "temperature",
            "70 degC",
            limits=("-40 degC", "120 degC"),
            usual=("45 degC", "85 degC"),
            level=DetailLevel.DETAIL,
            help="The engine's own coolant. The maker's figure comes first.",
        ),
    ]
    pump_for_heat: Annotated[
        str,
        choice(
            "A heater that is switched on",
            {STARTS_PUMP: "starts the pump at once", WAITS_FOR_PUMP: "waits until the pump turns"},
            STARTS_PUMP,
            level=DetailLevel.DETAIL,
        ),
    ]
    pump_ratio: Annotated[
        Array,
        Input(
            "i_p", "Pump turns per engine turn", default="1.2", spread="8 %", limits=("0.05", "10"), usual=("0.8", "2")
        ),
    ]
    impeller_slips: Annotated[
        Array,
        Input(
            "n_slip",
            "Impeller turns no faster than",
            "rotation",
            NEVER_SLIPS,
            limits=("5 rpm", NEVER_SLIPS),
            level=DetailLevel.DETAIL,
            help="Of a pump on the belt: an impeller that is loose on its shaft slips above this. Left as it is: none.",
        ),
    ]
    pump_flow: Annotated[
        Array,
        Input(
            "V_p",
            "Flow through the engine, valve open",
            "coolant flow",
            spread="15 %",
            limits=("0 L/min", "5000 L/min"),
            usual=("80 L/min", "300 L/min"),
        ),
    ]
    pump_flow_speed: Annotated[
        Array,
        Input(
            "n_p",
            "at a pump speed of",
            "rotation",
            spread="3 %",
            limits=("50 rpm", "30000 rpm"),
            usual=("2500 rpm", "7500 rpm"),
        ),
    ]
    pump_shutoff_pressure: Annotated[
        Array,
        Input(
            "dp_p",
            "Pump pressure at no flow, that speed",
            "pump pressure",
            spread="15 %",
            limits=("0.1 kPa", "2 MPa"),
            usual=("60 kPa", "250 kPa"),
            level=DetailLevel.DETAIL,
        ),
    ]
    heater_flow: Annotated[
        Array,
        Input(
            "V_h",
            "Heater flow at that point",
            "coolant flow",
            spread="20 %",
            limits=("0 L/min", "500 L/min"),
            usual=("8 L/min", "30 L/min"),
        ),
    ]
    bypass_flow: Annotated[
        Array,
        Input(
            "V_b",
            "Bypass flow at that point, if open",
            "coolant flow",
            spread="25 %",
            limits=("0 L/min", "2000 L/min"),
            usual=("10 L/min", "60 L/min"),
            level=DetailLevel.DETAIL,
        ),
    ]
    aeration: Annotated[
        Array,
        Input(
            "x_air",
            "Air carried in the coolant, by volume",
            "fraction",
            "0 %",
            limits=("0 %", "60 %"),
            usual=("0 %", "10 %"),
            level=DetailLevel.DETAIL,
            help="Takes head and heat capacity from the pump's flow.",
        ),
    ]
    extra: tuple[ExtraSource, ...]
    flows_core_height: Annotated[
        Array | None,
        Input(
            "H_0",
            "The flows count with a core of height",
            "small length",
            limits=("20 mm", "4 m"),
            usual=("250 mm", "700 mm"),
            level=DetailLevel.DETAIL,
            help="Only where the radiator is to be another than the one that the stated coolant flows came with. Pump, "
            "hoses and thermostat then stay as they are. Absent, the flows count with the radiator that is entered.",
        ),
    ]
    flows_core_width: Annotated[
        Array | None,
        Input(
            "W_0",
            "and of width",
            "small length",
            limits=("20 mm", "4 m"),
            usual=("350 mm", "900 mm"),
            level=DetailLevel.DETAIL,
        ),
    ]
    flows_core_rows: Annotated[
        Array | None,
        Input(
            "N_r,0",
            "with rows of tubes",
            "count",
            limits=("1", "12"),
            usual=("1", "4"),
            level=DetailLevel.DETAIL,
        ),
    ]
    flows_core_tube_width: Annotated[
        Array | None,
        Input(
            "w_t,0",
            "each tube so wide",
            "small length",
            limits=("2 mm", "400 mm"),
            usual=("12 mm", "60 mm"),
            level=DetailLevel.DETAIL,
        ),
    ]
    flows_core_passes: Annotated[
        Array | None,
        Input(
            "N_p,0",
            "in so many passes",
            "count",
            limits=("1", "6"),
            usual=("1", "2"),
            level=DetailLevel.DETAIL,
        ),
    ]
