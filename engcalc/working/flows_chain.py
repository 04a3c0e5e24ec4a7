"""Lines for what moves in a duty and what bounds it: power from the road, air, coolant, heater, boiling.

Air and coolant are roots: the line of the fan (or pump) and that of the resistances stand one below the other and give
the same pressure.
"""

from __future__ import annotations

from engcalc.components.engine import GRAVITY, MISCELLANEOUS_SHARE
from engcalc.components.heater import AIR_EXPONENT, AIR_SHARE, COOLANT_EXPONENT
from engcalc.components.pump import AERATION_EXPONENT
from engcalc.components.surface import AIR_K, AIR_NU, AIR_PR, LENGTH, STANDING, WIND
from engcalc.system.airflow import FILM_SHARE
from engcalc.working.chapters import Chapter, steps_with
from engcalc.working.one_pass import both_unmixed
from engcalc.working.shown import WorkingLine
from engcalc.working.terms import TERMS

_step = steps_with(TERMS)
_SLOPE = "sqrt(1 + g**2)"
_NETWORK = "the flow is the root at which both lines give this pressure"

ROAD = Chapter(
    "Power from the road",
    (
        _step(
            "P_w",
            "(F_r + F_g + F_a)*v",
            "road load: rolling, grade, air",
            {
                "F_r": f"m_v*{GRAVITY}*c_rr/{_SLOPE}",
                "F_g": f"m_v*{GRAVITY}*g/{_SLOPE}",
                "F_a": "rho_0/2*A_d*u_a**2",
            },
            condition="min(by_road, u_a)",
        ),
        _step("P", "P_w/eta_dl + P_acc", "through the driveline", condition="min(by_road, P_w)"),
        _step(
            "P",
            "P_w*eta_dl + P_acc",
            "the wheels drive the engine",
            condition="min(min(by_road, -P_w), P_w*eta_dl + P_acc + P_fr)",
        ),
        _step(
            "P",
            "-P_fr",
            "an engine brakes with no more than its friction",
            condition="min(min(by_road, -P_w), -P_w*eta_dl - P_acc - P_fr)",
        ),
        _step("P", "P_acc", "standing, the accessories alone", condition="at_rest"),
    ),
)
_SHAPE = {
    "N": "0.06*n*min(1, 100/n_rated)",
    "N_i": "0.06*n_idle*min(1, 100/n_rated)",
}
FRICTION = (
    _step(
        "f_n",
        "(0.97 + 0.15*N + 0.05*N**2)/(0.97 + 0.15*N_i + 0.05*N_i**2)",
        "Barnes-Moss, in Heywood (1988), section 13.5; N in 1000 rpm",
        _SHAPE,
        condition="is_willans",
    ),
    _step(
        "eta_i",
        "(P_rated + fmep*f_r*V_d*n_rated*i)/P_fuel_r",
        "Willans line through the rated point",
        {
            "f_r": "(0.97 + 0.15*N_u + 0.05*N_u**2)/(0.97 + 0.15*N_i + 0.05*N_i**2)",
            "N_u": "0.06*n_rated*min(1, 100/n_rated)",
            "N_i": "0.06*n_idle*min(1, 100/n_rated)",
        },
        condition="min(is_willans, 0.999999 - eta_i)",
    ),
    _step("f_oil", "(nu_oil/nu_w)**0.185", "viscosity by ASTM D341; exponent fitted", condition="is_willans"),
)
REST = _step(
    "Q_rest",
    f"min({MISCELLANEOUS_SHARE}*P_fuel, (P_fuel - P - Q_metal)/2)",
    "Heywood (1988), Table 12.1, from memory",
    condition="P_fuel",
)
_FORCED = f"0.037*({WIND}*u_a*{LENGTH}/{AIR_NU})**0.8*{AIR_PR}**(1/3)*{AIR_K}/{LENGTH}"
SURFACE = (
    _step(
        "G_s",
        f"G_0*(1 + (h_w/{STANDING})**3)**(1/3)",
        "still air and wind together; plate in turbulent flow, Incropera, section 7.2",
        {"h_w": _FORCED},
        condition="u_a",
    ),
    _step("Q_s", "G_s*(T_eo - T_amb)", "definition", condition="min(u_a, Q_s)"),
    _step("Q_s", "G_0*(T_eo - T_amb)", "definition", condition="min(0.000000001 - u_a, Q_s)"),
)
_CURVE = "the fan's curve, with density and the square of speed, AMCA 211"
_DRIVEN = "a fan that the air drives resists with a stated share of its curve"
_FAN = "min(min(air_found, has_fan), {})"
_ON = "r_fan - V_{0}/V_fan"
_DRAGS = "V_{0}/V_fan - r_fan"


def _node(k: int) -> tuple[WorkingLine, ...]:
    """Condition and formulas of the fan's point with air of one temperature behind the core."""
    curve = f"dp_fan*rho_{k}/rho_st*(r_fan**2 - (V_{k}/V_fan)**2)"
    heat = "" if k == 1 else "*theta_T"
    lift = "" if k == 1 else " - p_dr"
    losses = f"(zeta + zeta_e{heat})*rho_a/2*"
    return (
        _step(
            f"p_k{k}",
            (f"f_{k}*x_A/sigma" if k == 1 else f"(f_{k}*x_A/sigma*(1 + theta_T)/2 + theta_T - 1)")
            + f"*G_{k}**2/(2*rho_a)",
            "Kays and London (1984), eq. 2-26, of total pressure",
            {f"G_{k}": f"rho_a*v_u{k}/(a_open*sigma)"},
            condition=f"min(air_found, v_u{k} - 0.001)",
        ),
        _step(f"p_{k}", curve, _CURVE, condition=_FAN.format(_ON.format(k))),
        _step(f"p_{k}", f"x_st*{curve}", _DRIVEN, condition=_FAN.format(_DRAGS.format(k))),
        _step(
            f"p_{k}",
            f"{losses}v_u{k}**2 + p_k{k} - p_ram{lift}",
            f"what the way takes under the shroud; {_NETWORK}",
            condition=f"min(min(air_found, has_fan), v_u{k} - 0.001)",
        ),
        _step(
            "p_ram",
            f"{losses}v_b{k}**2 + p_kb{k}{lift}",
            f"what the way takes beside the shroud, with ram alone; {_NETWORK}",
            condition=f"min(min(air_found, 1 - x_sh), min(v_b{k} - 0.001, p_ram - 0.001))",
        ),
        _step(f"v_{k}", f"x_sh*v_u{k} + (1 - x_sh)*v_b{k}", "mean over the face", condition="air_found"),
    )


