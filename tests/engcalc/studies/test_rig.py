"""Rig points: the computed exchanger measured exactly, uncertainties by another road, the balance of SAE J1994."""

from __future__ import annotations

from math import isclose

import numpy as np
import pytest
from ht import effectiveness_NTU_method
from uncertainties import ufloat

from engcalc.case.case import Case, with_values
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.studies.check import check
from engcalc.studies.rig import RigCheck, check_rig
from engcalc.system.plant import ScaledTo, prepare
from engcalc.verdict import FindingCode, Verdict
from engcalc.words.answer.answer import headline
from engcalc.words.answer.reasons import reasons

POINT = {
    "hot_flow": ("0.163 kg/s", "2 %"),
    "cold_flow": ("0.24 kg/s", "3 %"),
    "hot_in": ("62 degC", "0.15 K"),
    "hot_out": ("54.2 degC", "0.15 K"),
    "cold_in": ("21.3 degC", "0.2 K"),
    "cold_out": ("43.3 degC", "0.5 K"),
}


def rig(*points: dict[str, tuple[str, str]]) -> tuple[RigCheck, ...]:
    rows = [{k: {"value": v, "uncertainty": u} for k, (v, u) in {**POINT, **p}.items()} for p in points]
    case = resolve(CaseText({"format": "heatdocket-case/1", "vehicle": {"class": "bench rig"}, "rig": rows}))
    assert isinstance(case, Case), case
    return check_rig(case, prepare(case))


def test_heats_are_flow_times_specific_heat_times_difference() -> None:
    # water at 58 degC: 4184.2 J/(kg K) (IAPWS-95); dry air at 32 degC: 1006.6 (Lemmon and others 2000)
    found = rig({})[0]
    assert found.heat_hot.measured == pytest.approx(0.163 * 4184.2 * 7.8, rel=2e-4)
    assert found.heat_cold.measured == pytest.approx(0.24 * 1006.6 * 22.0, rel=5e-4)


def test_uncertainties_are_those_of_linear_propagation() -> None:
    # the uncertainties package, first-order GUM (JCGM 100:2008 eq. 10)
    found = rig({})[0]
    hot = ufloat(0.163, 0.02 * 0.163) * 4184.2 * (ufloat(62, 0.15) - ufloat(54.2, 0.15))
    cold = ufloat(0.24, 0.03 * 0.24) * 1006.6 * (ufloat(43.3, 0.5) - ufloat(21.3, 0.2))
    assert found.heat_hot.uncertainty == pytest.approx(hot.s, rel=3e-3)
    assert found.heat_cold.uncertainty == pytest.approx(cold.s, rel=3e-3)
    balance = 2 * (hot - cold) / (hot + cold)
    assert found.balance == pytest.approx(balance.n, abs=1e-3)
    assert found.balance_uncertainty == pytest.approx(balance.s, rel=5e-3)


def test_UA_agrees_with_ht_at_the_measured_effectiveness() -> None:
    found = rig({})[0]
    Q = 0.5 * (found.heat_hot.measured + found.heat_cold.measured)
    C_hot, C_cold = found.heat_hot.measured / 7.8, found.heat_cold.measured / 22.0
    again = effectiveness_NTU_method(
        mh=1, mc=1, Cph=C_hot, Cpc=C_cold, subtype="crossflow", Thi=62.0, Tci=21.3, UA=found.UA.measured
    )
    assert again["Q"] == pytest.approx(Q, rel=1e-6)


def test_a_rig_that_measures_what_is_computed_shows_no_difference() -> None:
    first = rig({})[0]
    exact = {
        "hot_out": (f"{first.hot_out.computed - 273.15:.9f} degC", "0.15 K"),
        "cold_out": (f"{first.cold_out.computed - 273.15:.9f} degC", "0.5 K"),
    }
    found = rig(exact)[0]
    # what is left: cp and film properties count at the mean of the measured, not of the first point's temperatures
    assert found.UA.measured == pytest.approx(found.UA.computed, rel=3e-3)
    assert abs(found.balance) < 1e-3
    assert abs(found.E_n) < 0.05
    assert [f.code for f in found.findings] == [FindingCode.RIG_AGREES]


def test_a_volume_flow_counts_at_the_inlet() -> None:
    # water at 62 degC: 982.1 kg/m3 (IAPWS-95)
    by_mass, by_volume = rig({}, {"hot_flow": ("9.958 L/min", "2 %")})
    assert by_volume.heat_hot.measured == pytest.approx(by_mass.heat_hot.measured, rel=1e-3)


def test_a_poor_balance_is_said() -> None:
    # SAE J1994 (2020): the two capacities must agree within 3 %
    good, poor = rig({}, {"cold_out": ("38 degC", "0.2 K"), "cold_flow": ("0.24 kg/s", "0.5 %")})
    assert FindingCode.RIG_BALANCE_POOR not in {f.code for f in good.findings}
    assert FindingCode.RIG_BALANCE_POOR in {f.code for f in poor.findings}


