"""Engine, coolant, cap and pump."""

from __future__ import annotations

import math

import numpy as np

from engcalc.classroom.lookups import ATMOSPHERE, COOLANT, HALF, WATER, looked_up, one
from engcalc.classroom.topic import GivenNumber, LookedUp, SiValues, Slip, SolutionLine, Topic
from engcalc.components.pressure_cap import PreparedCap, absolute_pressure
from engcalc.components.pump import Pump, PumpDrive, head_factors
from engcalc.properties.coolant import Base, boiling_point_raoult, saturation_temperature, water_mole_fraction
from engcalc.properties.fuel import FUELS, Fuel
from engcalc.units import UnitSystem

DEFINITION = "definition"
BALANCE = "heat balance"

ENGINE_BALANCE = Topic(
    key="engine-balance",
    title="Heat balance of an engine",
    text="A diesel engine burns {m_f} of fuel and gives {P_b} at its shaft. {x_c} of the fuel's power goes into the "
    "coolant, {x_e} leaves with the exhaust. What are its efficiency, the heat into the coolant, and the rest?",
    givens=(
        GivenNumber("m_f", "fuel flow", "fuel flow", 1.0, 6.0),
        GivenNumber("P_b", "power at the shaft", "power", 12.0, 110.0),
        GivenNumber("x_c", "share of the coolant", "percent", 18.0, 32.0),
        GivenNumber("x_e", "share of the exhaust", "percent", 22.0, 35.0),
    ),
    looked_up=(
        LookedUp(
            "H_u",
            "lower heating value of the fuel",
            "heating value",
            lambda _si, _system: FUELS[Fuel.DIESEL].lower_heating_value,
            "diesel",
        ),
    ),
    lines=(
        SolutionLine("P_f", "power of the fuel", "large heat", "m_f*H_u", DEFINITION),
        SolutionLine(
            "eta_b",
            "efficiency",
            "percent",
            "100*P_b/P_f",
            DEFINITION,
            us="100*2544.43*P_b/P_f",
            valid="1 hp is 2544.43 BTU/h",
        ),
        SolutionLine("q_c", "heat into the coolant", "large heat", "x_c/100*P_f", "share of the fuel's power"),
        SolutionLine("q_e", "heat with the exhaust", "large heat", "x_e/100*P_f", "share of the fuel's power"),
        SolutionLine(
            "q_r",
            "the rest: surface, unburnt fuel, radiation",
            "large heat",
            "P_f - P_b - q_c - q_e",
            BALANCE,
            us="P_f - 2544.43*P_b - q_c - q_e",
        ),
    ),
    asked=("eta_b", "q_c", "q_r"),
    hints=(
        "The power of the fuel is its flow times its lower heating value.",
        "Shares are counted from the power of the fuel, not from the power at the shaft.",
        "What goes in comes out: the rest closes the balance.",
    ),
    slips=(
        Slip(
            "share of the shaft's power",
            "The share of the coolant was taken of the power at the shaft.",
            {"q_c": "x_c/100*P_b"},
        ),
        Slip(
            "minutes for seconds",
            "The fuel flow was taken per minute instead of per second (or hour).",
            {"P_f": "({})/60"},
        ),
        Slip("exhaust forgotten", "The exhaust was left out of the balance.", {"q_e": "0"}),
        Slip("efficiency upside down", "Efficiency is what comes out over what goes in.", {"eta_b": "100*100/({})"}),
    ),
    conditions=("eta_b - 0.2", "0.43 - eta_b", "q_r - 0.05*P_f"),
    engine=lambda si: {
        "P_f": si["m_f"] * FUELS[Fuel.DIESEL].lower_heating_value,
        "q_c": si["x_c"] * si["m_f"] * FUELS[Fuel.DIESEL].lower_heating_value,
        "eta_b": si["P_b"] / (si["m_f"] * FUELS[Fuel.DIESEL].lower_heating_value),
    },
    agrees={"P_f": 5e-4, "q_c": 5e-4, "eta_b": 5e-4},  # -; the heating value is printed to four digits
)

