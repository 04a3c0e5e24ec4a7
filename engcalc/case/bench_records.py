"""The list sections of a bench: measured points of a rig, and problems of two streams."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import DetailLevel, Input, text
from engcalc.case.records import COOLANT_RANGE
from engcalc.units import Array

PROBLEM_RANGE = ("-200 degC", "1000 degC")
FLOWS = ("0 kg/s", "100 kg/s")


@dataclass(frozen=True, eq=False)
class RigPoint:
    """One measured point of a bench rig. A flow is given by mass, or by volume as it enters."""

    hot_flow: Annotated[
        Array,
        Input("m_hot", "Hot flow", "mass flow", also="coolant flow", limits=FLOWS, usual=("0.05 kg/s", "3 kg/s")),
    ]
    hot_in: Annotated[
        Array, Input("T_hot,in", "Hot side in", "temperature", limits=COOLANT_RANGE, usual=("20 degC", "95 degC"))
    ]
    hot_out: Annotated[
        Array, Input("T_hot,out", "Hot side out", "temperature", limits=COOLANT_RANGE, usual=("20 degC", "95 degC"))
    ]
    cold_flow: Annotated[
        Array,
        Input(
            "m_cold",
            "Cold flow",
            "mass flow",
            also="air flow",
            limits=FLOWS,
            usual=("0.1 kg/s", "5 kg/s"),
            help="Air, unless the streams on the bench name another fluid.",
        ),
    ]
    cold_in: Annotated[
        Array, Input("T_cold,in", "Cold side in", "temperature", limits=COOLANT_RANGE, usual=("5 degC", "45 degC"))
    ]
    cold_out: Annotated[
        Array, Input("T_cold,out", "Cold side out", "temperature", limits=COOLANT_RANGE, usual=("10 degC", "90 degC"))
    ]
    group: Annotated[str | None, text("Group", "Whose point it is, where a class measured in groups.")]


@dataclass(frozen=True, eq=False)
class BenchProblem:
    """One problem of two streams: what is left out is asked for. Five of the eight numbers settle the others."""

    name: Annotated[str | None, text("Name", level=DetailLevel.FIRST)]
    hot_flow: Annotated[
        Array | None,
        Input("m_hot", "Hot flow", "mass flow", also="coolant flow", limits=FLOWS, usual=("0.05 kg/s", "3 kg/s")),
    ]
    hot_in: Annotated[
        Array | None,
        Input("T_hot,in", "Hot side in", "temperature", limits=PROBLEM_RANGE, usual=("20 degC", "95 degC")),
    ]
    hot_out: Annotated[
        Array | None,
        Input("T_hot,out", "Hot side out", "temperature", limits=PROBLEM_RANGE, usual=("20 degC", "95 degC")),
    ]
    cold_flow: Annotated[
        Array | None,
        Input("m_cold", "Cold flow", "mass flow", also="air flow", limits=FLOWS, usual=("0.1 kg/s", "5 kg/s")),
    ]
    cold_in: Annotated[
        Array | None,
        Input("T_cold,in", "Cold side in", "temperature", limits=PROBLEM_RANGE, usual=("5 degC", "45 degC")),
    ]
    cold_out: Annotated[
        Array | None,
        Input("T_cold,out", "Cold side out", "temperature", limits=PROBLEM_RANGE, usual=("10 degC", "90 degC")),
    ]
    heat: Annotated[
        Array | None,
        Input("Q_b", "Heat passed", "heat rate", limits=("0.000001 kW", "1000000 kW"), usual=("1 kW", "100 kW")),
    ]
    conductance: Annotated[
        Array | None,
        Input(
            "UA_b",
            "Conductance",
            "conductance",
            limits=("0.001 W/K", "1000000000 W/K"),
            usual=("50 W/K", "5000 W/K"),
            help="UA, the overall heat transfer coefficient times the area.",
        ),
    ]
