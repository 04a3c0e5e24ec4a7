"""Air, dry and humid, and the standard atmosphere, against published values and independent formulations."""

import numpy as np
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.errors import RangeError
from engcalc.properties import air

ATMOSPHERE = np.array([101325.0])  # Pa
DRY = np.zeros(1)


def celsius(value: float) -> np.ndarray:
    return np.array([value + 273.15])


# Dry air at 101325 Pa: rho [kg/m3], cp [J/(kg K)], k [W/(m K)], mu [Pa s]; Lemmon and others, J. Phys. Chem. Ref. Data
# 29 (2000) 331, and Lemmon and Jacobsen, Int. J. Thermophys. 25 (2004) 21
DRY_AIR = {
    -20.0: (1.39565, 1005.5, 0.022812, 1.6201e-5),
    0.0: (1.29307, 1005.7, 0.024360, 1.7218e-5),
    20.0: (1.20458, 1006.1, 0.025874, 1.8206e-5),
    40.0: (1.12745, 1006.9, 0.027354, 1.9165e-5),
    60.0: (1.05963, 1008.0, 0.028804, 2.0099e-5),
    80.0: (0.99952, 1009.5, 0.030225, 2.1009e-5),
}


@pytest.mark.parametrize("T", sorted(DRY_AIR))
def test_dry_air(T: float) -> None:
    state = air.air_state(celsius(T), ATMOSPHERE, DRY)
    rho, cp, k, mu = DRY_AIR[T]
    assert state.rho[0] == pytest.approx(rho, rel=1e-3)  # ideal gas: 0.09 % low at -20 degC
    assert state.cp[0] == pytest.approx(cp, rel=1e-4)
    assert state.k[0] == pytest.approx(k, rel=2e-4)
    assert state.mu[0] == pytest.approx(mu, rel=2e-4)


def test_dry_air_against_older_tables() -> None:
    """US Standard Atmosphere 1976, sea level, 288.15 K: mu 1.7894e-5 Pa s, k 0.025326 W/(m K), rho 1.2250 kg/m3.

    Its transport formulas are those of 1962; the newer ones lie 0.5 % (mu) and 0.8 % (k) away.
    """
    state = air.air_state(np.array([288.15]), ATMOSPHERE, DRY)
    assert state.mu[0] == pytest.approx(1.7894e-5, rel=1e-2)
    assert state.k[0] == pytest.approx(0.025326, rel=1e-2)
    assert state.rho[0] == pytest.approx(1.2250, rel=1e-4)
    assert state.Pr[0] == pytest.approx(0.71, abs=0.01)


# US Standard Atmosphere 1976, Table I, by geopotential altitude [m]: p [Pa], rho [kg/m3]
STANDARD_ATMOSPHERE = {
    0.0: (101325.0, 1.2250),
    500.0: (95460.8, 1.16727),
    1000.0: (89874.6, 1.11164),
    1500.0: (84556.0, 1.05807),
    2000.0: (79495.2, 1.00649),
    3000.0: (70108.5, 0.90912),
    4000.0: (61640.2, 0.81913),
    5000.0: (54019.9, 0.73612),
}


def test_standard_atmosphere() -> None:
    H = np.array(sorted(STANDARD_ATMOSPHERE))
    p, rho = np.array([STANDARD_ATMOSPHERE[h] for h in H.tolist()]).T
    assert air.pressure_at_altitude(H) == pytest.approx(p, rel=1e-6)
    T = 288.15 - 0.0065 * H
    assert air.density(T, air.pressure_at_altitude(H), np.zeros(8)) == pytest.approx(rho, rel=1e-4)


def test_moist_air_at_25_degrees_and_half_saturation() -> None:
    """psychrolib 2.5 (ASHRAE Handbook, Fundamentals 2017, chapter 1): psat 3169.216 Pa, W 0.009881044, v 0.858043."""
    T = celsius(25.0)
    W = air.humidity_ratio(T, np.array([0.5]), ATMOSPHERE)
    assert air.saturation_pressure(T)[0] == pytest.approx(3169.216, rel=1e-6)
    assert W[0] == pytest.approx(0.009881044, rel=1e-6)
    assert (1 + W[0]) / air.density(T, ATMOSPHERE, W)[0] == pytest.approx(0.858043, rel=1e-5)
    assert W[0] == pytest.approx(0.009925739, rel=5e-3)  # real gas, ASHRAE RP-1485: 0.45 % more


@pytest.mark.parametrize("T", [-30.0, -5.0, 0.0, 15.0, 45.0, 60.0])
@pytest.mark.parametrize("RH", [0.2, 0.9])
def test_humidity_against_psychrolib(T: float, RH: float) -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    W = air.humidity_ratio(celsius(T), np.array([RH]), np.array([85e3]))
    assert W[0] == pytest.approx(max(psychrolib.GetHumRatioFromRelHum(T, RH, 85e3), 1e-7), rel=1e-5)
    rho = air.density(celsius(T), np.array([85e3]), W)[0]
    assert rho == pytest.approx(psychrolib.GetMoistAirDensity(T, float(W[0]), 85e3), rel=1e-4)


