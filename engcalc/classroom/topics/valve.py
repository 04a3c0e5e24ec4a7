"""Warm-up of an engine with the valve's opening: when it begins to open, and where it settles."""

from __future__ import annotations

from engcalc.classroom.lookups import one
from engcalc.classroom.topic import GivenNumber, SiValues, Slip, SolutionLine, Topic
from engcalc.components.roots import falling_root
from engcalc.units import Array

DEFINITION = "definition"
BALANCE = "heat balance"
LIFT = "the opening grows in proportion to the temperature"


def _settled(si: SiValues) -> SiValues:
    """Where the heat balance is even: looked for between closed and wide open, without the formula for the opening."""

    def gains(T: Array) -> Array:
        opened = (T - si["T_1"]) / (si["T_2"] - si["T_1"])
        return si["q"] - (si["UA_s"] + opened * si["UA_r"]) * (T - si["T_a"])

    T = float(falling_root(gains, one(si["T_1"]), one(si["T_2"]), one(1e-9 * si["q"])).x[0])
    return {"T": T, "x_v": (T - si["T_1"]) / (si["T_2"] - si["T_1"]), "tau": si["Cth"] / si["UA_s"]}


VALVE_OPENING = Topic(
    key="valve-opening",
    title="Warm-up of an engine until its valve opens, and where it settles",
    text="An engine and its coolant, {Cth} in all, start at the temperature of the air, {T_a}. The engine warms them "
    "with a steady {q}; they lose {UA_s} to the air. The valve begins to open at {T_1} and is wide open at {T_2}; wide "
    "open, the radiator takes {UA_r} more. When does the valve begin to open? How far is it open in the end, and at "
    "which temperature?",
    givens=(
        GivenNumber("Cth", "heat capacity of engine and coolant", "heat capacity", 60.0, 200.0),
        GivenNumber("q", "heat into metal and coolant", "large heat", 8.0, 30.0),
        GivenNumber("UA_s", "loss to the air, valve closed", "capacity rate", 20.0, 80.0),
        GivenNumber("UA_r", "radiator, valve wide open", "capacity rate", 300.0, 900.0),
        GivenNumber("T_a", "temperature of the air", "temperature", -15.0, 30.0),
        GivenNumber("T_1", "temperature at which the valve begins to open", "temperature", 78.0, 90.0),
        GivenNumber("T_2", "temperature at which the valve is wide open", "temperature", 93.0, 104.0),
    ),
    looked_up=(),
    lines=(
        SolutionLine("tau", "time constant, valve closed", "time", "1000*Cth/UA_s", DEFINITION, us="3600*Cth/UA_s"),
        SolutionLine(
            "T_end",
            "end temperature if the valve stayed closed",
            "temperature",
            "T_a + 1000*q/UA_s",
            BALANCE,
            us="T_a + q/UA_s",
        ),
        SolutionLine(
            "t",
            "time until the valve begins to open",
            "time",
            "tau*ln((T_end - T_a)/(T_end - T_1))",
            "one lump, everything steady",
            "from the temperature of the air",
        ),
        SolutionLine(
            "t_m",
            "time until the valve begins to open, in minutes",
            "minutes",
            "t/60",
            "60 s to the minute",
            converts=True,
        ),
        SolutionLine("dT_1", "coolant over the air as the valve begins to open", "difference", "T_1 - T_a", DEFINITION),
        SolutionLine("dT_2", "from closed to wide open", "difference", "T_2 - T_1", DEFINITION),
        SolutionLine(
            "q_r",
            "heat that is left for the radiator as the valve begins to open",
            "heat",
            "1000*q - UA_s*dT_1",
            BALANCE,
            us="q - UA_s*dT_1",
        ),
        SolutionLine("b_1", "factor of the opening", "heat", "UA_s*dT_2 + UA_r*dT_1", BALANCE, LIFT),
        SolutionLine("b_2", "factor of its square", "heat", "UA_r*dT_2", BALANCE, LIFT),
        SolutionLine(
            "x_v",
            "opening of the valve in the end",
            "number",
            "(sqrt(b_1**2 + 4*b_2*q_r) - b_1)/(2*b_2)",
            "heat balance, solved for the opening",
            "from 0 to 1",
        ),
        SolutionLine("T", "temperature in the end", "temperature", "T_1 + x_v*dT_2", LIFT),
    ),
    asked=("t_m", "x_v", "T"),
    hints=(
        "Until the valve opens it is one lump: heat capacity over loss is the time constant.",
        "In the end what comes in goes out: to the air, and through the valve to the radiator.",
        "Loss and radiator hang on the temperature, and so does the opening: the balance holds its square.",
    ),
    slips=(
        Slip("seconds for minutes", "The time in seconds was given as minutes.", {"t_m": "t"}),
        Slip("decimal logarithm", "The decimal logarithm was taken for the natural one.", {"t": "({})/ln(10)"}),
        Slip(
            "loss left out in the end",
            "Once the valve opens the loss to the air was left out.",
            {"q_r": "({}) + UA_s*dT_1", "b_1": "UA_r*dT_1"},
        ),
        Slip(
            "wide open at once",
            "The valve was taken as wide open from its first opening on.",
            {"x_v": "1", "T": "T_a + (q_r + UA_s*dT_1)/(UA_s + UA_r)"},
        ),
    ),
    conditions=("x_v - 0.08", "0.9 - x_v", "t - 120", "3600 - t", "T_end - T_1 - 15"),
    engine=_settled,
)
