"""The chain of a steady check, from fuel to margin: every term with its place among the results, every step.

The steps are data; :func:`work` reads one duty's results into them. Symbols follow the field's textbooks; a
temperature is shown in degC and only ever enters as a difference or as a sum of such.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from engcalc.case.records import Duty
from engcalc.components.engine import PreparedEngine, friction_power, friction_shape, oil_factor
from engcalc.components.exchanger import Arrangement
from engcalc.errors import RangeError
from engcalc.system.state import OperatingPoint
from engcalc.units import Array
from engcalc.working.shown import Shown, Term, WorkingLine, show_step, terms_of


class DutyResults(Protocol):
    """What the working reads of one duty; :class:`engcalc.studies.check.DutyCheck` has it all."""

    @property
    def point(self) -> OperatingPoint: ...
    @property
    def held_open(self) -> OperatingPoint: ...
    @property
    def limit(self) -> float: ...
    @property
    def margin(self) -> float | None: ...
    @property
    def peak(self) -> float | None: ...
    @property
    def air_to_boil(self) -> float | None: ...


@dataclass(frozen=True, eq=False)
class Results:
    """Where the paths of the terms begin: the duty as asked, its answers, and the engine as prepared."""

    asked: Duty
    duty: DutyResults
    engine: PreparedEngine

    @property
    def point(self) -> OperatingPoint:
        """The duty's operating point."""
        return self.duty.point

    @property
    def settles(self) -> float:
        """1 for a duty that goes on until it settles, 0 for one with a duration."""
        return 1.0 if self.asked.duration is None else 0.0

    @property
    def held_open(self) -> OperatingPoint:
        """The same with the valve held open."""
        return self.duty.held_open

    @property
    def friction(self) -> Array:
        """Friction power [W] of the engine component at the duty's speed and oil temperature."""
        return friction_power(self.engine, self.point.engine_speed, self.point.wax)

    @property
    def speed_factor(self) -> Array:
        """Friction mean pressure over that at idle [-]."""
        rated = self.engine.rated_speed
        return friction_shape(self.point.engine_speed, rated) / friction_shape(self.engine.idle_speed, rated)

    @property
    def oil_factor(self) -> Array:
        """Friction over that of a warm engine [-]; the oil is as warm as the valve's wax."""
        return oil_factor(self.point.wax)

    @property
    def willans(self) -> float:
        """1 where fuel follows from power and friction, 0 where it was measured or there is no engine."""
        return float(self.engine.present and self.asked.fuel_flow is None)


@dataclass(frozen=True)
class Chapter:
    """Some steps under one title."""

    title: str
    steps: tuple[WorkingLine, ...]


@dataclass(frozen=True)
class Worked:
    """A chapter with its lines, and what could not be shown and why (empty unless something is wrong)."""

    title: str
    lines: tuple[Shown, ...]
    failures: tuple[str, ...]


