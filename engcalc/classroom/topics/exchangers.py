"""Exchangers: heat balance, effectiveness by number of transfer units, mean temperature difference."""

from __future__ import annotations

from collections.abc import Callable

from engcalc.classroom.lookups import AIR, COOLANT, WATER, looked_up
from engcalc.classroom.shell import shell_effectiveness, shell_size
from engcalc.classroom.topic import GivenNumber, SiValues, Slip, SolutionLine, Topic
from engcalc.components.exchanger import LMTD, Arrangement, conductance_from_effectiveness, exchange

SHAH = "Shah and Sekulic (2003), Table 3.3"
BALANCE = "heat balance of a stream"
DEFINITION = "definition"

FLOWS = (
    GivenNumber("m_h", "mass flow of the hot stream", "mass flow", 0.3, 2.0),
    GivenNumber("m_c", "mass flow of the cold stream", "mass flow", 0.3, 2.0),
    GivenNumber("T_h_in", "temperature of the hot stream at its inlet", "temperature", 70.0, 95.0),
    GivenNumber("T_c_in", "temperature of the cold stream at its inlet", "temperature", 10.0, 30.0),
)
SIZE = (
    GivenNumber("U", "overall heat transfer coefficient", "film", 300.0, 1500.0),
    GivenNumber("A", "heat transfer area", "area", 0.8, 6.0),
)

RATES = (
    SolutionLine("C_h", "capacity rate of the hot stream", "capacity rate", "m_h*c_h", DEFINITION),
    SolutionLine("C_c", "capacity rate of the cold stream", "capacity rate", "m_c*c_c", DEFINITION),
    SolutionLine("C_min", "smaller capacity rate", "capacity rate", "min(C_h, C_c)", DEFINITION),
    SolutionLine("C_max", "larger capacity rate", "capacity rate", "max(C_h, C_c)", DEFINITION),
    SolutionLine("C_r", "ratio of the capacity rates", "number", "C_min/C_max", DEFINITION),
    SolutionLine("NTU", "number of transfer units", "number", "U*A/C_min", DEFINITION),
)
OUTCOME = (
    SolutionLine("q_max", "most heat that could pass", "heat", "C_min*(T_h_in - T_c_in)", DEFINITION),
    SolutionLine("q", "heat that passes", "heat", "eps*q_max", "definition of the effectiveness"),
    SolutionLine("T_h_out", "temperature of the hot stream at its outlet", "temperature", "T_h_in - q/C_h", BALANCE),
    SolutionLine("T_c_out", "temperature of the cold stream at its outlet", "temperature", "T_c_in + q/C_c", BALANCE),
)
SENSIBLE = ("C_r - 0.25", "0.9 - C_r", "NTU - 0.5", "3.0 - NTU")

HINTS = (
    "First the capacity rate of each stream: mass flow times specific heat. Which is the smaller one?",
    "Then the number of transfer units, counted with the smaller capacity rate, and the ratio of the two.",
    "The effectiveness follows from these two by the formula of this arrangement; the heat from the effectiveness.",
)
SWAPPED = Slip(
    "smaller and larger capacity rate swapped",
    "The larger capacity rate was put where the smaller one belongs.",
    {"C_min": "max(C_h, C_c)", "C_max": "min(C_h, C_c)", "C_r": "C_max/C_min"},
)
WRONG_MOST = Slip(
    "most heat with the larger capacity rate",
    "The most heat was formed with the larger capacity rate; only the stream of the smaller one can go all the way.",
    {"q_max": "C_max*(T_h_in - T_c_in)"},
)
WRONG_NTU = Slip(
    "transfer units with the larger capacity rate",
    "The number of transfer units was formed with the larger capacity rate.",
    {"NTU": "U*A/C_max"},
)

