"""Inputs. An exchanger on a bench, with any two fluids: its streams, how they pass each other, how a class works it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import FRACTION, Basis, DetailLevel, Input, choice, text
from engcalc.units import Array

BY_NAME = "named substance"
BY_PROPERTIES = "stated properties"
GLYCOLS = ("ethylene glycol", "propylene glycol")
FLUIDS = {
    "water": "plain water",
    "ethylene glycol": "ethylene glycol and water",
    "propylene glycol": "propylene glycol and water",
    "air": "dry air",
    "engine oil": "engine oil, unused",
    BY_NAME: "a substance by its name in CoolProp",
    BY_PROPERTIES: "a fluid by the properties stated here",
}
ARRANGEMENTS_OF_BENCH = {
    "counterflow": "double pipe or plates, counterflow",
    "parallel flow": "double pipe or plates, parallel flow",
    "shell and tube 1-2": "one shell pass, two tube passes",
    "shell and tube 2-4": "two shell passes, four tube passes",
    "crossflow, both unmixed": "crossflow, both streams unmixed",
    "crossflow, hot mixed": "crossflow, hot stream mixed",
    "crossflow, cold mixed": "crossflow, cold stream mixed",
    "crossflow, both mixed": "crossflow, both streams mixed",
}
WEIGHTED = "weighted"
HEAT_BY = {
    WEIGHTED: "both sides, the surer one counts for more",
    "mean": "both sides alike",
    "hot side": "the hot stream alone",
    "cold side": "the cold stream alone",
}
SYMBOLS = {
    "A": "q, h, k, U, C, ε, T",
    "B": "Q with a dot, α, λ, k, W with a dot, Φ, ϑ",
}
"""The conventions of textbooks in which a working is written, by their keys on problem sheets."""
COVERAGES = {"1": "k = 1, about 68 %", "2": "k = 2, about 95 %"}


@dataclass(frozen=True, eq=False)
class Stream:
    """What flows on one side of a bench exchanger, and how well its flow and temperatures are measured."""

    fluid: Annotated[
        str | None,
        choice(
            "Fluid",
            FLUIDS,
            help="With both fluids and the arrangement named, points and problems are of an exchanger on a bench. "
            "Else they are measured on the radiator, with coolant in it and air through it.",
            level=DetailLevel.FIRST,
        ),
    ]
    substance: Annotated[
        str | None, text("Name of the substance", "As CoolProp writes it, such as Ammonia or INCOMP::T66.")
    ]
    concentration: Annotated[
        Array,
        Input(
            "phi_s",
            "Glycol by volume",
            "fraction",
            "50 %",
            basis=Basis.ASSUMED,
            limits=FRACTION,
            usual=("20 %", "60 %"),
        ),
    ]
    pressure: Annotated[
        Array,
        Input(
            "p_s",
            "Absolute pressure",
            "absolute pressure",
            "101.325 kPa",
            basis=Basis.ASSUMED,
            limits=("1 kPa", "20000 kPa"),
            usual=("90 kPa", "400 kPa"),
            level=DetailLevel.DETAIL,
            help="Counts for air, and for a substance by its name.",
        ),
    ]
    density: Annotated[
        Array | None,
        Input(
            "rho_s",
            "Density",
            "density",
            limits=("0.01 kg/m3", "20000 kg/m3"),
            usual=("700 kg/m3", "1200 kg/m3"),
            help="Of a fluid by its properties. Needed where its flow is given by volume.",
        ),
    ]
    specific_heat: Annotated[
        Array | None,
        Input(
            "c_s",
            "Specific heat",
            "specific heat",
            limits=("100 J/(kg K)", "20000 J/(kg K)"),
            usual=("1000 J/(kg K)", "4300 J/(kg K)"),
            help="Of a fluid by its properties.",
        ),
    ]
    flow_uncertainty: Annotated[
        Array,
        Input(
            "u_m",
            "Standard uncertainty of flows",
            "fraction",
            "0 %",
            basis=Basis.ASSUMED,
            limits=("0 %", "50 %"),
            usual=("0.5 %", "5 %"),
            help="Share of each flow (k = 1), where a point states none of its own.",
        ),
    ]
    temperature_uncertainty: Annotated[
        Array,
        Input(
            "u_T",
            "Standard uncertainty of temperatures",
            "temperature difference",
            "0 K",
            basis=Basis.ASSUMED,
            limits=("0 K", "20 K"),
            usual=("0.05 K", "1 K"),
            help="Of each temperature (k = 1), where a point states none of its own.",
        ),
    ]


@dataclass(frozen=True, eq=False)
class BenchExchanger:
    """The exchanger between the two streams, and how its points are worked."""

    arrangement: Annotated[
        str | None, choice("How the streams pass each other", ARRANGEMENTS_OF_BENCH, level=DetailLevel.FIRST)
    ]
    passes: Annotated[
        Array,
        Input(
            "N_e",
            "Exchangers or passes in series",
            "count",
            "1",
            basis=Basis.ASSUMED,
            limits=("1", "20"),
            usual=("1", "4"),
            help="Equal ones, the streams in counterflow over all of them.",
        ),
    ]
    area: Annotated[
        Array | None,
        Input(
            "A_e",
            "Heat transfer area",
            "area",
            limits=("0.0001 m2", "10000 m2"),
            usual=("0.05 m2", "10 m2"),
            help="On the side that U and the film coefficient are to be counted on.",
        ),
    ]
    conductance: Annotated[
        Array | None,
        Input(
            "UA_e",
            "Conductance to compare with",
            "conductance",
            limits=("0.01 W/K", "10000000 W/K"),
            usual=("50 W/K", "5000 W/K"),
            help="UA as the maker or a design calculation states it. The measured points are held against it.",
        ),
    ]
    heat_by: Annotated[str, choice("Heat taken from", HEAT_BY, "weighted")]
    coverage: Annotated[str, choice("Uncertainties shown with", COVERAGES, "2")]
    symbols: Annotated[str, choice("Symbols of the working", SYMBOLS, "A")]
    flow_exponent: Annotated[
        Array,
        Input(
            "n_w",
            "Power of the flow in a Wilson plot",
            "number",
            "0.8",
            limits=("0.2", "1"),
            usual=("0.5", "0.85"),
            level=DetailLevel.DETAIL,
            help="The film coefficient grows with this power of the flow: 0.8 for turbulent flow in tubes.",
        ),
    ]