TERMS = terms_of(
    ("P", "point.brake_power", "W", "brake power"),
    ("P_fuel", "point.fuel_power", "W", "fuel power"),
    ("P_fr", "friction", "W", "friction power"),
    ("fmep", "engine.friction_mep", "Pa", "friction mean pressure, warm idle"),
    ("f_n", "speed_factor", "", "friction at this speed over that at idle"),
    ("f_oil", "oil_factor", "", "friction with this oil over that of a warm engine"),
    ("V_d", "engine.displacement", "m3", "displacement"),
    ("n", "point.engine_speed", "1/s", "engine speed"),
    ("i", "engine.cycles_per_turn", "", "working cycles per turn"),
    ("eta_i", "engine.indicated_efficiency", "", "indicated efficiency"),
    ("m_f", "asked.fuel_flow", "kg/s", "fuel flow, measured"),
    ("H_u", "engine.heating_value", "J/kg", "lower heating value of the fuel"),
    ("is_willans", "willans", "", "1 where fuel follows from power and friction"),
    ("P_fuel_r", "engine.fuel_rated", "W", "fuel power at the rated point"),
    ("x_rated", "engine.share_rated", "", "share of fuel power into the metal, rated"),
    ("b_Q", "engine.heat_exponent", "", "exponent through idle and rated point"),
    ("Q_metal", "point.heat_to_metal", "W", "heat into the metal"),
    ("Q_exh", "point.heat_exhaust", "W", "heat with the exhaust"),
    ("Q_rest", "point.heat_rest", "W", "rest"),
    ("Q_x", "point.extra_heat", "W", "other heat into the coolant"),
    ("Q_s", "point.surface_heat", "W", "heat lost from the engine's surface"),
    ("Q_c", "point.heat_to_coolant", "W", "heat to the coolant"),
    ("Q_rad", "point.radiator_heat", "W", "heat of the radiator"),
    ("Q_heat", "point.heater_heat", "W", "heat of the heater"),
    ("Q_hose", "point.hose_heat", "W", "heat lost from the heater's hoses"),
    ("Q_ch", "point.coolant_heater_heat", "W", "heat of the coolant heater"),
    ("dT_eng", "point.coolant_rise", "K", "coolant rise across the engine"),
    ("T_eo", "point.coolant_out", "degC", "engine outlet"),
    ("T_ei", "point.coolant_in", "degC", "engine inlet"),
    ("v_a", "point.core.flows.air_velocity", "m/s", "air velocity at the core's face"),
    ("a_open", "point.core.core.open_face", "", "open share of the face"),
    ("sigma", "point.core.core.fin.sigma", "", "free-flow area over face area"),
    ("V_core", "point.core.air.V_core", "m/s", "air velocity between the fins"),
    ("rho_a", "point.core.flows.air.rho", "kg/m3", "density of the air"),
    ("mu_a", "point.core.flows.air.mu", "Pa s", "viscosity of the air"),
    ("cp_a", "point.core.flows.air.cp", "J/(kg K)", "specific heat of the air"),
    ("Pr_a", "point.core.flows.air.Pr", "", "Prandtl number of the air"),
    ("G", "point.core.air.G", "kg/(s m2)", "mass flux of the air"),
    ("Re_Lp", "point.core.air.Re_Lp", "", "Reynolds number with the louver pitch"),
    ("j_0", "point.core.core.fin.j_factor", "", "Colburn factor at Reynolds number 1, from the fin's dimensions"),
    ("j", "point.core.air.j", "", "Colburn factor"),
    ("h_a", "point.core.air.h", "W/(m2 K)", "air-side coefficient"),
    ("theta", "point.core.core.fin.fin.theta", "rad", "louver angle"),
    ("F_p", "point.core.core.fin.fin.Fp", "m", "fin pitch"),
    ("F_l", "point.core.core.fin.fin.Fl", "m", "fin height"),
    ("F_d", "point.core.core.fin.fin.Fd", "m", "core depth"),
    ("L_p", "point.core.core.fin.fin.Lp", "m", "louver pitch"),
    ("L_l", "point.core.core.fin.fin.Ll", "m", "louver length"),
    ("T_p", "point.core.core.fin.fin.Tp", "m", "tube pitch"),
    ("delta_f", "point.core.core.fin.fin.delta_f", "m", "fin thickness"),
    ("k_f", "point.core.core.fin.fin.k_fin", "W/(m K)", "conductivity of the fin"),
    ("l", "point.core.core.fin.fin_length", "m", "effective length of the fin"),
    ("eta_f", "point.core.air.eta_fin", "", "fin efficiency"),
    ("x_f", "point.core.core.fin.fin_share", "", "fin surface over whole surface"),
    ("eta_o", "point.core.air.eta_o", "", "efficiency of the whole surface"),
    ("A_a", "point.core.core.A_air", "m2", "air-side surface"),
    ("R_a", "point.core.R_air", "K/W", "resistance of the air side"),
    ("m_e", "point.coolant_mass_flow", "kg/s", "coolant flow through the engine"),
    ("m_rad", "point.core.flows.coolant_mass_flow", "kg/s", "coolant flow through the radiator"),
    ("rho_c", "point.core.flows.coolant.rho", "kg/m3", "density of the coolant"),
    ("mu_c", "point.core.flows.coolant.mu", "Pa s", "viscosity of the coolant"),
    ("cp_c", "point.core.flows.coolant.cp", "J/(kg K)", "specific heat of the coolant"),
    ("k_c", "point.core.flows.coolant.k", "W/(m K)", "conductivity of the coolant"),
    ("Pr_c", "point.core.flows.coolant.Pr", "", "Prandtl number of the coolant"),
    ("A_c", "point.core.core.flow_area", "m2", "flow area of the tubes in one pass"),
    ("V_t", "point.core.tube.V", "m/s", "coolant velocity in the tubes"),
    ("D_h", "point.core.core.tube.Dh", "m", "hydraulic diameter of a tube"),
    ("L_t", "point.core.core.tube.tube.length", "m", "length of a tube"),
    ("Re_t", "point.core.tube.Re", "", "Reynolds number in the tubes"),
    ("Nu_0", "point.core.core.tube.Nu_laminar", "", "Nusselt number of developed laminar flow"),
    ("Nu", "point.core.tube.Nu", "", "Nusselt number in the tubes"),
    ("h_c", "point.core.tube.h", "W/(m2 K)", "coolant-side coefficient"),
    ("A_t", "point.core.core.A_tube", "m2", "coolant-side surface"),
    ("R_c", "point.core.R_tube", "K/W", "resistance of the coolant side"),
    ("R_w", "point.core.R_wall", "K/W", "resistance of the tube wall"),
    ("R_foul", "point.core.R_fouling", "K/W", "resistance of the fouling"),
    ("R", "point.core.R_total", "K/W", "resistance in all"),
    ("k_UA", "point.core.ua_scale", "", "factor from a known point"),
    ("UA", "point.core.UA", "W/K", "conductance"),
    ("A_face", "point.core.core.face", "m2", "face of the core"),
    ("a_live", "point.core.core.live_air", "", "share of the air that passes live tubes"),
    ("C_c", "point.core.exchange.C_hot", "W/K", "capacity rate of the coolant"),
    ("C_a", "point.core.exchange.C_cold", "W/K", "capacity rate of the air that passes live tubes"),
    ("C_all", "point.core.C_air", "W/K", "capacity rate of all the air"),
    ("C_min", "point.core.exchange.C_min", "W/K", "smaller capacity rate"),
    ("C_r", "point.core.exchange.Cr", "", "capacity ratio"),
    ("NTU", "point.core.exchange.NTU", "", "number of transfer units"),
    ("N_p", "point.core.exchange.passes", "", "passes"),
    ("NTU_1", "point.core.exchange.pass_NTU", "", "number of transfer units of one pass"),
    ("C_r1", "point.core.exchange.pass_Cr", "", "capacity ratio of one pass"),
    ("eps_1", "point.core.exchange.pass_effectiveness", "", "effectiveness of one pass"),
    ("eps", "point.core.exchange.effectiveness", "", "effectiveness"),
    ("T_ci", "point.core.flows.T_coolant_in", "degC", "coolant into the radiator"),
    ("T_ai", "point.core.flows.T_air_in", "degC", "air into the radiator"),
    ("T_co", "point.core.T_coolant_out", "degC", "coolant out of the radiator"),
    ("T_ao", "point.core.T_air_out", "degC", "air out of the radiator, mixed"),
    ("T_lim", "duty.limit", "degC", "limit"),
    ("settles", "settles", "", "1 if it goes on until it settles"),
    ("T_peak", "duty.peak", "degC", "peak in the duty's time"),
    ("T_hi", "point.span_high", "degC", "highest engine outlet"),
    ("switches", "point.cycles", "", "1 if the fan switches on and off"),
    ("dT_m", "duty.margin", "K", "margin"),
    ("T_held", "held_open.coolant_out", "degC", "engine outlet, valve held open"),
    ("T_amb", "asked.ambient", "degC", "ambient"),
    ("ATB", "duty.air_to_boil", "degC", "air-to-boil temperature"),
)

