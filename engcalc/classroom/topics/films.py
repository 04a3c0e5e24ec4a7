"""Films, fins and what stands between two streams."""

from __future__ import annotations

from engcalc.classroom.lookups import AIR, COOLANT, WATER, looked_up, one
from engcalc.classroom.topic import GivenNumber, SiValues, Slip, SolutionLine, Topic
from engcalc.components.flat_tube import Nu_entrance, Nu_gnielinski, friction_petukhov
from engcalc.components.louver_fin import LouverFin, PreparedFin, air_side, fin_efficiency, prepare_fin
from engcalc.properties.fluid import Fluid

DEFINITION = "definition"
CONVERSION = "the same in the unit of the working"


def millimetres(symbol: str, label: str) -> SolutionLine:
    """The line that brings a length given in mm (in) into m (ft); the given one has the symbol with ``_mm``."""
    given = f"{symbol}_mm"
    return SolutionLine(symbol, label, "length", f"{given}/1000", CONVERSION, us=f"{given}/12", converts=True)


DIAMETER = GivenNumber("d_mm", "inner diameter of the tube", "small length", 8.0, 25.0)
PRANDTL = SolutionLine("Pr", "Prandtl number", "number", "mu*cp/k", DEFINITION)
REYNOLDS = SolutionLine(
    "Re", "Reynolds number", "number", "4*m/(pi*d*mu)", "definition, with the mass flow of a round tube"
)
FILM = SolutionLine("h", "heat transfer coefficient", "film", "Nu*k/d", "definition of the Nusselt number")
RADIUS = Slip("radius for diameter", "The radius was put where the diameter belongs.", {"d": "({})/2"})
SQUARE = Slip(
    "cross-section of d squared times pi",
    "The cross-section was taken as pi d squared; it is a quarter of that.",
    {"Re": "({})/4"},
)

TURBULENT_TUBE = Topic(
    key="turbulent-tube",
    title="Turbulent flow in a round tube (Gnielinski)",
    text="Water at {T_b} flows through a smooth tube of {d_mm} inner diameter, {m} in all. The tube is long. What is "
    "the "
    "heat transfer coefficient?",
    givens=(
        GivenNumber("m", "mass flow", "mass flow", 0.06, 0.6),
        DIAMETER,
        GivenNumber("T_b", "mean temperature of the water", "temperature", 30.0, 90.0),
    ),
    looked_up=tuple(looked_up(name, name, WATER, "T_b") for name in ("mu", "cp", "k")),
    lines=(
        millimetres("d", "inner diameter of the tube"),
        PRANDTL,
        REYNOLDS,
        SolutionLine(
            "f", "Darcy friction factor", "number", "(0.790*ln(Re) - 1.64)**(-2)", "Petukhov (1970)", "smooth tube"
        ),
        SolutionLine(
            "Nu",
            "Nusselt number",
            "number",
            "(f/8)*(Re - 1000)*Pr/(1 + 12.7*sqrt(f/8)*(Pr**(2/3) - 1))",
            "Gnielinski, Int. Chem. Eng. 16 (1976) 359",
            "Re from 4000 to 10⁶, Pr from 0.5 to 2000",
        ),
        FILM,
    ),
    asked=("Re", "h"),
    hints=(
        "With the mass flow the Reynolds number needs no velocity. Is the flow turbulent?",
        "First the friction factor of a smooth tube, then the Nusselt number from it.",
        "The Nusselt number is made with the inner diameter and the conductivity of the water.",
    ),
    slips=(
        RADIUS,
        SQUARE,
        Slip(
            "friction factor of Fanning",
            "A quarter of the friction factor was used: the formula wants Darcy's.",
            {"f": "({})/4"},
        ),
        Slip("laminar value", "The laminar value 3.66 was used in turbulent flow.", {"Nu": "3.66"}),
    ),
    conditions=("Re - 6000", "2.0e5 - Re", "4.0 - m/(785.0*d_mm**2)"),  # m/s; as cooling circuits have it
    engine=lambda si: {
        "f": float(friction_petukhov(one(si["Re"]))[0]),
        "Nu": float(Nu_gnielinski(one(si["Re"]), one(si["Pr"]))[0]),
    },
)