def test_what_no_exchanger_passes_on_is_said() -> None:
    found = rig({"hot_flow": ("2 kg/s", "1 %")})[0]
    assert [f.code for f in found.findings] == [FindingCode.RIG_IMPOSSIBLE]
    assert np.isfinite(found.UA.measured)


def test_a_large_difference_is_not_explained_away() -> None:
    found = rig({"hot_out": ("58.5 degC", "0.02 K"), "cold_out": ("31.1 degC", "0.02 K")})[0]
    assert found.E_n < -1.0
    assert FindingCode.RIG_DIFFERS in {f.code for f in found.findings}


def test_E_n_is_difference_over_both_expanded_uncertainties() -> None:
    found = rig({})[0]
    expanded = ((2 * found.UA.uncertainty) ** 2 + found.UA_expanded_computed**2) ** 0.5
    assert isclose(found.E_n, (found.UA.measured - found.UA.computed) / expanded, rel_tol=1e-12)


def test_without_stated_uncertainties_none_is_made_up() -> None:
    plain = {key: value for key, (value, _) in POINT.items()} | {"hot_out": "50 degC"}
    case = resolve(CaseText({"format": "heatdocket-case/1", "vehicle": {"class": "bench rig"}, "rig": [plain]}))
    assert isinstance(case, Case), case
    found = check(case, members=0)
    point = found.rig[0]
    assert (point.UA.uncertainty, point.heat_hot.uncertainty, point.balance_uncertainty) == (0.0, 0.0, 0.0)
    told = " ".join(reason.text for reason in reasons(found) if reason.about == "rig[0]")
    assert "stated uncertainties" not in told


def test_points_that_differ_speak_for_the_case() -> None:
    verdicts = {}
    for hot_out in ("54.2 degC", "40 degC"):
        rows = [{k: {"value": v, "uncertainty": u} for k, (v, u) in {**POINT, "hot_out": (hot_out, "0.1 K")}.items()}]
        case = resolve(CaseText({"format": "heatdocket-case/1", "vehicle": {"class": "bench rig"}, "rig": rows}))
        assert isinstance(case, Case), case
        found = check(case, members=0)
        verdicts[found.rig[0].agrees] = found.verdict
        agree = "1 of 1" if found.rig[0].agrees else "0 of 1"
        assert headline(found).endswith(f"{agree} measured points agree with what the dimensions give.")
    assert verdicts == {True: Verdict.HOLDS, False: Verdict.MARGINAL}


def scaled_case(**radiator: str) -> Case:
    rows = [{k: {"value": v, "uncertainty": u} for k, (v, u) in POINT.items()}]
    case = resolve(
        CaseText({"format": "heatdocket-case/1", "vehicle": {"class": "bench rig"}, "rig": rows, "radiator": radiator})
    )
    assert isinstance(case, Case), case
    return case


def test_a_measured_point_scales_the_prediction_and_then_comes_out() -> None:
    alone, scaled = (scaled_case(scale_to=word) for word in ("none", "measured points"))
    plain, found = (check_rig(case, prepare(case))[0] for case in (alone, scaled))
    factor = float(prepare(scaled).ua_scale[0])
    assert prepare(alone).ua_scale[0] == 1.0
    assert plain.scaled is None
    assert factor == pytest.approx(plain.UA.measured / plain.UA.computed, rel=1e-9)
    assert found.UA.computed == pytest.approx(plain.UA.computed)  # what the dimensions give stays beside it
    assert found.E_n == pytest.approx(plain.E_n)
    assert found.scaled is not None
    assert float(found.scaled.UA[0]) == pytest.approx(found.UA.measured, rel=1e-9)
    mean = 0.5 * (found.heat_hot.measured + found.heat_cold.measured)
    # cp of the air counts at its own mean for the measured point, at the film for the core: 2e-4 of the heat
    assert float(found.scaled.Q[0]) == pytest.approx(mean, rel=5e-4)


def test_a_typed_factor_stands_and_an_impossible_point_scales_nothing() -> None:
    typed = prepare(scaled_case(scale_to="measured points", ua_scale="0.8"))
    assert (typed.ua_scale[0], typed.scaled_to) == (0.8, ScaledTo.TYPED)
    rows = [{**{k: v for k, (v, _) in POINT.items()}, "hot_flow": "2 kg/s"}]
    case = resolve(
        CaseText(
            {
                "format": "heatdocket-case/1",
                "vehicle": {"class": "bench rig"},
                "rig": rows,
                "radiator": {"scale_to": "measured points"},
            }
        )
    )
    assert isinstance(case, Case)
    assert prepare(case).scaled_to is ScaledTo.NOTHING


def test_three_unlike_cores_are_scaled_as_single_ones() -> None:
    case = scaled_case(scale_to="measured points")
    heights = np.array([0.16, 0.2, 0.3])
    together = prepare(with_values(case, {"radiator.core_height": heights})).ua_scale
    alone = [prepare(with_values(case, {"radiator.core_height": h[None]})).ua_scale[0] for h in heights]
    assert together == pytest.approx(alone, rel=1e-9)