_WILLANS = "Heywood, Internal Combustion Engine Fundamentals (1988), section 12.3: heat follows a power of fuel"
_CW97 = "Chang & Wang, Int. J. Heat Mass Transfer 40 (1997) 533"
_INCROPERA = "Incropera 7e, section 11.3 to 11.4"
_SHAH = "Shah & Sekulic (2003), Table 3.3"


def _step(
    symbol: str, formula: str, source: str, parts: Mapping[str, str] | None = None, condition: str = "", count: str = ""
) -> WorkingLine:
    return WorkingLine(symbol, TERMS[symbol].label, formula, source, parts or {}, condition, count)


_GNIELINSKI = {
    "f": "(0.790*ln({Re}) - 1.64)**-2",
    "turbulent": "f/8*({Re} - 1000)*Pr_c/(1 + 12.7*sqrt(f/8)*(Pr_c**(2/3) - 1))",
}
_HAUSEN = {"Gz": "{Re}*Pr_c*D_h/L_t", "laminar": "Nu_0 + 0.0668*Gz/(1 + 0.04*Gz**(2/3))"}


def _at(parts: Mapping[str, str], Re: str) -> dict[str, str]:
    """The parts with their Reynolds number put in, those used by others last (substitution goes in that order)."""
    return {name: text.replace("{Re}", Re) for name, text in reversed(list(parts.items()))}


