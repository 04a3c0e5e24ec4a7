"""The formulas of the topics at published numbers."""

from __future__ import annotations

import pytest

from engcalc.classroom.topics import TOPICS
from engcalc.working.formulas import evaluate


def worked(topic: str, symbol: str, **numbers: float) -> float:
    """The lines of a topic up to ``symbol``, those whose numbers are known, from these numbers."""
    values = dict(numbers)
    for line in TOPICS[topic].lines:
        if line.symbol not in values and all(name in values for name in _needs(line.formula)):
            values[line.symbol] = evaluate(line.formula, values)
    return values[symbol]


def _needs(formula: str) -> tuple[str, ...]:
    from engcalc.working.formulas import names_in

    return names_in(formula)


# Effectiveness at NTU 5 and capacity ratio 0.7, printed in the documentation of ht (hx.effectiveness_from_NTU); the
# crossflows at NTU 2 and 0.5 from the formulas of Incropera, 7th edition, Table 11.3, worked out apart.
EFFECTIVENESS = [
    ("parallel-flow", 5.0, 0.7, 0.5881156068417585),
    ("counterflow", 5.0, 0.7, 0.920670368605),
    ("shell-and-tube", 5.0, 0.7, 0.683497704431),
    ("crossflow-unmixed", 2.0, 0.5, 0.73875846),
    ("crossflow-one-mixed", 2.0, 0.5, 0.717546436),
]


@pytest.mark.parametrize(("topic", "NTU", "C_r", "published"), EFFECTIVENESS)
def test_effectiveness(topic: str, NTU: float, C_r: float, published: float) -> None:
    assert worked(topic, "eps", NTU=NTU, C_r=C_r) == pytest.approx(published, rel=1e-8)


def test_the_largest_error_of_the_one_term_formula_is_what_the_sheet_says() -> None:
    """0.219877 for 0.228508 of the series at NTU 0.3 and ratio 1: 3.8 % low (worked out from the exact integral)."""
    found = worked("crossflow-unmixed", "eps", NTU=0.3, C_r=1.0)
    assert found / 0.228508 - 1.0 == pytest.approx(-0.0378, abs=1e-4)


def test_a_long_laminar_tube() -> None:
    """Hausen at Re 1e5, Pr 1.1, 0.5 m by 5 m: 39.01352358988535, documentation of ht (conv_internal)."""
    found = worked("laminar-tube", "Nu", Re=1e5, Pr=1.1, d=0.5, L=5.0)
    assert found == pytest.approx(39.01352358988535, rel=1e-9)


def test_a_turbulent_tube() -> None:
    """Rohsenow, Handbook of Heat Transfer, 3rd edition, as documented in ht: friction factor 0.0185, Nu 254.63."""
    found = worked("turbulent-tube", "Nu", Re=1e5, Pr=1.2, f=0.0185)
    assert found == pytest.approx(254.62682749359632, rel=1e-9)


def test_moist_air() -> None:
    """25 degC, half humid, 101.325 kPa: psychrolib W 0.009881044, h 50.32196 kJ/kg; vapour pressure 3.169216 kPa."""
    given = {"T_a": 25.0, "phi": 50.0, "p": 101.325, "p_ws": 3.169216}
    assert worked("moist-air", "w", **given) == pytest.approx(0.009881044, rel=1e-5)
    assert worked("moist-air", "i", **given) == pytest.approx(50.32196, rel=1e-5)


def test_the_standard_atmosphere() -> None:
    """US Standard Atmosphere 1976: 84,556.0 Pa at 1500 m, 70,108.5 Pa at 3000 m (geopotential)."""
    assert worked("boiling-point", "p_a", z=1500.0) == pytest.approx(84.5560, rel=1e-5)
    assert worked("boiling-point", "p_a", z=3000.0) == pytest.approx(70.1085, rel=1e-5)


def test_half_and_half_coolant_under_15_psi() -> None:
    """Raoult's law at 15 psi over sea level: 130.09 degC (mole fraction 0.7555, worked out apart with CoolProp)."""
    rows = {"p_1": 270.0, "T_1": 129.97, "p_2": 280.0, "T_2": 131.19}  # kPa, degC; steam tables, IAPWS-IF97
    assert worked("boiling-point", "T_b", z=0.0, p_c=103.42, x_w=0.7555, **rows) == pytest.approx(130.09, abs=0.05)
