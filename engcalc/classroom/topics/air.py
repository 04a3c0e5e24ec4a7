"""Fan, moist air, and a radiator in other air."""

from __future__ import annotations

from engcalc.classroom.lookups import ATMOSPHERE, one
from engcalc.classroom.topic import GivenNumber, LookedUp, SiValues, Slip, SolutionLine, Topic
from engcalc.components.exchanger import Arrangement, conductance_from_effectiveness, exchange
from engcalc.components.fan import REFERENCE_DENSITY, Fan, FanDrive, FanSide, fan_pressure
from engcalc.properties.air import density, humidity_ratio, saturation_pressure

DEFINITION = "definition"


def _blown(si: SiValues) -> SiValues:
    none = one(0.0)
    fan = Fan(
        drive=FanDrive.FIXED,
        side=FanSide.PULLER,
        free_flow=one(si["V_0"]),
        stall_pressure=one(si["dp_0"]),
        count=one(1.0),
        on_temperature=none,
        off_temperature=none,
        high_on=none,
        high_off=none,
        low_speed=none,
        with_conditioning=none,
        senses_air=False,
        rated_engine_speed=one(50.0),
        power=None,
        advertised=one(si["V_0"]),
        windmill=none,
    )
    return {"dp": float(fan_pressure(fan, one(si["V"]), one(1.0), one(si["rho"]))[0])}


FAN = Topic(
    key="fan-system",
    title="Radiator fan against the core, in warm air",
    text="A fan gives {dp_0} with its outlet shut and {V_0} freely blowing, in air of {rho_0}; its curve is a parabola "
    "between the two. The core takes {dp_s} at {V_s} in the same air, with the square of the flow. It runs in air at "
    "{T_a} and 101.3 kPa. What flow settles, at what pressure, and how much air is that by mass?",
    givens=(
        GivenNumber("dp_0", "pressure of the fan, outlet shut", "fan pressure", 150.0, 400.0),
        GivenNumber("V_0", "flow of the fan, freely blowing", "air flow", 0.6, 2.0),
        GivenNumber("V_s", "flow at which the core was measured", "air flow", 0.4, 1.5),
        GivenNumber("dp_s", "pressure that the core took", "fan pressure", 60.0, 300.0),
        GivenNumber("T_a", "temperature of the air at the fan", "temperature", 40.0, 85.0),
    ),
    looked_up=(
        LookedUp(
            "rho_0",
            "density of the air of the tests",
            "density",
            lambda _si, _u: REFERENCE_DENSITY,
            "standard air of fan tests",
        ),
        LookedUp(
            "rho",
            "density of the air",
            "density",
            lambda si, _u: float(density(one(si["T_a"]), one(ATMOSPHERE), one(0.0))[0]),
            "dry air, at {T_a}",
        ),
    ),
    lines=(
        SolutionLine(
            "V",
            "volume flow",
            "air flow",
            "1/sqrt(1/V_0**2 + dp_s/dp_0/V_s**2)",
            "both pressures go with density: it cancels out",
        ),
        SolutionLine("dp", "pressure", "fan pressure", "rho/rho_0*dp_s*(V/V_s)**2", "curve of the core in this air"),
        SolutionLine("m", "mass flow", "mass flow", "rho*V", "continuity", us="60*rho*V"),
    ),
    asked=("V", "dp", "m"),
    hints=(
        "Write both curves with the square of the flow. Both go with the density of the air.",
        "Set them equal: the density cancels out, so that the volume flow is the same in any air.",
        "Pressure and mass flow do go with the density.",
    ),
    slips=(
        Slip(
            "density of the tests",
            "Pressure and mass were worked with the density of the tests.",
            {"dp": "dp_s*(V/V_s)**2", "m": "({})*rho_0/rho"},
        ),
        Slip(
            "core in proportion to flow",
            "The core's pressure was taken in proportion to the flow.",
            {"V": "(-dp_s/V_s + sqrt((dp_s/V_s)**2 + 4*dp_0**2/V_0**2))*V_0**2/(2*dp_0)", "dp": "rho/rho_0*dp_s*V/V_s"},
        ),
        Slip("free flow", "The free flow of the fan was taken for the flow through the core.", {"V": "V_0"}),
        Slip(
            "density on the core only",
            "The density was counted on the core but not on the fan.",
            {"V": "1/sqrt(1/V_0**2 + rho/rho_0*dp_s/dp_0/V_s**2)"},
        ),
    ),
    conditions=("V - 0.3*V_0", "0.85*V_0 - V", "1.15*rho_0 - rho"),
    engine=_blown,
    agrees={"dp": 1e-4},  # -; the density of the tests is printed to four digits
)