AIR_FLOW = Chapter(
    "Ram, fan and the air's flow",
    (
        _step(
            "p_ram",
            "(k_ram - c_out)*rho_a/2*u_a**2",
            "dynamic pressure, at the opening less at the exit",
            condition="min(min(air_found, u_a), k_ram - c_out)",
        ),
        *_node(1),
        _step(
            "p_dr",
            f"rho_a*(1 - 1/theta_T)*{GRAVITY}*H/2",
            "chimney effect over half the core",
            condition="air_found",
        ),
        *_node(2),
        _step(
            "v_a",
            "v_1 + s_T*(v_2 - v_1)",
            "between air not warmed and warmed; the place is found in two rounds with the air's temperature behind",
            condition="air_found",
        ),
        _step("p_f", "p_1 + s_T*(p_2 - p_1)", "the same", condition="min(air_found, has_fan)"),
    ),
)
PROPERTIES_AT = (
    _step("T_f", f"T_amb + {FILM_SHARE}*max(T_r - T_amb, 0)", "common practice: a fixed share of the difference"),
    _step("T_wax", "T_eo", "the valve is at the outlet", condition="at_outlet"),
    _step("T_wax", "T_ei", "the valve is at the inlet", condition="1 - at_outlet"),
)
PREHEAT = (
    _step("dT_u", "Q_u/C_all", "heat of condenser and coolers ahead into all the air", condition="Q_u"),
    _step("T_ai", "(1 - r_h)*T_amb + r_h*T_ao + dT_u", "ambient, hot air that comes round again, coolers ahead"),
    _step("T_ci", "T_eo", "the hose to the radiator loses nothing", condition="0.000000001 - Q_th"),
    _step("T_ci", "T_eo + Q_th/C_c", "oil coolers in the tank ahead of the core", condition="min(Q_th, C_c)"),
)
COOLANT_FLOW = Chapter(
    "Pump and the coolant's flow",
    (
        _step(
            "p_H",
            f"rho_c/rho_r*(1 - x_air)**{AERATION_EXPONENT:g}*(dp_p*(n_pump/n_p)**2 - c_H*V_e**2)",
            "the pump's curve, by the affinity laws",
            condition="coolant_found",
        ),
        _step("p_j", "a_j*mu_c*V_e + b_j*rho_c*V_e**2", "sized from the stated flow", condition="coolant_found"),
        _step("p_br", "a_r*mu_c*V_rad + b_r*rho_c*V_rad**2", "core, hoses and valve", condition="coolant_found"),
        _step("p_H", "p_j + p_br", f"jacket and branches in series; {_NETWORK}", condition="coolant_found"),
        _step("m_e", "rho_e*V_e", "continuity", condition="coolant_found"),
        _step("m_rad", "rho_e*V_rad", "continuity", condition="coolant_found"),
    ),
)
HEATER = Chapter(
    "Heater",
    (
        _step("T_h", "T_eo + (Q_ch - Q_hose)/(m_h*cp_c)", "energy balance of the hoses", condition="m_h"),
        _step("Q_hose", "G_h*(T_h - T_amb)", "definition; found together with the line before", condition="m_h"),
        _step(
            "UA_h",
            f"UA_hr/({AIR_SHARE}*(m_ha/m_har)**-{AIR_EXPONENT} + {1 - AIR_SHARE:.1f}*(m_h/m_hr)**-{COOLANT_EXPONENT})",
            "both films from the rated point; Kays and London, chapter 10, and Shah and London",
            condition="Q_heat",
        ),
        _step("NTU_h", "UA_h/min(m_ha*cp_a, m_h*cp_c)", "definition", condition="Q_heat"),
        _step("C_rh", "min(m_ha*cp_a, m_h*cp_c)/max(m_ha*cp_a, m_h*cp_c)", "definition", condition="Q_heat"),
        *both_unmixed(_step, "eps_h", "NTU_h", "C_rh", "Q_heat"),
        _step("K_h", "eps_h*min(m_ha*cp_a, m_h*cp_c)", "definition of the effectiveness", condition="Q_heat"),
        _step("T_hai", "T_amb + (1 - x_fresh)*(T_cab - T_amb)", "fresh air and air of the cabin", condition="Q_heat"),
        _step("Q_heat", "K_h*(T_h - T_hai)", "effectiveness times the smaller capacity rate", condition="Q_heat"),
    ),
)
BOILING = Chapter(
    "Boiling point",
    (
        _step("p_abs", "p_z + p_cap", "gauge to absolute"),
        _step("p_v", "p_abs/x_w", "Raoult's law, the glycol's own vapour left out"),
        _step("T_boil", "T_v - dT_s", "water at that vapour pressure, less what printed boiling points fall short"),
        _step("T_lim", "T_boil", "no limit lies below boiling", condition="0.000001 - (T_lim - T_boil)**2"),
    ),
)