COOLANT_FLOW = Topic(
    key="coolant-flow",
    title="Coolant flow from heat and rise",
    text="An engine gives {q} to its coolant, half ethylene glycol and half water. The coolant enters at {T_i} and may "
    "warm by {dT}. What flow is wanted?",
    givens=(
        GivenNumber("q", "heat into the coolant", "large heat", 20.0, 150.0),
        GivenNumber("dT", "rise of the coolant in the engine", "difference", 4.0, 10.0),
        GivenNumber("T_i", "temperature of the coolant at the inlet", "temperature", 80.0, 95.0),
    ),
    looked_up=(
        looked_up("rho", "rho", COOLANT, "T_i"),
        looked_up("cp", "cp", COOLANT, "T_i"),
        looked_up("c_w", "cp", WATER, "T_i"),
        looked_up("rho_w", "rho", WATER, "T_i"),
    ),
    lines=(
        SolutionLine("m", "mass flow", "mass flow", "1000*q/(cp*dT)", BALANCE, us="q/(cp*dT)"),
        SolutionLine(
            "V",
            "volume flow",
            "coolant flow",
            "60000*m/rho",
            "60,000 L/min to the m3/s",
            us="7.48052/60*m/rho",
            valid="7.48052 US gallons to the cubic foot",
        ),
    ),
    asked=("m", "V"),
    hints=(
        "Heat is mass flow times specific heat times rise: solve for the mass flow.",
        "Volume flow is mass flow over density; mind the units of time and volume.",
    ),
    slips=(
        Slip(
            "273 added to a difference",
            "A rise was made absolute. It is the same in both scales: nothing is added.",
            {"m": "({})*dT/(dT + 273.15)"},
        ),
        Slip("seconds for minutes", "The flow is per second and was not brought to minutes.", {"V": "({})/60"}),
        Slip("specific heat of water", "The specific heat of water was used.", {"m": "({})*cp/c_w"}),
        Slip("density of water", "The density of water was used.", {"V": "({})*rho/rho_w"}),
    ),
    conditions=("V - 20.0/60000", "400.0/60000 - V"),
    engine=lambda si: {"m": si["q"] / (si["cp"] * si["dT"]), "V": si["q"] / (si["cp"] * si["dT"] * si["rho"])},
    agrees={"V": 2e-6},  # -; gallons to the cubic foot are printed to six digits
)


def _atmosphere(metres: float) -> float:
    """The pressure [Pa] of the standard atmosphere."""
    return float(absolute_pressure(PreparedCap(Base.ETHYLENE, one(HALF), one(0.0), True), one(metres))[0])


def _table_row(next_row: int, si: SiValues, system: UnitSystem) -> float:
    """Pressure [Pa] of the row of the steam table at or below the one wanted, or of the next: 10 kPa or 1 psi apart."""
    apart = 10_000.0 if system is UnitSystem.SI else 6894.757293168  # Pa
    share = float(water_mole_fraction(Base.ETHYLENE, one(HALF))[0])
    wanted = (_atmosphere(si["z"]) + si["p_c"]) / share
    return apart * (math.floor(wanted / apart) + next_row)


def _boils(pressure: float) -> float:
    """The boiling point [K] of the half-and-half coolant at an absolute pressure [Pa]."""
    return float(boiling_point_raoult(Base.ETHYLENE, one(HALF), one(pressure))[0])


