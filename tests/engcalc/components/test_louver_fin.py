"""Louvered fins against one hand-worked sample, rival data, identities and monotone truths."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.components.louver_fin import (
    DATABASE,
    LouverFin,
    PreparedFin,
    air_side,
    fin_efficiency,
    friction,
    j_factor,
    outside_database,
    prepare_fin,
    pressure_drop,
)
from engcalc.errors import RangeError
from engcalc.properties.fluid import Fluid

AIR = Fluid(rho=np.array([1.1839]), cp=np.array([1006.4]), k=np.array([0.026060]), mu=np.array([1.849e-5]))


def make(**changes: object) -> LouverFin:
    """The sample fin: theta 27 deg, Fp 1.5, Fl 8, Lp 1.2, Ll 6.8, Fd 22, Dm 2, Tp 10, delta_f 0.1 mm, k 200.

    The tube pitch is tube and fin height together where it is not given.
    """
    sample: dict[str, object] = {
        "theta": np.radians(27.0),
        "Fp": 1.5e-3,
        "Fl": 8e-3,
        "Lp": 1.2e-3,
        "Ll": 6.8e-3,
        "Fd": 22e-3,
        "Dm": 2e-3,
        "delta_f": 0.1e-3,
        "k_fin": 200.0,
    }
    given = {name: np.atleast_1d(np.asarray(x, float)) for name, x in (sample | changes).items()}
    return LouverFin(**{"Tp": given["Fl"] + given["Dm"], **given})


SAMPLE = prepare_fin(make())


def test_areas_of_the_sample():
    # own evaluation by hand of the conventions of Jacobi, Park, Tafti & Zhang, ARTI-21CR phase I
    for value, hand in (
        (SAMPLE.sigma, 0.7373333333),
        (SAMPLE.area_ratio, 27.28),
        (SAMPLE.Dh, 2.3784946237e-3),
        (SAMPLE.fin_share, 0.84946237),
    ):
        assert value[0] == pytest.approx(hand, rel=1e-8)
    assert AIR.Pr[0] == pytest.approx(0.71405741, rel=1e-7)


def test_a_tube_pitch_of_its_own_counts_tubes_and_leaves_the_fin_as_it_is():
    # own evaluation by hand: j goes with Tp^-0.28 (Chang & Wang 1997), areas of each pitch as in the text of the module
    wide = prepare_fin(make(Tp=24e-3))
    assert wide.sigma[0] == pytest.approx((8.0 - 0.1) * (1.5 - 0.1) / (24.0 * 1.5), rel=1e-12)  # the fin's own height
    assert wide.area_ratio[0] == pytest.approx(27.28 * 10.0 / 24.0, rel=1e-9)  # the same fin, fewer to the face
    assert wide.Dh[0] == pytest.approx(SAMPLE.Dh[0], rel=1e-12)
    assert wide.fin_length[0] == SAMPLE.fin_length[0]
    assert wide.j_factor[0] == pytest.approx(SAMPLE.j_factor[0] * 2.4**-0.28, rel=1e-12)
    narrow = prepare_fin(make(Tp=9e-3))
    assert narrow.sigma[0] == pytest.approx((7.0 - 0.1) * (1.5 - 0.1) / (9.0 * 1.5), rel=1e-12)  # the gap between tubes
    assert narrow.area_ratio[0] == pytest.approx(27.28 * 10.0 / 9.0, rel=1e-9)
    assert narrow.fin_length[0] == SAMPLE.fin_length[0]


def test_friction_takes_the_gap_between_the_tubes_from_the_pitch():
    # Chang et al. 2000, 150 < Re < 5000: f2 has (Fp/Ll)^(-0.7931 Tp/Th), Th = Tp - Dm; f3 has (Tp/Dm)^-0.0446
    wide, Re = prepare_fin(make(Tp=24e-3)), np.array([500.0])
    power = -0.7931 * (24.0 / 22.0 - 10.0 / 8.0)
    expected = friction(SAMPLE, Re) * (1.5 / 6.8) ** power * (24.0 / 10.0) ** -0.0446
    assert friction(wide, Re)[0] == pytest.approx(expected[0], rel=1e-12)


def test_the_sample_at_five_metres_per_second():
    # own evaluation by hand of Chang & Wang, IJHMT 40 (1997) 533 and Chang et al., IJHMT 43 (2000) 2237, for this fin
    got = air_side(SAMPLE, np.array([5.0]), AIR)
    f = friction(SAMPLE, got.Re_Lp)
    for value, hand in (
        (got.V_core, 6.78119349),
        (got.G, 8.02825497),
        (got.Re_Lp, 521.03331355),
        (got.j, 0.019629299687),
        (f, 0.078983950972),
        (got.h, 198.52163290),
        (got.eta_fin, 0.9098181592),
        (got.eta_o, 0.9233939202),
        (got.eta_o * got.h * SAMPLE.area_ratio, 5000.79689),  # W/K per m2 of face
        (pressure_drop(SAMPLE, np.array([5.0]), AIR), 79.54568943),
    ):
        assert value[0] == pytest.approx(hand, rel=1e-7)
    # its three factors: f1 19.2083805121, f2 0.0048201838, f3 0.8530696697
    assert f[0] == pytest.approx(19.2083805121 * 0.0048201838 * 0.8530696697, rel=1e-7)


def friction_2000(prepared: PreparedFin, Re_Lp: np.ndarray) -> np.ndarray:
    """Fanning f as published in 2000, before the blend: two formulas that jump at Re_Lp 150."""
    low = prepared.f_low * Re_Lp**prepared.f_low_power * np.log(0.5 * Re_Lp) ** -3.01
    high = prepared.f_high * Re_Lp**prepared.f_high_power * np.log(0.3 * Re_Lp) ** -2.966
    return np.where(Re_Lp < 150.0, low, high)


@pytest.mark.parametrize(
    ("V", "Re", "j", "f", "h", "dp"),
    [  # the same hand evaluation, friction as of 2000
        (1.0, 104.20666271, 0.043191681079, 0.210643716665, 87.36412600, 8.48567308),
        (2.0, 208.41332542, 0.030753560945, 0.136031738544, 124.41090072, 21.91987267),
        (3.0, 312.61998813, None, None, 152.99068053, 38.20689269),
    ],
)
def test_the_sample_at_other_velocities(V, Re, j, f, h, dp):
    got = air_side(SAMPLE, np.array([V]), AIR)
    f_2000 = friction_2000(SAMPLE, got.Re_Lp)
    assert got.Re_Lp[0] == pytest.approx(Re, rel=1e-9)
    assert got.h[0] == pytest.approx(h, rel=1e-8)
    drop = f_2000 * SAMPLE.area_ratio / SAMPLE.sigma * got.G**2 / (2 * AIR.rho)
    assert drop[0] == pytest.approx(dp, rel=1e-8)
    if j is not None:
        assert got.j[0] == pytest.approx(j, rel=1e-9)
        assert f_2000[0] == pytest.approx(f, rel=1e-9)


def test_the_sample_at_fixed_reynolds_numbers():
    # the same hand evaluation; f is that of 2000 but for Re 200, which also has the 2006 blend (IJHMT 49, 4250)
    Re = np.array([100.0, 500.0, 1000.0, 3000.0])
    np.testing.assert_allclose(
        j_factor(SAMPLE, Re), [0.044072622809, 0.020029660793, 0.014261621185, 0.008324908749], rtol=1e-9
    )
    f_2000 = [0.218749362212, 0.080744525214, 0.057098613816, 0.035953301609]
    np.testing.assert_allclose(friction_2000(SAMPLE, Re), f_2000, rtol=1e-9)
    np.testing.assert_allclose(friction(SAMPLE, Re), f_2000, rtol=1e-9)  # the blend does not reach these
    blend = friction(SAMPLE, np.array([200.0, 208.41332542, 300.0]))
    np.testing.assert_allclose(blend, [0.142682576236, 0.1386021524, 0.108025885430], rtol=1e-9)


def test_the_jump_of_2000_and_its_repair():
    # f of 2000 jumps by 11.7 % at Re 150: 0.152915135704 to 0.170843035933 (same hand evaluation)
    below, above = friction_2000(SAMPLE, np.array([150.0 - 1e-6, 150.0]))
    assert (below, above) == (pytest.approx(0.152915135704, rel=1e-9), pytest.approx(0.170843035933, rel=1e-9))
    for edge in (130.0, 230.0, SAMPLE.Re_creep[0]):
        left, right = friction(SAMPLE, edge * np.array([1 - 1e-9, 1 + 1e-9]))
        assert right == pytest.approx(left, rel=1e-7)


def test_misprints_of_the_friction_formula_stand_out():
    """Misprints in circulation, each some per cent off: so a test to 1e-9 above would catch them."""
    # -1.453 for -1.435 raises f by 3.4 % at Re 120; losing the power 1.4 lowers it by 16.7 % at Re 500
    term = np.log((0.1 / 1.5) ** 0.48 + 0.9)
    assert term**-1.453 / term**-1.435 == pytest.approx(1.034, abs=5e-4)
    assert (np.log(1.2 + 0.8) / np.log(1.2 + 0.8**1.4)) ** -3.553 == pytest.approx(1 - 0.167, abs=2e-3)


def test_kim_and_bullard_agree_for_heat():
    # Kim & Bullard, Int. J. Refrig. 25 (2002) 390, j = Re^-.487 (theta/90)^.257 (Fp/Lp)^-.13 (Fl/Lp)^-.29
    # (Fd/Lp)^-.235 (Ll/Lp)^.68 (Tp/Lp)^-.279 (delta/Lp)^-.05, 100 < Re < 600: its own scatter is 14.5 %
    r = make()
    Re = np.array([150.0, 300.0, 521.0])
    shape = (27 / 90) ** 0.257
    powers = {"Fp": -0.13, "Fl": -0.29, "Fd": -0.235, "Ll": 0.68, "Tp": -0.279, "delta_f": -0.05}
    for length, power in powers.items():
        shape *= (getattr(r, length)[0] / r.Lp[0]) ** power
    np.testing.assert_allclose(j_factor(SAMPLE, Re), Re**-0.487 * shape, rtol=0.04)


def test_fin_efficiency_limits():
    np.testing.assert_allclose(fin_efficiency(SAMPLE, np.array([0.0, 1e-12])), 1.0, rtol=1e-12)
    # m l large: tanh -> 1, the efficiency is 1/(m l)
    m = np.sqrt(2 * 1e7 / (200 * 1e-4) * (1 + 0.1 / 22))
    assert fin_efficiency(SAMPLE, np.array([1e7]))[0] == pytest.approx(1 / (m * 3.9e-3), rel=1e-9)


def fins() -> st.SearchStrategy[LouverFin]:
    """Fins over the ranges of the data."""

    def span(quantity: str) -> st.SearchStrategy[float]:
        return st.floats(DATABASE[quantity].low, DATABASE[quantity].high)

    return st.builds(
        lambda theta, Fp, Fl, Lp, share, Fd, Dm, d: make(
            theta=theta, Fp=Fp, Fl=Fl, Lp=Lp, Ll=share * Fl, Fd=Fd, Dm=Dm, delta_f=d
        ),
        span("louver angle"),
        span("fin pitch"),
        span("fin height"),
        span("louver pitch"),
        st.floats(0.6, 0.95),
        span("flow depth"),
        st.floats(1.5e-3, 5e-3),
        span("fin thickness"),
    )


@given(fins())
def test_more_air_never_lowers_conductance_or_pressure_drop(fin):
    prepared = prepare_fin(fin)
    V = np.geomspace(1e-4, 20.0, 400)
    got = air_side(prepared, V, AIR)
    assert (np.diff(got.eta_o * got.h) > 0).all()
    assert (np.diff(pressure_drop(prepared, V, AIR)) > 0).all()
    assert (friction(prepared, got.Re_Lp) > 0).all()
    assert np.isfinite(got.h).all()
    assert ((got.eta_o > 0) & (got.eta_o <= 1)).all()


@given(fins())
def test_friction_is_continuous(fin):
    prepared = prepare_fin(fin)
    for edge in (1.0, prepared.Re_creep[0], 130.0, 230.0):
        left, right = friction(prepared, edge * np.array([1 - 1e-9, 1 + 1e-9]))
        assert right == pytest.approx(left, rel=1e-7)
    assert 2.0 < prepared.Re_creep[0] <= 100.0 * (1 + 1e-12)


def test_creeping_air():
    # at 0.05 m/s and below: the drop is proportional to the velocity; nothing at rest
    V = np.array([0.0, 0.025, 0.05, 0.1])
    drop, got = pressure_drop(SAMPLE, V, AIR), air_side(SAMPLE, V, AIR)
    assert drop[0] == 0.0
    assert got.h[0] == 0.0
    np.testing.assert_allclose(drop[1:] / drop[2], [0.5, 1.0, 2.0], rtol=1e-12)
    assert (np.diff(got.h) > 0).all()
    (found,) = outside_database(SAMPLE, got.Re_Lp)
    assert found.quantity == "Re_Lp"
    assert found.members.all()


def test_the_ranges_of_the_data():
    # Chang & Wang 1997, database of 91 samples, as in Engineering Data Book III, ch. 6, Table 6.1 (mm, degrees)
    table = {
        "louver pitch": (0.5, 3.0),
        "louver length": (0.94, 18.5),
        "fin pitch": (0.51, 3.33),
        "flow depth": (15.6, 50.0),
        "fin height": (6.0, 20.0),
        "fin thickness": (0.04, 0.16),
        "tube pitch": (7.51, 25.0),
        "hydraulic diameter": (0.824, 4.94),
    }
    for quantity, (low, high) in table.items():
        span = DATABASE[quantity]
        assert (span.low, span.high) == (pytest.approx(low * 1e-3), pytest.approx(high * 1e-3)), quantity
        assert span.unit == "m"
    assert (DATABASE["Re_Lp"].low, DATABASE["Re_Lp"].high) == (100, 3000)
    angle = DATABASE["louver angle"]
    np.testing.assert_allclose(np.degrees([angle.low, angle.high]), [8.43, 35.0], rtol=1e-12)


def test_the_ends_of_the_blend_are_the_two_formulas_of_2000():
    np.testing.assert_allclose(
        [SAMPLE.f_130[0], SAMPLE.f_230[0]], friction_2000(SAMPLE, np.array([130.0, 230.0])), rtol=1e-13
    )


def test_what_lies_outside_the_data_is_named_per_member():
    prepared = prepare_fin(make(Fp=[1.5e-3, 4.0e-3, 1.5e-3], theta=np.radians([27.0, 27.0, 45.0])))
    found = {o.quantity: o for o in outside_database(prepared, np.array([500.0, 500.0, 3500.0]))}
    assert {name: o.members.tolist() for name, o in found.items()} == {
        "fin pitch": [False, True, False],
        "louver angle": [False, False, True],
        "Re_Lp": [False, False, True],
        "hydraulic diameter": [False, True, False],
    }
    assert str(found["fin pitch"]) == "fin pitch = 0.004 m lies outside 0.00051 to 0.00333 m"
    assert outside_database(SAMPLE, np.array([500.0])) == ()


def test_where_the_two_friction_formulas_contradict_each_other():
    # thickness/pitch 0.031: the formula for low Re gives three times that for high Re within a factor 1.8 of Re
    thin = prepare_fin(make(Fp=1.95e-3, delta_f=0.061e-3, Fl=15.6e-3, Lp=1.95e-3, Ll=11.7e-3, Fd=31e-3, Dm=3.9e-3))
    assert thin.f_130[0] > 3 * thin.f_230[0]
    assert [o.quantity for o in outside_database(thin)] == ["friction at Re 130 over that at Re 230"]
    assert outside_database(thin, np.array([500.0])) == ()  # no matter there
    Re = np.array([60.0, 100.0, 150.0, 229.0, 231.0, 500.0])
    f = friction(thin, Re)
    np.testing.assert_allclose(f[:4] * Re[:4], 230 * thin.f_230[0], rtol=1e-9)
    np.testing.assert_allclose(f[4:], friction_2000(thin, Re[4:]), rtol=1e-12)


def test_a_very_thin_fin_stays_finite():
    # the published friction formula has poles at thickness/pitch 0.0083 and 0.010
    for thickness in (5e-6, 1.25e-5, 1.5e-5, 1.6e-5):
        assert np.isfinite(friction(prepare_fin(make(delta_f=thickness)), np.array([50.0, 500.0]))).all()


def test_members_are_independent():
    theta, Fp, V = np.radians([20.0, 27.0, 40.0]), np.array([1.0e-3, 1.5e-3, 3.0e-3]), np.array([0.02, 1.5, 9.0])
    together = air_side(prepare_fin(make(theta=theta, Fp=Fp)), V, AIR)
    drops = pressure_drop(prepare_fin(make(theta=theta, Fp=Fp)), V, AIR)
    for i in range(3):
        alone = prepare_fin(make(theta=theta[i], Fp=Fp[i]))
        got = air_side(alone, V[i : i + 1], AIR)
        assert (got.h[0], got.eta_o[0]) == (
            pytest.approx(together.h[i], rel=1e-13),
            pytest.approx(together.eta_o[i], rel=1e-13),
        )
        assert pressure_drop(alone, V[i : i + 1], AIR)[0] == pytest.approx(drops[i], rel=1e-13)


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"Fp": 0.1e-3}, r"fin_pitch: 0.0001 was given; more than 0.0001"),
        ({"theta": 0.0}, "louver_angle: 0 was given"),
        ({"theta": 27.0}, "louver_angle: 27 was given; more than 0 and less than 1.57"),
        ({"Fl": [8e-3, -1e-3]}, "fin_height: -0.001 was given"),
        ({"Ll": np.nan}, "louver_length: nan was given"),
        ({"Tp": 2.2e-3}, "tube_pitch: 0.0022 was given; more than 0.0022"),
        ({"k_fin": 0.0}, "fin conductivity: 0 was given"),
    ],
)
def test_a_fin_that_cannot_be_built_is_named(change, match):
    with pytest.raises(RangeError, match=match):
        prepare_fin(make(**change))


def test_a_prepared_fin_does_not_depend_on_the_metal():
    copper = prepare_fin(replace(make(), k_fin=np.array([385.0])))
    V = np.array([5.0])
    assert air_side(copper, V, AIR).h[0] == air_side(SAMPLE, V, AIR).h[0]
    assert air_side(copper, V, AIR).eta_fin[0] > air_side(SAMPLE, V, AIR).eta_fin[0]
