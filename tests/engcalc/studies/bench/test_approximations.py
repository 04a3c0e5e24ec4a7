"""Common approximations beside the exact: the errors that the formulas are known to have."""

from __future__ import annotations

import ht
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.studies.bench.approximations import Approximation, approximated
from engcalc.studies.bench.check import check_bench

BALANCED = {  # Cr = 1, NTU = 0.5
    "hot_flow": "0.1 kg/s",
    "hot_in": "80 degC",
    "cold_flow": "0.1 kg/s",
    "cold_in": "20 degC",
    "conductance": "200 W/K",
}


def errors(arrangement: str, fluid: dict[str, str]) -> dict[Approximation, float]:
    tree = {
        "format": FORMAT,
        "hot_stream": fluid,
        "cold_stream": fluid,
        "exchanger": {"arrangement": arrangement},
        "problems": [BALANCED],
    }
    case = resolve(CaseText(tree))
    assert isinstance(case, Case), case
    bench = check_bench(case)
    assert bench is not None
    return {one.by: one.error for one in approximated(bench.setup, bench.problems[0])}


STATED = {"fluid": "stated properties", "specific_heat": "4000 J/(kg K)"}


def test_the_one_term_formula_is_three_per_cent_low_where_it_is_worst():
    """0.31544922 against 0.326329977 by the exact series at Cr 1, NTU 0.5, summed apart from this program: -3.334 %."""
    found = errors("crossflow, both unmixed", STATED)
    assert found[Approximation.ONE_TERM] == pytest.approx(-0.03334, abs=2e-5)
    assert found[Approximation.INLET_PROPERTIES] == pytest.approx(0.0, abs=1e-12)


def test_without_its_correction_the_mean_difference_promises_too_much():
    eps = ht.effectiveness_from_NTU(0.5, 1.0, "S&T")
    F = ht.F_LMTD_Fakheri(Tci=20.0, Tco=20.0 + 60.0 * eps, Thi=80.0, Tho=80.0 - 60.0 * eps, shells=1)
    assert errors("shell and tube 1-2", STATED)[Approximation.WITHOUT_F] == pytest.approx(1.0 / F - 1.0, rel=1e-6)
    assert Approximation.WITHOUT_F not in errors("counterflow", STATED)


def test_oil_at_its_inlets_is_off_and_water_hardly():
    assert abs(errors("counterflow", {"fluid": "water"})[Approximation.INLET_PROPERTIES]) < 2e-3
    assert errors("counterflow", {"fluid": "engine oil"})[Approximation.INLET_PROPERTIES] != pytest.approx(
        0.0, abs=1e-3
    )
