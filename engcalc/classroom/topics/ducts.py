"""Ducts that are not round, and the flow between laminar and turbulent."""

from __future__ import annotations

from engcalc.classroom.lookups import COOLANT, WATER, looked_up, one
from engcalc.classroom.topic import GivenNumber, SiValues, Slip, SolutionLine, Topic
from engcalc.classroom.topics.films import DEFINITION, DIAMETER, FILM, PRANDTL, RADIUS, REYNOLDS, SQUARE, millimetres
from engcalc.components.flat_tube import (
    LaminarWall,
    Nu_entrance,
    Nu_gnielinski,
    Nu_rectangular,
    friction_petukhov,
)

SHAH_LONDON = "Shah and London, Laminar Flow Forced Convection in Ducts (1978)"
HAUSEN = "Hausen, Z. VDI Beih. Verfahrenstech. 4 (1943) 91"
_NU_T = "7.541*(1 - 2.610*chi + 4.970*chi**2 - 5.119*chi**3 + 2.702*chi**4 - 0.548*chi**5)"


def _rectangular(si: SiValues) -> SiValues:
    developed = float(Nu_rectangular(one(si["chi"]), LaminarWall.EVEN_TEMPERATURE)[0])
    return {"Nu_d": developed, "Nu": developed + float(Nu_entrance(one(si["Gz"]))[0])}


RECTANGULAR_DUCT = Topic(
    key="rectangular-duct",
    title="Laminar flow in a rectangular duct, thermal entry counted",
    text="Coolant, half ethylene glycol and half water, at {T_b}, flows through a duct of {b_mm} by {a_mm} and {L} "
    "length, as in a flat tube, {m} in all. The wall is evenly warm. What is the mean heat transfer coefficient?",
    givens=(
        GivenNumber("m", "mass flow", "mass flow", 0.004, 0.02),
        GivenNumber("a_mm", "longer side of the duct", "small length", 12.0, 30.0),
        GivenNumber("b_mm", "shorter side of the duct", "small length", 1.5, 4.0),
        GivenNumber("L", "length of the duct", "length", 0.2, 0.9),
        GivenNumber("T_b", "mean temperature of the coolant", "temperature", 10.0, 60.0),
    ),
    looked_up=tuple(looked_up(name, name, COOLANT, "T_b") for name in ("mu", "cp", "k")),
    lines=(
        millimetres("a", "longer side of the duct"),
        millimetres("b", "shorter side of the duct"),
        SolutionLine("D_h", "hydraulic diameter", "length", "2*a*b/(a + b)", "four times area over wetted perimeter"),
        SolutionLine("chi", "ratio of the sides", "number", "b/a", DEFINITION),
        PRANDTL,
        SolutionLine("Re", "Reynolds number", "number", "m*D_h/(a*b*mu)", "definition, with the hydraulic diameter"),
        SolutionLine("Gz", "Graetz number", "number", "Re*Pr*D_h/L", DEFINITION),
        SolutionLine(
            "Nu_d", "developed Nusselt number", "number", _NU_T, SHAH_LONDON, "laminar, even wall temperature"
        ),
        SolutionLine(
            "Nu",
            "mean Nusselt number over the length",
            "number",
            "Nu_d + 0.0668*Gz/(1 + 0.04*Gz**(2/3))",
            HAUSEN,
            "what the entry adds, as in a round tube: common practice for other sections",
        ),
        SolutionLine("h", "heat transfer coefficient", "film", "Nu*k/D_h", "definition of the Nusselt number"),
    ),
    asked=("Re", "h"),
    hints=(
        "The hydraulic diameter is four times the area of the section over its wetted perimeter.",
        "Is the flow laminar? Then the developed Nusselt number hangs on the ratio of the sides alone.",
        "The Graetz number says what the entry adds.",
    ),
    slips=(
        Slip(
            "twice the hydraulic diameter",
            "Four times the area was put over half of the perimeter.",
            {"D_h": "2*({})"},
        ),
        Slip("entry left out", "Only the developed value was used; the entry was left out.", {"Nu": "Nu_d"}),
        Slip("round tube", "The developed value 3.66 of a round tube was used.", {"Nu_d": "3.66"}),
        Slip(
            "shorter side for diameter",
            "The shorter side was taken for the hydraulic diameter.",
            {"D_h": "b"},
        ),
    ),
    conditions=("Re - 80", "2000 - Re", "Gz - 5", "a - 4*b"),
    engine=_rectangular,
)