COUNTER = "(1 - exp(-NTU*(1 - C_r)))/(1 - C_r*exp(-NTU*(1 - C_r)))"
PARALLEL = "(1 - exp(-NTU*(1 + C_r)))/(1 + C_r)"
CROSS = "1 - exp(NTU**0.22/C_r*(exp(-C_r*NTU**0.78) - 1))"
MIN_MIXED = "1 - exp(-(1 - exp(-C_r*NTU))/C_r)"


def _engine_numbers(arrangement: Arrangement) -> Callable[[SiValues], SiValues]:
    """The engine's numbers for an arrangement."""

    def engine(si: SiValues) -> SiValues:
        UA = si["U"] * si["A"]
        found = exchange(UA, si["C_h"], si["C_c"], si["T_h_in"], si["T_c_in"], arrangement)
        return {
            "eps": float(found.effectiveness[0]),
            "q": float(found.Q[0]),
            "T_h_out": float(found.T_hot_out[0]),
            "T_c_out": float(found.T_cold_out[0]),
        }

    return engine


def _effectiveness(formula: str, source: str, valid: str) -> SolutionLine:
    return SolutionLine("eps", "effectiveness", "number", formula, source, valid)


def _slip_in_effectiveness(key: str, told: str, formula: str) -> Slip:
    return Slip(key, told, {"eps": formula})


_TWO_WATERS = (looked_up("c_h", "cp", WATER, "T_h_in"), looked_up("c_c", "cp", WATER, "T_c_in"))
_WATER_TEXT = (
    "Hot water enters {arrangement} at {{T_h_in}} with {{m_h}}, cold water at {{T_c_in}} with {{m_c}}. The area is "
    "{{A}} and the overall heat transfer coefficient, counted on it, {{U}}. What heat passes, and how warm does the "
    "cold water leave?"
)

COUNTERFLOW = Topic(
    key="counterflow",
    title="Counterflow exchanger by effectiveness and NTU",
    text=_WATER_TEXT.format(arrangement="a counterflow double-pipe exchanger"),
    givens=(*FLOWS, *SIZE),
    looked_up=_TWO_WATERS,
    lines=(*RATES, _effectiveness(COUNTER, SHAH, "counterflow, capacity rates that differ"), *OUTCOME),
    asked=("q", "T_c_out"),
    hints=HINTS,
    slips=(
        SWAPPED,
        WRONG_MOST,
        WRONG_NTU,
        _slip_in_effectiveness(
            "formula of parallel flow", "The formula of parallel flow was used for counterflow.", PARALLEL
        ),
    ),
    conditions=SENSIBLE,
    engine=_engine_numbers(Arrangement.COUNTERFLOW),
)

PARALLEL_FLOW = Topic(
    key="parallel-flow",
    title="Parallel-flow exchanger by effectiveness and NTU",
    text=_WATER_TEXT.format(arrangement="a double-pipe exchanger in parallel flow"),
    givens=(*FLOWS, *SIZE),
    looked_up=_TWO_WATERS,
    lines=(*RATES, _effectiveness(PARALLEL, SHAH, "parallel flow"), *OUTCOME),
    asked=("q", "T_c_out"),
    hints=HINTS,
    slips=(
        SWAPPED,
        WRONG_MOST,
        WRONG_NTU,
        _slip_in_effectiveness(
            "formula of counterflow", "The formula of counterflow was used for parallel flow.", COUNTER
        ),
    ),
    conditions=SENSIBLE,
    engine=_engine_numbers(Arrangement.PARALLEL),
)

_RADIATOR = (
    GivenNumber("m_h", "mass flow of the coolant", "mass flow", 0.4, 2.0),
    GivenNumber("m_c", "mass flow of the air", "mass flow", 0.6, 3.0),
    GivenNumber("T_h_in", "temperature of the coolant at its inlet", "temperature", 80.0, 100.0),
    GivenNumber("T_c_in", "temperature of the air at its inlet", "temperature", 15.0, 40.0),
    GivenNumber("U", "overall heat transfer coefficient", "film", 40.0, 130.0),
    GivenNumber("A", "heat transfer area", "area", 5.0, 25.0),
)
_COOLANT_AIR = (looked_up("c_h", "cp", COOLANT, "T_h_in"), looked_up("c_c", "cp", AIR, "T_c_in"))