ENGINE = Chapter(
    "Heat into the coolant",
    (
        _step(
            "P_fr",
            "fmep*f_n*f_oil*V_d*n*i",
            "Heywood (1988), section 13.2; speed: Barnes-Moss, oil: ASTM D341",
            condition="is_willans",
        ),
        _step(
            "P_fuel",
            "(P + P_fr)/eta_i",
            "Willans line, Heywood (1988), section 5.4",
            condition="min(is_willans, P + P_fr)",
        ),
        _step("P_fuel", "m_f*H_u", "definition of the heating value"),
        _step("Q_metal", "x_rated*P_fuel_r*(P_fuel/P_fuel_r)**b_Q", _WILLANS, condition="min(P + 1, Q_exh)"),
        _step("Q_exh", "P_fuel - P - Q_metal - Q_rest", "energy balance of the engine", condition="P_fuel"),
        _step("Q_c", "Q_metal + Q_x - Q_s", "energy balance of metal and coolant, steady"),
        _step("dT_eng", "Q_c/(m_e*cp_c)", "energy balance of the coolant"),
    ),
)
AIR = Chapter(
    "Air side of the core",
    (
        _step("V_core", "v_a/(a_open*sigma)", "continuity"),
        _step("G", "rho_a*V_core", "continuity"),
        _step("Re_Lp", "G*L_p/mu_a", _CW97),
        _step(
            "j_0",
            "(theta/(pi/2))**0.27*(F_p/L_p)**-0.14*(F_l/L_p)**-0.29*(F_d/L_p)**-0.23*(L_l/L_p)**0.68"
            "*(T_p/L_p)**-0.28*(delta_f/L_p)**-0.05",
            _CW97,
        ),
        _step("j", "j_0*Re_Lp**-0.49", _CW97, condition="Re_Lp - 1"),
        _step("h_a", "j*G*cp_a*Pr_a**(-2/3)", "definition of the Colburn factor"),
        _step(
            "eta_f",
            "tanh(ml)/ml",
            "straight fin, Incropera 7e, section 3.6",
            {"ml": "sqrt(2*h_a/(k_f*delta_f)*(1 + delta_f/F_d))*l"},
        ),
        _step("eta_o", "1 - x_f*(1 - eta_f)", "Incropera 7e, section 3.6"),
        _step("R_a", "1/(eta_o*h_a*A_a)", "definition"),
    ),
)
COOLANT = Chapter(
    "Coolant side of the core",
    (
        _step("V_t", "m_rad/(rho_c*A_c)", "continuity"),
        _step("Re_t", "rho_c*V_t*D_h/mu_c", "definition"),
        _step(
            "Nu",
            "laminar",
            "Shah & London (1978), rectangular duct; entrance: Hausen (1943)",
            _at(_HAUSEN, "Re_t"),
            condition="2300 - Re_t",
        ),
        _step(
            "Nu",
            "laminar + (Re_t - 2300)/1700*(turbulent - laminar)",
            "Gnielinski, Int. J. Heat Mass Transfer 63 (2013) 134: a straight line from Re 2300 to 4000",
            {**_at(_HAUSEN, "2300"), **_at(_GNIELINSKI, "4000")},
            condition="min(Re_t - 2300, 4000 - Re_t)",
        ),
        _step(
            "Nu",
            "turbulent",
            "Gnielinski, Int. Chem. Eng. 16 (1976) 359",
            _at(_GNIELINSKI, "Re_t"),
            condition="Re_t - 4000",
        ),
        _step("h_c", "Nu*k_c/D_h", "definition of the Nusselt number"),
        _step("R_c", "1/(h_c*A_t)", "definition"),
    ),
)
CONDUCTANCE = Chapter(
    "Conductance and size",
    (
        _step("R", "R_a + R_w + R_foul + R_c", "resistances in series"),
        _step("UA", "k_UA/R", "definition; the factor is 1 unless a known point scales it"),
        _step("C_c", "m_rad*cp_c", "definition"),
        _step("C_a", "a_live*rho_a*v_a*A_face*cp_a", "definition"),
        _step("C_min", "min(C_c, C_a)", _INCROPERA),
        _step("C_r", "min(C_c, C_a)/max(C_c, C_a)", _INCROPERA),
        _step("NTU", "UA/C_min", _INCROPERA),
        _step(
            "NTU_1",
            "UA/(N_p*min(C_c, C_a/N_p))",
            "one of equal passes, each with its share of the air",
            condition="N_p - 1",
        ),
        _step(
            "C_r1",
            "min(C_c, C_a/N_p)/max(C_c, C_a/N_p)",
            "one of equal passes, each with its share of the air",
            condition="N_p - 1",
        ),
    ),
)