def test_water_vapour_transport() -> None:
    """CRC Handbook, from memory: steam at 100 degC and 1 atm, mu 12.3 uPa s, k 24.8 mW/(m K), the latter real gas."""
    nearly_steam = air.air_state(celsius(100.0), ATMOSPHERE, np.array([1e9]))
    assert nearly_steam.mu[0] == pytest.approx(12.3e-6, rel=1e-2)
    assert nearly_steam.k[0] == pytest.approx(24.8e-3, rel=4e-2)


def test_moist_transport_against_another_formulation() -> None:
    """CoolProp's humid air (Hermann, Kretzschmar and Gatley, ASHRAE RP-1485, 2009), not used for these numbers.

    Wilke's rule reads low as the vapour grows: 1 % in viscosity and 1.5 % in conductivity at 40 degC and 90 %.
    """
    from CoolProp.HumidAirProp import HAPropsSI

    for T, RH, within in ((20.0, 1.0, 0.01), (25.0, 0.5, 0.01), (40.0, 0.9, 0.02)):
        W = air.humidity_ratio(celsius(T), np.array([RH]), ATMOSPHERE)
        state = air.air_state(celsius(T), ATMOSPHERE, W)
        given_ = ("T", T + 273.15, "P", 101325.0, "W", float(W[0]))
        assert state.mu[0] == pytest.approx(HAPropsSI("M", *given_), rel=within)
        assert state.k[0] == pytest.approx(HAPropsSI("K", *given_), rel=within)
        assert state.cp[0] == pytest.approx(HAPropsSI("Cha", *given_), rel=0.004)
        assert state.rho[0] == pytest.approx(1 / HAPropsSI("Vha", *given_), rel=1e-3)


def test_dry_limit_of_moist_air() -> None:
    T = np.array([250.0, 300.0, 350.0])
    dry, nearly = (air.air_state(T, np.full(3, 9e4), np.full(3, W)) for W in (0.0, 1e-12))
    for name in ("rho", "cp", "k", "mu"):
        assert getattr(nearly, name) == pytest.approx(getattr(dry, name), rel=1e-9)


@given(st.floats(233.15, 393.15), st.floats(5e4, 1.1e5), st.floats(0.0, 0.05))
def test_air_truths(T: float, p: float, W: float) -> None:
    state = air.air_state(np.array([T, T + 5.0]), np.full(2, p), np.full(2, W))
    assert state.rho[1] < state.rho[0]
    assert state.mu[1] > state.mu[0]
    assert state.k[1] > state.k[0]
    assert np.all((state.Pr > 0.65) & (state.Pr < 0.76))
    assert air.density(np.array([T]), np.array([p]), np.array([W + 0.01]))[0] < state.rho[0]  # moist air is lighter


@given(st.floats(-2000.0, 10900.0), st.floats(1.0, 100.0))
def test_pressure_falls_with_altitude(H: float, step: float) -> None:
    p = air.pressure_at_altitude(np.array([H, H + step]))
    assert p[1] < p[0]


def test_three_unlike_members_are_three_single_runs() -> None:
    T, p = np.array([253.15, 300.0, 353.15]), np.array([7e4, 101325.0, 9e4])
    W = air.humidity_ratio(T, np.array([0.0, 0.5, 0.3]), p)
    together = air.air_state(T, p, W)
    for i in range(3):
        single = air.air_state(T[i : i + 1], p[i : i + 1], W[i : i + 1])
        for name in ("rho", "cp", "k", "mu", "Pr"):
            assert getattr(together, name)[i] == pytest.approx(getattr(single, name)[0], rel=1e-12), name


def test_outside_is_flagged_and_stays_physical() -> None:
    T = np.array([150.0, 300.0, 900.0])
    assert air.outside(T).tolist() == [True, False, True]
    state = air.air_state(T, np.full(3, 1e5), np.full(3, 0.01))
    assert np.all((state.cp > 900) & (state.k > 0) & (state.mu > 0))


@pytest.mark.parametrize(
    ("T", "RH", "p", "message"),
    [
        (300.0, 1.2, 1e5, r"relative humidity: 1.2 was given; 0 to 1 would do"),
        (300.0, -0.1, 1e5, "relative humidity"),
        (90.0, 0.5, 1e5, "air temperature: 90 K was given"),
        (float("nan"), 0.5, 1e5, "air temperature"),
    ],
)
def test_impossible_humidity_is_refused(T: float, RH: float, p: float, message: str) -> None:
    with pytest.raises(RangeError, match=message):
        air.humidity_ratio(np.array([T]), np.array([RH]), np.array([p]))


def test_vapour_never_crowds_out_the_air() -> None:
    """Saturated air just below boiling: the vapour is held at a share of the pressure."""
    share = air.HIGHEST_VAPOUR
    W = air.humidity_ratio(np.array([372.0]), np.ones(1), np.array([1e5]))
    assert W[0] == pytest.approx(air.MASS_RATIO * share / (1.0 - share), rel=1e-12)


@pytest.mark.parametrize("H", [-3000.0, 12000.0, float("nan")])
def test_impossible_altitude_is_refused(H: float) -> None:
    with pytest.raises(RangeError, match=r"altitude: .* m was given; -2000 to 11000 m would do"):
        air.pressure_at_altitude(np.array([H]))
