"""Lines from a core's dimensions to its areas: what the films and resistances of a duty begin with."""

from __future__ import annotations

from engcalc.working.chapters import Chapter, steps_with
from engcalc.working.terms import TERMS

_step = steps_with(TERMS)
_PLAIN = "geometry"
_DUCT = "Shah and London (1978), rectangular duct, even wall temperature"

SIZES = Chapter(
    "Areas of the core",
    (
        _step("A_face", "H*W", _PLAIN),
        _step(
            "sigma",
            "(min(F_l, T_p - h_t) - delta_f)*(F_p - delta_f)/(T_p*F_p)",
            "geometry: what fins and tubes leave free",
        ),
        _step(
            "A_a", "2*(F_p - delta_f + F_l - delta_f)*F_d/(F_p*T_p)*A_face*a_live*a_open", "geometry: fins and tubes"
        ),
        _step("x_f", "(F_l - delta_f)/(F_p - delta_f + F_l - delta_f)", _PLAIN),
        _step("l", "F_l/2 - delta_f", "half a fin, from tube to the middle"),
        _step(
            "A_1",
            "(w_i - h_i)*h_i + pi/4*h_i**2",
            "flat tube with round ends",
            {"w_i": "w_t - 2*t_w", "h_i": "h_t - 2*t_w"},
        ),
        _step("U_1", "2*(w_i - h_i) + pi*h_i", "the same", {"w_i": "w_t - 2*t_w", "h_i": "h_t - 2*t_w"}),
        _step("D_h", "4*A_1/U_1", "definition"),
        _step("x_t", "(h_t - 2*t_w)/(w_t - 2*t_w)", _PLAIN),
        _step("Nu_0", "7.541*(1 - 2.610*x_t + 4.970*x_t**2 - 5.119*x_t**3 + 2.702*x_t**4 - 0.548*x_t**5)", _DUCT),
        _step("A_c", "N_t*a_live/N_p*A_1", _PLAIN),
        _step("A_t", "N_t*a_live*a_open*L_t*U_1", _PLAIN),
        _step(
            "R_w",
            "t_w/(k_t*N_t*a_live*a_open*L_t*(U_1 + pi*t_w))",
            "conduction through a thin wall, at its middle",
        ),
        _step("R_foul", "R_f/A_t", "definition", condition="R_f"),
    ),
)