LAMINAR_TUBE = Topic(
    key="laminar-tube",
    title="Laminar flow in a round tube, thermal entry counted",
    text="Cold coolant, half ethylene glycol and half water, at {T_b}, flows through a tube of {d_mm} inner diameter "
    "and "
    "{L} length, {m} in all. The wall is evenly warm. What is the mean heat transfer coefficient?",
    givens=(
        GivenNumber("m", "mass flow", "mass flow", 0.01, 0.09),
        DIAMETER,
        GivenNumber("L", "length of the tube", "length", 0.5, 3.0),
        GivenNumber("T_b", "mean temperature of the coolant", "temperature", 5.0, 35.0),
    ),
    looked_up=tuple(looked_up(name, name, COOLANT, "T_b") for name in ("mu", "cp", "k")),
    lines=(
        millimetres("d", "inner diameter of the tube"),
        PRANDTL,
        REYNOLDS,
        SolutionLine("Gz", "Graetz number", "number", "Re*Pr*d/L", DEFINITION),
        SolutionLine(
            "Nu",
            "mean Nusselt number over the length",
            "number",
            "3.66 + 0.0668*Gz/(1 + 0.04*Gz**(2/3))",
            "Hausen, Z. VDI Beih. Verfahrenstech. 4 (1943) 91",
            "laminar, Re < 2300, even wall temperature",
        ),
        FILM,
    ),
    asked=("Re", "h"),
    hints=(
        "With the mass flow the Reynolds number needs no velocity. Is the flow laminar?",
        "The Graetz number says how far the entry reaches: Reynolds times Prandtl times diameter over length.",
        "Nusselt number: the developed value and what the entry adds.",
    ),
    slips=(
        Slip(
            "radius for diameter",
            "The radius was put where the diameter belongs.",
            {"Re": "4*m/(pi*d/2*mu)", "Gz": "Re*Pr*d/2/L", "h": "Nu*k/(d/2)"},
        ),
        SQUARE,
        Slip("entry left out", "Only the developed value 3.66 was used; the entry was left out.", {"Nu": "3.66"}),
        Slip(
            "turbulent formula",
            "A turbulent formula (0.023 Re⁰·⁸ Pr⁰·³) was used in laminar flow.",
            {"Nu": "0.023*Re**0.8*Pr**0.3"},
        ),
    ),
    conditions=("Re - 150", "2000 - Re", "Gz - 10"),
    engine=lambda si: {"Nu": 3.66 + float(Nu_entrance(one(si["Gz"]))[0])},
)

FIN_GIVENS = (
    GivenNumber("F_l_mm", "height of the fin between two tubes", "small length", 6.0, 14.0),
    GivenNumber("delta_mm", "thickness of the fin", "small length", 0.06, 0.16),
    GivenNumber("F_d_mm", "depth of the fin along the air", "small length", 16.0, 48.0),
)


def _slab(si: SiValues, **other: float) -> PreparedFin:
    """A fin of the engine with these sizes [m]; what the efficiency does not read is filled in."""
    usual = {"theta": 0.45, "Fp": 1.5e-3, "Lp": 1.2e-3, "Ll": 0.8 * si["F_l_mm"], "Dm": 2e-3, "k": 200.0}
    w = {**usual, **other}
    return prepare_fin(
        LouverFin(
            theta=one(w["theta"]),
            Fp=one(w["Fp"]),
            Fl=one(si["F_l_mm"]),
            Lp=one(w["Lp"]),
            Ll=one(w["Ll"]),
            Fd=one(si["F_d_mm"]),
            Dm=one(w["Dm"]),
            Tp=one(si["F_l_mm"] + w["Dm"]),
            delta_f=one(si["delta_mm"]),
            k_fin=one(w["k"]),
        )
    )