BOILING = Topic(
    key="boiling-point",
    title="Boiling point under a pressure cap at altitude",
    text="A cooling system holds half ethylene glycol and half water under a cap of {p_c} (gauge), {z} above the sea. "
    "At "
    "what temperature does the coolant boil? Count the glycol by Raoult's law and read between the rows of the table.",
    givens=(
        GivenNumber("p_c", "opening pressure of the cap, gauge", "pressure", 60.0, 145.0),
        GivenNumber("z", "altitude", "length", 200.0, 2500.0),
    ),
    looked_up=(
        LookedUp(
            "x_w",
            "mole fraction of water",
            "number",
            lambda _si, _system: float(water_mole_fraction(Base.ETHYLENE, one(HALF))[0]),
            "half and half by volume",
        ),
        LookedUp(
            "p_1",
            "steam table, lower row: pressure",
            "pressure",
            lambda si, u: _table_row(0, si, u),
            "IAPWS-IF97, absolute",
            exact=True,
        ),
        LookedUp(
            "T_1",
            "boiling point of water there",
            "temperature",
            lambda si, u: float(saturation_temperature(one(_table_row(0, si, u)))[0]),
            "IAPWS-IF97",
            digits=5,
        ),
        LookedUp(
            "p_2",
            "steam table, next row: pressure",
            "pressure",
            lambda si, u: _table_row(1, si, u),
            "IAPWS-IF97, absolute",
            exact=True,
        ),
        LookedUp(
            "T_2",
            "boiling point of water there",
            "temperature",
            lambda si, u: float(saturation_temperature(one(_table_row(1, si, u)))[0]),
            "IAPWS-IF97",
            digits=5,
        ),
    ),
    lines=(
        SolutionLine(
            "p_a",
            "pressure of the air at this altitude",
            "pressure",
            "101.325*(1 - 0.0065*z/288.15)**5.25588",
            "US Standard Atmosphere 1976, Eq. 33a",
            "up to 11 km",
            us="14.6959*(1 - 6.87559e-6*z)**5.25588",
        ),
        SolutionLine(
            "p", "absolute pressure in the system", "pressure", "p_a + p_c", "gauge counts from the air outside"
        ),
        SolutionLine(
            "p_w",
            "pressure at which plain water boils as hot",
            "pressure",
            "p/x_w",
            "Raoult's law",
            "vapour of the glycol left out",
        ),
        SolutionLine(
            "T_b",
            "boiling point of the coolant",
            "temperature",
            "T_1 + (p_w - p_1)/(p_2 - p_1)*(T_2 - T_1)",
            "straight line between two rows of the steam table",
        ),
    ),
    asked=("p", "T_b"),
    hints=(
        "The cap counts from the air outside: what is the air's pressure at this altitude?",
        "The water makes up only a part of the molecules: by Raoult's law plain water boils as hot at a higher "
        "pressure.",
        "Read the boiling point of water at that pressure between the two rows.",
    ),
    slips=(
        Slip(
            "gauge for absolute",
            "The gauge pressure of the cap was taken for the absolute pressure.",
            reads=lambda si: {"p": si["p_c"], "T_b": _boils(si["p_c"])},
        ),
        Slip(
            "pressure at sea level",
            "The pressure of the air at sea level was used.",
            reads=lambda si: {"p": ATMOSPHERE + si["p_c"], "T_b": _boils(ATMOSPHERE + si["p_c"])},
        ),
        Slip(
            "plain water",
            "The coolant was taken as plain water.",
            reads=lambda si: {"p": si["p"], "T_b": float(saturation_temperature(one(si["p"]))[0])},
        ),
        Slip(
            "cap left out",
            "The pressure of the cap was left out.",
            reads=lambda si: {"p": si["p_a"], "T_b": _boils(si["p_a"])},
        ),
    ),
    conditions=(),
    engine=lambda si: {"p_a": _atmosphere(si["z"]), "T_b": _boils(si["p"])},
    agrees={"p_a": 1e-5, "T_b": 2e-4},  # -; feet and psi are printed to six digits; a straight line between two rows
)

WARM_UP = Topic(
    key="warm-up",
    title="Warm-up of an engine as one lump",
    text="An engine and its coolant, {Cth} in all, start at {T_0}. The engine warms them with a steady {q}; they lose "
    "{UA_s} to air at {T_a}. When do they reach {T_e}?",
    givens=(
        GivenNumber("Cth", "heat capacity of engine and coolant", "heat capacity", 60.0, 200.0),
        GivenNumber("T_0", "temperature at the start", "temperature", -15.0, 20.0),
        GivenNumber("q", "heat into metal and coolant", "large heat", 4.0, 12.0),
        GivenNumber("UA_s", "loss to the air", "capacity rate", 20.0, 80.0),
        GivenNumber("T_a", "temperature of the air", "temperature", -15.0, 20.0),
        GivenNumber("T_e", "temperature wanted", "temperature", 60.0, 85.0),
    ),
    looked_up=(),
    lines=(
        SolutionLine("tau", "time constant", "time", "1000*Cth/UA_s", DEFINITION, us="3600*Cth/UA_s"),
        SolutionLine("T_end", "temperature in the end", "temperature", "T_a + 1000*q/UA_s", BALANCE, us="T_a + q/UA_s"),
        SolutionLine(
            "t",
            "time",
            "time",
            "tau*ln((T_end - T_0)/(T_end - T_e))",
            "one lump, everything steady",
            "where it would end above the temperature wanted",
        ),
        SolutionLine("t_m", "time in minutes", "minutes", "t/60", "60 s to the minute", converts=True),
    ),
    asked=("tau", "t_m"),
    hints=(
        "The time constant is heat capacity over loss. Where would the temperature end?",
        "The distance to that end shrinks with the time constant: it starts at one distance and ends at another.",
    ),
    slips=(
        Slip("seconds for minutes", "The time in seconds was given as minutes.", {"t_m": "t"}),
        Slip(
            "loss left out",
            "The loss to the air was left out: heat capacity times rise over heat.",
            {"t": "tau*(T_e - T_0)/(T_end - T_a)"},
        ),
        Slip("decimal logarithm", "The decimal logarithm was taken for the natural one.", {"t": "({})/ln(10)"}),
        Slip(
            "air left out",
            "The end temperature was counted from zero instead of from the air.",
            {"T_end": "({}) - T_a"},
        ),
    ),
    conditions=("T_end - T_e - 12", "t - 180", "2400 - t", "T_e - T_0 - 40"),
    engine=lambda si: {"tau": si["Cth"] / si["UA_s"], "T_end": si["T_a"] + si["q"] / si["UA_s"], "t": _integrated(si)},
    agrees={"t": 1e-5},  # -; summed over steps
)