MOIST_AIR = Topic(
    key="moist-air",
    title="Moist air: humidity ratio and enthalpy",
    text="Air is at {T_a}, {p} and {phi} relative humidity. What are its humidity ratio and its enthalpy per mass of "
    "dry "
    "air?",
    givens=(
        GivenNumber("T_a", "temperature of the air", "temperature", 22.0, 42.0),
        GivenNumber("p", "pressure of the air", "pressure", 85.0, 103.0),
        GivenNumber("phi", "relative humidity", "percent", 45.0, 90.0),
    ),
    looked_up=(
        LookedUp(
            "p_ws",
            "pressure of water vapour, saturated",
            "pressure",
            lambda si, _u: float(saturation_pressure(one(si["T_a"]))[0]),
            "steam table at {T_a}",
        ),
    ),
    lines=(
        SolutionLine("p_v", "pressure of the water vapour", "pressure", "phi/100*p_ws", DEFINITION),
        SolutionLine(
            "w",
            "humidity ratio",
            "number",
            "0.621945*p_v/(p - p_v)",
            "ASHRAE Handbook, Fundamentals (2017), chapter 1, Eq. 20",
            "perfect gases",
        ),
        SolutionLine(
            "i",
            "enthalpy per mass of dry air",
            "enthalpy",
            "1.006*T_a + w*(2501 + 1.86*T_a)",
            "ASHRAE Handbook, Fundamentals (2017), chapter 1, Eq. 30",
            "zero for dry air at 0 °C (0 °F)",
            us="0.240*T_a + w*(1061 + 0.444*T_a)",
        ),
    ),
    asked=("w", "i"),
    hints=(
        "The vapour has its share of the saturated pressure at this temperature.",
        "Humidity ratio: mass of vapour to mass of dry air. The dry air has the pressure that the vapour leaves.",
        "Enthalpy: the dry air's and the vapour's, with the heat that made it vapour.",
    ),
    slips=(
        Slip(
            "whole pressure for the dry air's",
            "The vapour was set against the whole pressure; it counts against that of the dry air.",
            {"w": "0.621945*p_v/p"},
        ),
        Slip("humidity left out", "The air was taken as saturated.", {"p_v": "p_ws"}),
        Slip(
            "ratio of the molar masses upside down",
            "The ratio of the molar masses stands upside down.",
            {"w": "p_v/(0.621945*(p - p_v))"},
        ),
        Slip(
            "vapour left out of the enthalpy",
            "Only the dry air was counted in the enthalpy.",
            {"i": "({}) - w*(2501 + 1.86*T_a)"},
        ),
    ),
    conditions=("w - 0.008", "0.045 - w"),
    engine=lambda si: {"w": float(humidity_ratio(one(si["T_a"]), one(si["phi"]), one(si["p"]))[0])},
    agrees={"w": 6e-4},  # -; the saturated pressure is printed to four digits
)


def _elsewhere(si: SiValues) -> SiValues:
    """The engine's heat of one core at both inlet differences; flows and conductance the same."""
    C_h, C_c, arrangement = 5000.0, 1500.0, Arrangement.BOTH_UNMIXED  # W/K; any core gives the same ratio
    UA = conductance_from_effectiveness(0.5, C_h, C_c, arrangement).UA
    first = float(exchange(UA, C_h, C_c, si["T_h"], si["T_c"], arrangement).Q[0])
    second = float(exchange(UA, C_h, C_c, si["T_h_2"], si["T_c_2"], arrangement).Q[0])
    return {"q_2": si["q_1"] * second / first}


RADIATOR = Topic(
    key="radiator-other-air",
    title="Heat of a radiator at another air temperature",
    text="On the bench a radiator gives off {q_1} with coolant at {T_h} and air at {T_c}. On the road the coolant "
    "comes at "
    "{T_h_2} and the air at {T_c_2}, both flows as on the bench. What heat does it give off, and up to what air "
    "temperature does it give off {q_n}?",
    givens=(
        GivenNumber("q_1", "heat on the bench", "large heat", 20.0, 120.0),
        GivenNumber("T_h", "coolant at the inlet, bench", "temperature", 80.0, 95.0),
        GivenNumber("T_c", "air at the inlet, bench", "temperature", 15.0, 30.0),
        GivenNumber("T_h_2", "coolant at the inlet, road", "temperature", 90.0, 112.0),
        GivenNumber("T_c_2", "air at the inlet, road", "temperature", 28.0, 50.0),
        GivenNumber("q_n", "heat that has to go", "large heat", 20.0, 120.0),
    ),
    looked_up=(),
    lines=(
        SolutionLine(
            "e",
            "heat per degree of inlet difference",
            "capacity rate",
            "1000*q_1/(T_h - T_c)",
            DEFINITION,
            "the same flows, properties hardly changed",
            us="q_1/(T_h - T_c)",
        ),
        SolutionLine(
            "q_2",
            "heat on the road",
            "large heat",
            "e*(T_h_2 - T_c_2)/1000",
            "heat goes with the inlet difference",
            us="e*(T_h_2 - T_c_2)",
        ),
        SolutionLine(
            "T_lim",
            "highest air temperature for the heat that has to go",
            "temperature",
            "T_h_2 - 1000*q_n/e",
            "the same, solved for the air",
            us="T_h_2 - q_n/e",
        ),
    ),
    asked=("q_2", "T_lim"),
    hints=(
        "With the same flows the effectiveness is the same: heat goes with the difference of the two inlets.",
        "What is the heat per degree of that difference?",
        "Turn it round: what difference does the heat ask for?",
    ),
    slips=(
        Slip(
            "ratio of temperatures",
            "Heat was taken in proportion to the coolant's temperature, not to the difference.",
            {"q_2": "q_1*T_h_2/T_h"},
        ),
        Slip(
            "ratio upside down",
            "The ratio of the differences stands upside down.",
            {"q_2": "q_1*(T_h - T_c)/(T_h_2 - T_c_2)"},
        ),
        Slip(
            "coolant left as on the bench",
            "The coolant's temperature of the bench was kept on the road.",
            {"q_2": "({})*(T_h - T_c_2)/(T_h_2 - T_c_2)", "T_lim": "({}) - T_h_2 + T_h"},
        ),
        Slip(
            "air left as on the bench",
            "The air's temperature of the bench was kept on the road.",
            {"q_2": "({})*(T_h_2 - T_c)/(T_h_2 - T_c_2)"},
        ),
    ),
    conditions=("T_lim - 293.15", "333.15 - T_lim", "(T_h_2 - T_h)**2 - 9", "(T_c_2 - T_c)**2 - 25"),
    engine=_elsewhere,
)