FIN_EFFICIENCY = Topic(
    key="fin-efficiency",
    title="Efficiency of a thin fin between two tubes",
    text="A thin fin of {delta_mm} thickness and {F_d_mm} depth spans {F_l_mm} from one warm tube to the next. Its "
    "metal "
    "has a conductivity of {k_f}; the air has a heat transfer coefficient of {h} at both faces. How efficient is it?",
    givens=(
        *FIN_GIVENS,
        GivenNumber("h", "heat transfer coefficient of the air", "film", 40.0, 160.0),
        GivenNumber("k_f", "conductivity of the metal", "conductivity", 50.0, 230.0),
    ),
    looked_up=(),
    lines=(
        millimetres("F_l", "height of the fin between two tubes"),
        millimetres("delta", "thickness of the fin"),
        millimetres("F_d", "depth of the fin along the air"),
        SolutionLine(
            "l_f",
            "length of fin that one tube feeds",
            "length",
            "F_l/2 - delta",
            "half of the height: heat comes from both ends",
        ),
        SolutionLine(
            "M",
            "fin parameter",
            "per length",
            "sqrt(2*h/(k_f*delta)*(1 + delta/F_d))",
            DEFINITION,
            "both faces and both edges in the air",
        ),
        SolutionLine("x", "fin parameter times length", "number", "M*l_f", DEFINITION),
        SolutionLine("eta_f", "efficiency of the fin", "number", "tanh(x)/x", "straight fin, tip without heat flow"),
    ),
    asked=("x", "eta_f"),
    hints=(
        "Heat comes from both tubes: no heat flows at the middle. How long is the fin that one tube feeds?",
        "The fin parameter holds both faces: twice the coefficient over conductivity and thickness.",
        "The efficiency is the hyperbolic tangent of parameter times length, over the same product.",
    ),
    slips=(
        Slip(
            "whole height",
            "The whole height was taken for the length of the fin; one tube feeds half of it.",
            {"l_f": "F_l"},
        ),
        Slip(
            "one face only",
            "Only one face was counted: the air touches both.",
            {"M": "sqrt(h/(k_f*delta)*(1 + delta/F_d))"},
        ),
        Slip(
            "half thickness twice",
            "Half of the thickness was put into a formula that has counted both faces already.",
            {"M": "sqrt(4*h/(k_f*delta)*(1 + delta/F_d))"},
        ),
        Slip(
            "tangent alone", "The hyperbolic tangent was not divided by parameter times length.", {"eta_f": "tanh(x)"}
        ),
    ),
    conditions=("0.96 - eta_f", "eta_f - 0.5"),
    engine=lambda si: {"eta_f": float(fin_efficiency(_slab(si, k=si["k_f"]), one(si["h"]))[0])},
)


def _louvered(si: SiValues) -> SiValues:
    prepared = _slab(si, theta=si["theta"], Fp=si["F_p_mm"], Lp=si["L_p"], Ll=si["L_l_mm"], Dm=si["D_m_mm"])
    air = Fluid(one(si["rho"]), one(si["cp"]), one(si["k"]), one(si["mu"]))
    found = air_side(prepared, one(si["u_f"]), air)
    return {
        "sigma": float(prepared.sigma[0]),
        "G": float(found.G[0]),
        "Re_L": float(found.Re_Lp[0]),
        "j": float(found.j[0]),
        "h": float(found.h[0]),
    }


_J = (
    "Re_L**(-0.49)*(theta/90)**0.27*(F_p_mm/L_p_mm)**(-0.14)*(F_l_mm/L_p_mm)**(-0.29)*(F_d_mm/L_p_mm)**(-0.23)"
    "*(L_l_mm/L_p_mm)**0.68*(T_p_mm/L_p_mm)**(-0.28)*(delta_mm/L_p_mm)**(-0.05)"
)