def _integrated(si: SiValues) -> float:
    """The same time [s] by another road: the heat balance summed over small steps of temperature (Gauss, 60 points)."""
    node, weight = np.polynomial.legendre.leggauss(60)
    half = (si["T_e"] - si["T_0"]) / 2.0
    T = si["T_0"] + half * (node + 1.0)
    return float(half * np.sum(weight * si["Cth"] / (si["q"] - si["UA_s"] * (T - si["T_a"]))))


def _pumped(si: SiValues) -> SiValues:
    pump = Pump(PumpDrive.BELT, one(1.0), one(50.0), one(si["dp_0"]), one(si["a_p"]), one(1000.0), one(0.0))
    H, c = head_factors(pump, one(50.0), one(1000.0))
    return {"dp": float((H - c * si["V"] ** 2)[0])}


PUMP = Topic(
    key="pump-system",
    title="Coolant pump against the circuit",
    text="A pump gives {dp_0} at no flow and {dp_n} at {V_n}; its curve is a parabola through both. The circuit takes "
    "{dp_s} at {V_s}, with the square of the flow. What flow settles, and at what pressure?",
    givens=(
        GivenNumber("dp_0", "pressure of the pump at no flow", "pressure", 60.0, 140.0),
        GivenNumber("V_n", "flow of the second point", "coolant flow", 80.0, 200.0),
        GivenNumber("dp_n", "pressure of the pump there", "pressure", 25.0, 90.0),
        GivenNumber("V_s", "flow at which the circuit was measured", "coolant flow", 60.0, 150.0),
        GivenNumber("dp_s", "pressure that the circuit took", "pressure", 20.0, 90.0),
    ),
    looked_up=(),
    lines=(
        SolutionLine(
            "a_p", "fall of the pump's curve", "flow resistance", "(dp_0 - dp_n)/V_n**2", "parabola through two points"
        ),
        SolutionLine(
            "a_s",
            "resistance of the circuit",
            "flow resistance",
            "dp_s/V_s**2",
            "turbulent: with the square of the flow",
        ),
        SolutionLine("V", "flow", "coolant flow", "sqrt(dp_0/(a_p + a_s))", "both curves have the same pressure there"),
        SolutionLine("dp", "pressure", "pressure", "a_s*V**2", "curve of the circuit"),
    ),
    asked=("V", "dp"),
    hints=(
        "Write both curves with the square of the flow: two points give the pump's, one gives the circuit's.",
        "Where they meet both pressures are the same: solve for the flow.",
    ),
    slips=(
        Slip(
            "circuit in proportion to flow",
            "The circuit's pressure was taken in proportion to the flow.",
            {"V": "(-dp_s/V_s + sqrt((dp_s/V_s)**2 + 4*a_p*dp_0))/(2*a_p)", "dp": "dp_s/V_s*V"},
        ),
        Slip(
            "pump's point taken over",
            "The second point of the pump was taken for the working point.",
            {"V": "V_n", "dp": "dp_n"},
        ),
        Slip(
            "root left out",
            "The root was left out: pressure at no flow over both factors is the square of the flow.",
            {"V": "dp_0/(a_p + a_s)", "dp": "a_s*V"},
        ),
        Slip("pump taken as flat", "The pressure at no flow was taken for every flow.", {"a_p": "0"}),
    ),
    conditions=("dp_0 - 1.2*dp_n", "(V/V_n - 1)**2 - 0.0025", "V - 0.4*V_n", "1.4*V_n - V", "dp - 0.15*dp_0"),
    engine=_pumped,
)