CROSSFLOW = Topic(
    key="crossflow-unmixed",
    title="Crossflow exchanger, both streams unmixed",
    text="Coolant, half ethylene glycol and half water, enters a finned core at {T_h_in} with {m_h}. Air crosses it, "
    "{m_c} at {T_c_in}. Neither stream mixes within the core. The area is {A} and the overall heat transfer "
    "coefficient, counted on it, {U}. What heat passes, and how cool does the coolant leave? Use the one-term formula.",
    givens=_RADIATOR,
    looked_up=_COOLANT_AIR,
    lines=(
        *RATES,
        _effectiveness(
            CROSS, "Incropera, 7th edition, Eq. 11.32", "crossflow, both unmixed; 3.8 % low to 1.1 % high of the series"
        ),
        *OUTCOME[:-1],
    ),
    asked=("q", "T_h_out"),
    hints=HINTS,
    slips=(
        SWAPPED,
        WRONG_MOST,
        WRONG_NTU,
        _slip_in_effectiveness(
            "formula of parallel flow", "The formula of parallel flow was used for crossflow.", PARALLEL
        ),
    ),
    conditions=SENSIBLE,
    engine=lambda si: {
        s: v for s, v in _engine_numbers(Arrangement.BOTH_UNMIXED_APPROXIMATION)(si).items() if s != "T_c_out"
    },
)

ONE_MIXED = Topic(
    key="crossflow-one-mixed",
    title="Crossflow exchanger, the smaller stream mixed",
    text="Coolant, half ethylene glycol and half water, flows through parallel tubes: {m_h} at {T_h_in}. Air crosses "
    "the plain tubes and mixes on its way: {m_c} at {T_c_in}. The area is {A} and the overall heat transfer "
    "coefficient, counted on it, {U}. What heat passes, and how warm does the air leave?",
    givens=_RADIATOR,
    looked_up=_COOLANT_AIR,
    lines=(
        *RATES,
        _effectiveness(MIN_MIXED, SHAH, "crossflow, stream of the smaller capacity rate mixed, the other unmixed"),
        *OUTCOME,
    ),
    asked=("q", "T_c_out"),
    hints=HINTS,
    slips=(
        SWAPPED,
        WRONG_MOST,
        WRONG_NTU,
        _slip_in_effectiveness("formula of counterflow", "The formula of counterflow was used for crossflow.", COUNTER),
    ),
    conditions=(*SENSIBLE, "C_h - C_c"),
    engine=_engine_numbers(Arrangement.AIR_MIXED),
)

_ROOT = SolutionLine("Gamma", "abbreviation", "number", "sqrt(1 + C_r**2)", DEFINITION)
_SHELL = "2/(1 + C_r + Gamma*(1 + exp(-NTU*Gamma))/(1 - exp(-NTU*Gamma)))"

SHELL_AND_TUBE = Topic(
    key="shell-and-tube",
    title="Shell-and-tube exchanger, one shell pass and two tube passes",
    text=_WATER_TEXT.format(arrangement="a shell-and-tube exchanger of one shell pass and two tube passes"),
    givens=(*FLOWS, *SIZE),
    looked_up=_TWO_WATERS,
    lines=(*RATES, _ROOT, _effectiveness(_SHELL, SHAH, "one shell pass, two tube passes, shell mixed"), *OUTCOME),
    asked=("q", "T_c_out"),
    hints=HINTS,
    slips=(
        SWAPPED,
        WRONG_MOST,
        WRONG_NTU,
        _slip_in_effectiveness("formula of parallel flow", "The formula of parallel flow was used.", PARALLEL),
    ),
    conditions=SENSIBLE,
    engine=lambda si: {"eps": shell_effectiveness(si["NTU"], si["C_r"])},
)


