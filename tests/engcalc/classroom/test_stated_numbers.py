"""Problems with numbers of one's own: five textbook kinds posed and worked to what is worked out apart."""

from __future__ import annotations

import math

import ht
import pytest

from engcalc.classroom.class_order import ClassOrder
from engcalc.classroom.stated import stated_numbers
from engcalc.classroom.topics import TOPICS
from engcalc.errors import InputError
from engcalc.words.texts import class_texts


def answers(topic: str, *typed: str) -> dict[str, float]:
    order = ClassOrder(TOPICS[topic], stated=stated_numbers(TOPICS[topic], typed))
    (problem,) = order.posed()
    return {line.line.symbol: line.result.value for line in problem.lines}


def test_crossflow_by_ntu() -> None:
    """Both unmixed, one-term formula: the library ht. Half glycol at 90 degC: 3.56 kJ/(kg K) (ASHRAE,
    Fundamentals 2009, chapter 31, table 7, from memory); air 1.007 (Incropera, table A.4)."""
    found = answers("crossflow-unmixed", "m_h = 0.5", "m_c = 1.2", "T_h,in = 90", "T_c,in = 20", "U = 100", "A = 12,5")
    NTU = 100.0 * 12.5 / (1.2 * 1007.0)
    C_r = 1.2 * 1007.0 / (0.5 * 3560.0)
    eps = ht.effectiveness_from_NTU(NTU=NTU, Cr=C_r, subtype="crossflow approximate")
    assert found["q"] == pytest.approx(eps * 1.2 * 1007.0 * 70.0, rel=5e-3)


def test_mean_difference_with_its_correction() -> None:
    """One shell pass and two tube passes: F by Fakheri's formula, as ht has it. Water at 70 degC: 4,190 J/(kg K)."""
    found = answers(
        "mean-difference", "m_h=1.5", "T_h_in=90", "T_h_out=55", "T_c_in=20", "T_c_out=40", "U=900"
    )  # symbols as files have them
    F = ht.F_LMTD_Fakheri(Tci=20.0, Tco=40.0, Thi=90.0, Tho=55.0, shells=1)
    assert found["F"] == pytest.approx(F, abs=5e-4)
    mean = (50.0 - 35.0) / math.log(50.0 / 35.0)
    assert found["A"] == pytest.approx(1.5 * 4190.0 * 35.0 / (900.0 * F * mean), rel=5e-3)


def test_gnielinski_in_a_tube() -> None:
    """Water at 50 degC: 5.47e-4 Pa s, 0.6435 W/(m K), Pr 3.55 (Incropera, table A.6, between 320 and 325 K)."""
    found = answers("turbulent-tube", "m=0.2", "d=20", "T_b=50")
    Re = 4.0 * 0.2 / (math.pi * 0.020 * 5.47e-4)
    f = (0.790 * math.log(Re) - 1.64) ** -2
    Nu = f / 8.0 * (Re - 1000.0) * 3.55 / (1.0 + 12.7 * math.sqrt(f / 8.0) * (3.55 ** (2.0 / 3.0) - 1.0))
    assert found["Re"] == pytest.approx(Re, rel=0.01)
    assert found["h"] == pytest.approx(Nu * 0.6435 / 0.020, rel=0.015)


def test_fin_efficiency() -> None:
    """tanh(x)/x at x = m (F_l/2 - delta), m^2 = 2h/(k delta) (1 + delta/F_d), as Chang and Wang (1997) take it."""
    found = answers("fin-efficiency", "F_l=10", "delta=0.1", "F_d=30", "h=100", "k_f=200")
    x = math.sqrt(2.0 * 100.0 / (200.0 * 1e-4) * (1.0 + 0.1 / 30.0)) * (5e-3 - 1e-4)
    assert found["eta_f"] == pytest.approx(math.tanh(x) / x, rel=2e-3)


def test_lumped_warm_up() -> None:
    """Against the balance itself, stepped in time: 100 kJ/K, 6 kW, 40 W/K, from 0 in 0 degC air to 80 degC."""
    found = answers("warm-up", "Cth=100", "T_0=0", "q=6", "UA_s=40", "T_a=0", "T_e=80")
    T, seconds, step = 0.0, 0.0, 0.5
    while T < 80.0:
        T += step * (6000.0 - 40.0 * T) / 100e3
        seconds += step
    assert found["tau"] == pytest.approx(2500.0, rel=1e-3)
    assert found["t_m"] == pytest.approx(seconds / 60.0, rel=2e-3)


def test_what_is_stated_stands_on_the_sheet_and_the_rest_is_drawn() -> None:
    topic = TOPICS["turbulent-tube"]
    order = ClassOrder(topic, seed=3, names=("Ada North", "Ben Ost"), stated={"d_mm": "12.50"})
    ada, ben = ({n.symbol: n.text for n in problem.givens} for problem in order.posed())
    assert ada["d_mm"] == ben["d_mm"] == "12.50"
    assert ada["m"] != ben["m"]


@pytest.mark.parametrize("typed", ["d", "d = wide", "x = 3", "m = nan", "m = 1e400", "= 3"])
def test_what_is_no_number_of_the_topic_is_told(typed: str) -> None:
    with pytest.raises(InputError) as told:
        stated_numbers(TOPICS["turbulent-tube"], [typed])
    assert typed in str(told.value)


def test_numbers_that_make_no_problem_are_told() -> None:
    """Creeping flow has no Gnielinski: no sheet says otherwise."""
    with pytest.raises(InputError, match="no sensible problem"):
        answers("turbulent-tube", "m=0.0001", "d=25", "T_b=30")
    assert "units of the sheet" in class_texts.NOT_SENSIBLE
