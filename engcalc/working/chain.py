"""The chain of a steady check, from fuel to margin: every term with its place among the results, every step.

The steps are data; :func:`work` reads one duty's results into them. Symbols follow the field's textbooks; a
temperature is shown in degC and only ever enters as a difference or as a sum of such.
"""

from __future__ import annotations

from collections.abc import Mapping

from engcalc.components.exchanger import Arrangement
from engcalc.working.chapters import Chapter, WorkedChapter, steps_with, worked_with
from engcalc.working.flows_chain import (
    AIR_FLOW,
    BOILING,
    COOLANT_FLOW,
    FRICTION,
    HEATER,
    PREHEAT,
    PROPERTIES_AT,
    REST,
    ROAD,
    SURFACE,
)
from engcalc.working.one_pass import ONE_PASS, both_unmixed
from engcalc.working.results import Results
from engcalc.working.same_digits import with_same_digits
from engcalc.working.sizes_chain import SIZES
from engcalc.working.terms import TERMS

_WILLANS = "Heywood, Internal Combustion Engine Fundamentals (1988), section 12.3: heat follows a power of fuel"
_CW97 = "Chang & Wang, Int. J. Heat Mass Transfer 40 (1997) 533"
_INCROPERA = "Incropera 7e, section 11.3 to 11.4"
_SHAH = "Shah & Sekulic (2003), Table 3.3"


_step = steps_with(TERMS)
_GNIELINSKI = {
    "f": "(0.790*ln({Re}) - 1.64)**-2",
    "Nu_tur": "f/8*({Re} - 1000)*Pr_c/(1 + 12.7*sqrt(f/8)*(Pr_c**(2/3) - 1))",
}
_HAUSEN = {"Gz": "{Re}*Pr_c*D_h/L_t", "Nu_lam": "Nu_0 + 0.0668*Gz/(1 + 0.04*Gz**(2/3))"}


def _at_reynolds(parts: Mapping[str, str], Re: str) -> dict[str, str]:
    """The parts with their Reynolds number put in, those used by others last (substitution goes in that order)."""
    return {name: text.replace("{Re}", Re) for name, text in reversed(list(parts.items()))}


ENGINE = Chapter(
    "Heat into the coolant",
    (
        *FRICTION,
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
        REST,
        _step("Q_exh", "P_fuel - P - Q_metal - Q_rest", "energy balance of the engine", condition="P_fuel"),
        *SURFACE,
        _step("Q_c", "Q_metal + Q_x - Q_s", "energy balance of metal and coolant, steady"),
        _step("dT_eng", "Q_c/(m_e*cp_c)", "energy balance of the coolant"),
        _step("T_ei", "T_eo - dT_eng", "definition of the rise"),
    ),
)
AIR = Chapter(
    "Air side of the core",
    (
        *PROPERTIES_AT,
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
        _step("j", "j_0", "ours, far below the data: held below Re_Lp = 1", condition="1.000000001 - Re_Lp"),
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
            "Nu_lam",
            "Shah & London (1978), rectangular duct; entrance: Hausen (1943)",
            _at_reynolds(_HAUSEN, "Re_t"),
            condition="2300 - Re_t",
        ),
        _step(
            "Nu",
            "Nu_lam + (Re_t - 2300)/1700*(Nu_tur - Nu_lam)",
            "Gnielinski, Int. J. Heat Mass Transfer 63 (2013) 134: a straight line from Re 2300 to 4000",
            {**_at_reynolds(_HAUSEN, "2300"), **_at_reynolds(_GNIELINSKI, "4000")},
            condition="min(Re_t - 2300, 4000 - Re_t)",
        ),
        _step(
            "Nu",
            "Nu_tur",
            "Gnielinski, Int. Chem. Eng. 16 (1976) 359",
            _at_reynolds(_GNIELINSKI, "Re_t"),
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
        _step(
            "UA",
            "k_UA/R",
            "definition; the factor is 1 unless a known point scales it",
            condition="0.000000001 - x_un",
        ),
        _step("UA", "k_UA*(1 - x_un)/R", "the same, less what uneven air costs", condition="x_un"),
        _step("C_c", "m_rad*cp_c", "definition"),
        _step("C_a", "a_live*rho_a*v_a*A_face*cp_a", "definition"),
        _step("C_all", "rho_a*v_a*A_face*cp_a", "definition"),
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

_HOT_MIN = {"coolant is smaller": "C_a/N_p - C_c", "air is smaller": "C_c - C_a/N_p"}
_PASSES = _step(
    "eps",
    "(1 - (1 - q)**N_p)*C_c/C_min",
    "each pass lowers the coolant's distance to the air inlet by the same share",
    {"q": "eps_1*min(C_c, C_a/N_p)/C_c"},
    condition="N_p - 1",
)


def effectiveness_chapter(arrangement: Arrangement, passes: float) -> Chapter:
    """The steps from size to effectiveness of an arrangement."""
    symbol, size, ratio = ("eps", "NTU", "C_r") if passes <= 1.0 else ("eps_1", "NTU_1", "C_r1")
    if arrangement is Arrangement.BOTH_UNMIXED:
        return Chapter("Effectiveness", (*both_unmixed(_step, symbol, size, ratio), _PASSES))
    steps = tuple(
        _step(symbol, formula, _SHAH, {"x": size, "r": ratio}, _HOT_MIN.get(when, ""))
        for formula, when in ONE_PASS[arrangement]
    )
    return Chapter("Effectiveness", (*steps, _PASSES))


HEAT = Chapter(
    "Heat and temperatures",
    (
        *PREHEAT,
        _step("Q_rad", "eps*C_min*(T_ci - T_ai)", _INCROPERA),
        _step("T_co", "T_ci - Q_rad/C_c", "energy balance of the coolant"),
        _step("T_ao", "T_ai + Q_rad/C_all", "energy balance of the air"),
        _step("Q_c", "Q_rad + Q_heat + Q_hose", "where the heat goes", condition="0.000000001 - Q_ch - Q_th - Q_tc"),
        _step(
            "Q_c",
            "Q_rad + Q_heat + Q_hose - Q_ch",
            "where the heat goes, less what the coolant heater adds",
            condition="min(Q_ch, 0.000000001 - Q_th - Q_tc)",
        ),
        _step(
            "Q_c",
            "Q_rad + Q_heat + Q_hose - Q_ch - Q_th - Q_tc",
            "where the heat goes, less what the coolant gets outside the engine",
            condition="Q_th + Q_tc",
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


def chapters_of(arrangement: Arrangement, passes: float) -> tuple[Chapter, ...]:
    """All chapters of a duty's working, in the order in which one is read after the other."""
    return (
        ROAD,
        ENGINE,
        SIZES,
        AIR_FLOW,
        AIR,
        COOLANT_FLOW,
        COOLANT,
        CONDUCTANCE,
        effectiveness_chapter(arrangement, passes),
        HEATER,
        BOILING,
        HEAT,
    )


def work(results: Results) -> tuple[WorkedChapter, ...]:
    """The chain of one solved duty, chapter by chapter; steps that do not apply are left out."""
    passes = float(results.point.core.exchange.passes.ravel()[0])
    worked = [worked_with(chapter, TERMS, results) for chapter in chapters_of(results.plant.arrangement, passes)]
    return with_same_digits([chapter for chapter in worked if chapter.lines or chapter.failures], results)