# One pass, by arrangement; x stands for the number of transfer units, r for the capacity ratio, of that pass.
_HOT_MIN = {"coolant is smaller": "C_a/N_p - C_c", "air is smaller": "C_c - C_a/N_p"}
_SMALLER_MIXED = "1 - exp(-(1 - exp(-r*x))/r)"
_LARGER_MIXED = "(1 - exp(-r*(1 - exp(-x))))/r"
_EXACT = "2/(N + 1)*total(sin(a)**2*(1 - exp(-x*D))/D, k, N)"
EXACT_PARTS = {"D": "1 - 2*sqrt(r)*cos(a) + r", "a": "k*pi/(N + 1)"}
ONE_PASS: Mapping[Arrangement, tuple[tuple[str, str], ...]] = {
    Arrangement.BOTH_UNMIXED: ((_EXACT, ""),),
    Arrangement.BOTH_UNMIXED_APPROXIMATION: (("1 - exp(x**0.22*(exp(-r*x**0.78) - 1)/r)", ""),),
    Arrangement.AIR_MIXED: ((_LARGER_MIXED, "coolant is smaller"), (_SMALLER_MIXED, "air is smaller")),
    Arrangement.COOLANT_MIXED: ((_SMALLER_MIXED, "coolant is smaller"), (_LARGER_MIXED, "air is smaller")),
    Arrangement.BOTH_MIXED: (("1/(1/(1 - exp(-x)) + r/(1 - exp(-r*x)) - 1/x)", ""),),
    Arrangement.COUNTERFLOW: (("(1 - exp(-x*(1 - r)))/(1 - r*exp(-x*(1 - r)))", ""),),
    Arrangement.PARALLEL: (("(1 - exp(-x*(1 + r)))/(1 + r)", ""),),
}
_PASSES = _step(
    "eps",
    "(1 - (1 - q)**N_p)*C_c/C_min",
    "each pass lowers the coolant's distance to the air inlet by the same share",
    {"q": "eps_1*min(C_c, C_a/N_p)/C_c"},
    condition="N_p - 1",
)