LOUVERED_FIN = Topic(
    key="louvered-fin",
    title="Heat transfer coefficient of a louvered fin",
    text="Air at {T_a} meets the face of a core at {u_f}. Between tubes of {D_m_mm} height stand louvered fins of "
    "{F_l_mm} height, {F_p_mm} pitch, {delta_mm} thickness and {F_d_mm} depth, the louvers {L_p_mm} apart, {L_l_mm} "
    "long "
    "and turned by {theta}. What is the heat transfer coefficient of the air?",
    givens=(
        GivenNumber("T_a", "mean temperature of the air", "temperature", 20.0, 60.0),
        GivenNumber("u_f", "velocity of the air before the core", "velocity", 3.0, 10.0),
        *FIN_GIVENS,
        GivenNumber("F_p_mm", "fin pitch", "small length", 1.0, 2.0),
        GivenNumber("L_p_mm", "louver pitch", "small length", 0.9, 1.6),
        GivenNumber("L_l_mm", "louver length", "small length", 5.0, 11.0),
        GivenNumber("theta", "louver angle", "angle", 20.0, 32.0),
        GivenNumber("D_m_mm", "height of the tube across the air", "small length", 1.6, 2.6),
    ),
    looked_up=tuple(looked_up(name, name, AIR, "T_a") for name in ("rho", "mu", "cp", "k")),
    lines=(
        SolutionLine(
            "T_p_mm", "tube pitch", "small length", "F_l_mm + D_m_mm", "fin and tube stand one above the other"
        ),
        SolutionLine(
            "sigma",
            "free area over face area",
            "number",
            "(F_l_mm - delta_mm)*(F_p_mm - delta_mm)/(T_p_mm*F_p_mm)",
            "geometry of the core",
        ),
        SolutionLine(
            "G", "mass velocity in the free area", "mass velocity", "rho*u_f/sigma", "continuity", us="60*rho*u_f/sigma"
        ),
        millimetres("L_p", "louver pitch"),
        SolutionLine("Re_L", "Reynolds number of the louver pitch", "number", "G*L_p/mu", DEFINITION),
        SolutionLine(
            "j",
            "factor of heat transfer",
            "number",
            _J,
            "Chang and Wang, Int. J. Heat Mass Transfer 40 (1997) 533",
            "Re from 100 to 3000; 89 % of its data within 15 %",
        ),
        PRANDTL,
        SolutionLine("h", "heat transfer coefficient", "film", "j*G*cp/Pr**(2/3)", "definition of j"),
    ),
    asked=("Re_L", "h"),
    hints=(
        "How much of the face is free? The mass velocity counts there.",
        "The Reynolds number is formed with the louver pitch and the mass velocity in the free area.",
        "With j, mass velocity, specific heat and Prandtl number follows the coefficient.",
    ),
    slips=(
        Slip(
            "velocity before the core",
            "The velocity before the core was used; the formula wants that in the free area.",
            {"sigma": "1"},
        ),
        Slip(
            "fin pitch for louver pitch",
            "The Reynolds number was formed with the fin pitch.",
            {"Re_L": "G*L_p*F_p_mm/L_p_mm/mu"},
        ),
        Slip(
            "angle in radians",
            "The louver angle was put in radians; the formula wants degrees over 90.",
            {"j": "({})*(pi/180)**0.27"},
        ),
        Slip(
            "power of the Prandtl number left out",
            "The Prandtl number was left out of the coefficient.",
            {"h": "j*G*cp"},
        ),
    ),
    conditions=("Re_L - 120", "2500 - Re_L", "F_l_mm*0.95 - L_l_mm", "L_l_mm - 0.7*F_l_mm"),
    engine=_louvered,
)