def _between(si: SiValues) -> SiValues:
    laminar = 3.66 + float(Nu_entrance(one(si["Gz"]))[0])
    turbulent = float(Nu_gnielinski(one(4000.0), one(si["Pr"]))[0])
    share = (si["Re"] - 2300.0) / 1700.0
    return {
        "f": float(friction_petukhov(one(4000.0))[0]),
        "Nu_t": turbulent,
        "Nu": laminar + share * (turbulent - laminar),
    }


TRANSITION_TUBE = Topic(
    key="transition-tube",
    title="Flow between laminar and turbulent in a round tube",
    text="Water at {T_b} flows through a smooth tube of {d_mm} inner diameter and {L} length, {m} in all. The wall is "
    "evenly warm. What is the mean heat transfer coefficient?",
    givens=(
        GivenNumber("m", "mass flow", "mass flow", 0.008, 0.06),
        DIAMETER,
        GivenNumber("L", "length of the tube", "length", 0.5, 3.0),
        GivenNumber("T_b", "mean temperature of the water", "temperature", 15.0, 60.0),
    ),
    looked_up=tuple(looked_up(name, name, WATER, "T_b") for name in ("mu", "cp", "k")),
    lines=(
        millimetres("d", "inner diameter of the tube"),
        PRANDTL,
        REYNOLDS,
        SolutionLine(
            "gamma",
            "share of turbulent flow",
            "number",
            "(Re - 2300)/1700",
            "Gnielinski, Int. J. Heat Mass Transfer 63 (2013) 134",
            "Re from 2300 to 4000: a straight line between the two",
        ),
        SolutionLine("Gz", "Graetz number at Re = 2300", "number", "2300*Pr*d/L", DEFINITION),
        SolutionLine(
            "Nu_l",
            "mean laminar Nusselt number at Re = 2300",
            "number",
            "3.66 + 0.0668*Gz/(1 + 0.04*Gz**(2/3))",
            HAUSEN,
            "even wall temperature",
        ),
        SolutionLine(
            "f",
            "Darcy friction factor at Re = 4000",
            "number",
            "(0.790*ln(4000) - 1.64)**(-2)",
            "Petukhov (1970)",
            "smooth tube",
        ),
        SolutionLine(
            "Nu_t",
            "turbulent Nusselt number at Re = 4000",
            "number",
            "(f/8)*3000*Pr/(1 + 12.7*sqrt(f/8)*(Pr**(2/3) - 1))",
            "Gnielinski, Int. Chem. Eng. 16 (1976) 359",
            "Pr from 0.5 to 2000",
        ),
        SolutionLine(
            "Nu",
            "Nusselt number",
            "number",
            "(1 - gamma)*Nu_l + gamma*Nu_t",
            "Gnielinski, Int. J. Heat Mass Transfer 63 (2013) 134",
        ),
        FILM,
    ),
    asked=("Re", "h"),
    hints=(
        "Look at the Reynolds number: is the flow laminar, turbulent, or between the two?",
        "Work the laminar value at Re = 2300 and the turbulent one at Re = 4000.",
        "The share of turbulent flow grows in proportion to Re between the two.",
    ),
    slips=(
        RADIUS,
        SQUARE,
        Slip("laminar value", "The laminar value was used alone.", {"Nu": "Nu_l"}),
        Slip("turbulent value", "The turbulent value at Re = 4000 was used alone.", {"Nu": "Nu_t"}),
    ),
    conditions=("Re - 2500", "3800 - Re"),
    engine=_between,
)