def effectiveness_chapter(arrangement: Arrangement, passes: float) -> Chapter:
    """The steps from size to effectiveness of an arrangement."""
    symbol = "eps" if passes <= 1.0 else "eps_1"
    exact = arrangement is Arrangement.BOTH_UNMIXED
    one = {
        **(EXACT_PARTS if exact else {}),
        **({"x": "NTU", "r": "C_r"} if passes <= 1.0 else {"x": "NTU_1", "r": "C_r1"}),
    }
    source = "Baclic (1978), as an integral summed at N points; exact for the digits shown" if exact else _SHAH
    steps = tuple(
        _step(symbol, formula, source, one, _HOT_MIN.get(when, ""), "N" if exact else "")
        for formula, when in ONE_PASS[arrangement]
    )
    return Chapter("Effectiveness", (*steps, _PASSES))


HEAT = Chapter(
    "Heat and temperatures",
    (
        _step("Q_rad", "eps*C_min*(T_ci - T_ai)", _INCROPERA),
        _step("T_co", "T_ci - Q_rad/C_c", "energy balance of the coolant"),
        _step("T_ao", "T_ai + Q_rad/C_all", "energy balance of the air"),
        _step("Q_c", "Q_rad + Q_heat + Q_hose", "where the heat goes", condition="0.000000001 - Q_ch"),
        _step(
            "Q_c",
            "Q_rad + Q_heat + Q_hose - Q_ch",
            "where the heat goes, less what the coolant heater adds",
            condition="Q_ch",
        ),
        _step("dT_m", "T_lim - T_eo", "limit less engine outlet", condition="min(settles, 0.5 - switches)"),
        _step(
            "dT_m",
            "T_lim - T_hi",
            "limit less the highest of the fan's cycle, which is run through in time",
            condition="min(settles, switches)",
        ),
        _step(
            "dT_m",
            "T_lim - T_peak",
            "limit less the peak in the duty's time, found by integration",
            condition="1 - settles",
        ),
        _step("ATB", "100 - T_held + T_amb", "SAE J1393: valve held open"),
    ),
)


def work(results: Results, arrangement: Arrangement) -> tuple[Worked, ...]:
    """The chain of one solved duty, chapter by chapter; steps that do not apply are left out."""
    passes = float(results.point.core.exchange.passes.ravel()[0])
    chapters = (ENGINE, AIR, COOLANT, CONDUCTANCE, effectiveness_chapter(arrangement, passes), HEAT)
    worked = (worked_with(chapter, TERMS, results) for chapter in chapters)
    return tuple(chapter for chapter in worked if chapter.lines or chapter.failures)


def worked_with(chapter: Chapter, terms: Mapping[str, Term], results: object) -> Worked:
    """A chapter with the numbers that its terms name among the results."""
    lines, failures = [], []
    for step in chapter.steps:
        try:
            line = show_step(step, terms, results)
        except RangeError as fault:
            failures.append(str(fault))
            continue
        if line is not None:
            lines.append(line)
    return Worked(chapter.title, tuple(lines), tuple(failures))