OVERALL = Topic(
    key="overall-conductance",
    title="Overall conductance of a tube with wall and fouling",
    text="A tube of {d_i_mm} inner diameter, {s_mm} wall and {L} length carries a stream with a film coefficient of "
    "{h_i}; "
    "outside it is {h_o}. The wall has a conductivity of {k_w}. Deposits add {r_i} inside and {r_o} outside, each "
    "counted on its own area. What is the conductance, and what the overall coefficient on the outer area?",
    givens=(
        GivenNumber("d_i_mm", "inner diameter of the tube", "small length", 10.0, 25.0),
        GivenNumber("s_mm", "thickness of the wall", "small length", 1.0, 3.0),
        GivenNumber("L", "length of the tube", "length", 1.0, 5.0),
        GivenNumber("h_i", "film coefficient inside", "film", 800.0, 5000.0),
        GivenNumber("h_o", "film coefficient outside", "film", 300.0, 3000.0),
        GivenNumber("k_w", "conductivity of the wall", "conductivity", 15.0, 60.0),
        GivenNumber("r_i", "fouling resistance inside", "fouling", 1.0e-4, 4.0e-4, 2),
        GivenNumber("r_o", "fouling resistance outside", "fouling", 1.0e-4, 4.0e-4, 2),
    ),
    looked_up=(),
    lines=(
        millimetres("d_i", "inner diameter"),
        millimetres("s", "thickness of the wall"),
        SolutionLine("d_o", "outer diameter", "length", "d_i + 2*s", "geometry"),
        SolutionLine("A_i", "inner area", "area", "pi*d_i*L", "geometry"),
        SolutionLine("A_o", "outer area", "area", "pi*d_o*L", "geometry"),
        SolutionLine("R_i", "resistance of the film inside", "resistance", "1/(h_i*A_i)", DEFINITION),
        SolutionLine("R_fi", "resistance of the deposit inside", "resistance", "r_i/A_i", DEFINITION),
        SolutionLine(
            "R_w", "resistance of the wall", "resistance", "ln(d_o/d_i)/(2*pi*k_w*L)", "conduction through a cylinder"
        ),
        SolutionLine("R_fo", "resistance of the deposit outside", "resistance", "r_o/A_o", DEFINITION),
        SolutionLine("R_o", "resistance of the film outside", "resistance", "1/(h_o*A_o)", DEFINITION),
        SolutionLine(
            "R_t", "all of them in series", "resistance", "R_i + R_fi + R_w + R_fo + R_o", "resistances in series"
        ),
        SolutionLine("UA", "conductance", "capacity rate", "1/R_t", DEFINITION),
        SolutionLine("U_o", "overall coefficient on the outer area", "film", "UA/A_o", DEFINITION),
    ),
    asked=("UA", "U_o"),
    hints=(
        "Five resistances stand in series: two films, two deposits, one wall. Each film counts on its own area.",
        "The wall of a tube: the logarithm of the diameters over two pi, conductivity and length.",
        "The conductance is one over their sum; the coefficient is the conductance over the area it counts on.",
    ),
    slips=(
        Slip("deposits left out", "The deposits were left out.", {"R_fi": "0", "R_fo": "0"}),
        Slip(
            "conductances added",
            "The conductances of the films were added; in series the resistances are.",
            {"R_t": "1/(1/R_i + 1/R_o)"},
        ),
        Slip(
            "radius for diameter", "The radius was put where the diameter belongs.", {"A_i": "({})/2", "A_o": "({})/2"}
        ),
        Slip(
            "wall counted once only", "The outer diameter was taken as inner diameter and one wall.", {"d_o": "d_i + s"}
        ),
        Slip("inner area", "The overall coefficient was counted on the inner area.", {"U_o": "UA/A_i"}),
    ),
    conditions=("R_fi + R_fo - 0.1*R_t",),
    engine=lambda _si: {},  # no core of the engine is a round tube in a shell: the tests ask another library
)