def _balanced(si: SiValues) -> SiValues:
    """Heat and outlet by the engine: the conductance that cools the hot stream so far, then what it does."""
    C_h = si["m_h"] * si["c_h"]
    C_c = si["m_c"] * si["c_c"]
    cooled = si["T_h_in"] - si["T_h_out"]
    share = C_h / min(C_h, C_c) * cooled / (si["T_h_in"] - si["T_c_in"])
    UA = conductance_from_effectiveness(share, C_h, C_c, Arrangement.COUNTERFLOW).UA
    found = exchange(UA, C_h, C_c, si["T_h_in"], si["T_c_in"], Arrangement.COUNTERFLOW)
    return {"q": float(found.Q[0]), "T_c_out": float(found.T_cold_out[0])}


HEAT_BALANCE = Topic(
    key="heat-balance",
    title="Heat balance of two streams",
    text="Coolant, half ethylene glycol and half water, {m_h}, is cooled from {T_h_in} to {T_h_out} by cold water, "
    "{m_c}, that enters at {T_c_in}. No heat is lost. What heat passes, and how warm does the water leave?",
    givens=(
        *FLOWS,
        GivenNumber("T_h_out", "temperature of the hot stream at its outlet", "temperature", 45.0, 75.0),
    ),
    looked_up=(looked_up("c_h", "cp", COOLANT, "T_h_in"), looked_up("c_c", "cp", WATER, "T_c_in")),
    lines=(
        SolutionLine("q", "heat that passes", "heat", "m_h*c_h*(T_h_in - T_h_out)", BALANCE),
        SolutionLine(
            "T_c_out", "temperature of the cold stream at its outlet", "temperature", "T_c_in + q/(m_c*c_c)", BALANCE
        ),
    ),
    asked=("q", "T_c_out"),
    hints=(
        "The hot stream is known at both ends: its heat follows from mass flow, specific heat and fall in temperature.",
        "The cold stream takes up all of it: how far does it warm?",
    ),
    slips=(
        Slip(
            "flow of the other stream",
            "The mass flow of the cold stream was put with the fall of the hot one.",
            {"q": "m_c*c_h*(T_h_in - T_h_out)"},
        ),
        Slip(
            "specific heat of water for the coolant",
            "The coolant was taken as plain water.",
            {"q": "m_h*c_c*(T_h_in - T_h_out)"},
        ),
        Slip(
            "273 added to a difference",
            "A difference of temperatures was made absolute. It is the same in both scales: nothing is added.",
            {"q": "m_h*c_h*(T_h_in - T_h_out + 273.15)"},
        ),
        Slip(
            "outlets in parallel",
            "The rise was taken off the inlet of the cold stream.",
            {"T_c_out": "T_c_in - q/(m_c*c_c)"},
        ),
    ),
    conditions=("T_h_in - T_h_out - 8", "T_h_out - T_c_in - 8", "T_h_in - T_c_out - 8", "T_c_out - T_c_in - 5"),
    engine=_balanced,
)


MEAN_DIFFERENCE = Topic(
    key="mean-difference",
    title="Size by the mean temperature difference and its correction",
    text="A shell-and-tube exchanger of one shell pass and two tube passes is to cool hot water, {m_h}, from {T_h_in} "
    "to "
    "{T_h_out}, while cold water warms from {T_c_in} to {T_c_out}. The overall heat transfer coefficient is {U}. What "
    "are the correction factor and the area?",
    givens=(
        GivenNumber("m_h", "mass flow of the hot stream", "mass flow", 0.3, 3.0),
        GivenNumber("T_h_in", "temperature of the hot stream at its inlet", "temperature", 70.0, 95.0),
        GivenNumber("T_h_out", "temperature of the hot stream at its outlet", "temperature", 45.0, 75.0),
        GivenNumber("T_c_in", "temperature of the cold stream at its inlet", "temperature", 10.0, 30.0),
        GivenNumber("T_c_out", "temperature of the cold stream at its outlet", "temperature", 25.0, 55.0),
        GivenNumber("U", "overall heat transfer coefficient", "film", 300.0, 1500.0),
    ),
    looked_up=(looked_up("c_h", "cp", WATER, "T_h_in"),),
    lines=(
        SolutionLine("q", "heat that has to pass", "heat", "m_h*c_h*(T_h_in - T_h_out)", BALANCE),
        SolutionLine("dT_1", "difference at the hot end", "difference", "T_h_in - T_c_out", "counterflow"),
        SolutionLine("dT_2", "difference at the cold end", "difference", "T_h_out - T_c_in", "counterflow"),
        SolutionLine("dT_m", "logarithmic mean of the two", "difference", "(dT_1 - dT_2)/ln(dT_1/dT_2)", DEFINITION),
        SolutionLine(
            "P",
            "temperature effectiveness of the cold stream",
            "number",
            "(T_c_out - T_c_in)/(T_h_in - T_c_in)",
            DEFINITION,
        ),
        SolutionLine(
            "R", "ratio of the changes in temperature", "number", "(T_h_in - T_h_out)/(T_c_out - T_c_in)", DEFINITION
        ),
        SolutionLine("S", "abbreviation", "number", "sqrt(R**2 + 1)", DEFINITION),
        SolutionLine(
            "F",
            "correction of the mean difference",
            "number",
            "S*ln((1 - P)/(1 - P*R))/((R - 1)*ln((2 - P*(R + 1 - S))/(2 - P*(R + 1 + S))))",
            "Bowman, Mueller and Nagle, Trans. ASME 62 (1940) 283",
            "one shell pass, two tube passes, changes in temperature that differ",
        ),
        SolutionLine("A", "heat transfer area", "area", "q/(U*F*dT_m)", DEFINITION),
    ),
    asked=("F", "A"),
    hints=(
        "Write down the heat from the hot stream and the differences at the two ends as in counterflow.",
        "Form P and R with the cold stream; the correction factor follows from these two.",
        "Area: heat over coefficient, correction factor and mean difference.",
    ),
    slips=(
        Slip(
            "correction left out",
            "The correction factor was left out: the area is that of plain counterflow.",
            {"F": "1"},
        ),
        Slip(
            "differences as in parallel flow",
            "The ends were paired as in parallel flow: inlet with inlet.",
            {"dT_1": "T_h_in - T_c_in", "dT_2": "T_h_out - T_c_out"},
        ),
        Slip(
            "correction on the wrong side",
            "The mean difference was divided by the correction factor.",
            {"A": "q*F/(U*dT_m)"},
        ),
        Slip(
            "273 added to a difference",
            "A difference of temperatures was made absolute. It is the same in both scales: nothing is added.",
            {"q": "m_h*c_h*(T_h_in - T_h_out + 273.15)"},
        ),
    ),
    conditions=(
        "T_h_in - T_h_out - 8",
        "T_c_out - T_c_in - 8",
        "F - 0.75",
        "0.97 - F",
        "(R - 1)**2 - 0.01",
        "(dT_1/dT_2 - 1)**2 - 0.01",
        "T_h_out - T_c_out",
    ),
    engine=lambda si: {
        "dT_m": float(LMTD(si["dT_1"], si["dT_2"])[0]),
        "A": _area_by_effectiveness(si),
    },
)


def _area_by_effectiveness(si: SiValues) -> float:
    """The same area [m2] by effectiveness and NTU: the other road to it."""
    C_h = si["q"] / (si["T_h_in"] - si["T_h_out"])
    C_c = si["q"] / (si["T_c_out"] - si["T_c_in"])
    C_min = min(C_h, C_c)
    C_r = min(C_h, C_c) / max(C_h, C_c)
    effectiveness = si["q"] / (C_min * (si["T_h_in"] - si["T_c_in"]))
    return shell_size(effectiveness, C_r) * C_min / si["U"]
