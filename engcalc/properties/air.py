"""Air, dry and humid, and the pressure of the standard atmosphere.

Dry air's specific heat, conductivity and viscosity are committed fits to CoolProp at 1 atm (Lemmon and others, J. Phys.
Chem. Ref. Data 29 (2000) 331; Lemmon and Jacobsen, Int. J. Thermophys. 25 (2004) 21); their pressure dependence between
40 and 110 kPa is below 0.1 %. Density is the ideal gas's, 0.1 % low at -20 degC and 0.04 % at 20 degC.

Water vapour: ideal gas; dilute-gas viscosity and conductivity of IAPWS R12-08 and R15-11; the mixture by Wilke
(J. Chem. Phys. 18 (1950) 517), for conductivity with the same weights (Mason and Saxena, Phys. Fluids 1 (1958) 361).

Arrays: float64, members on the last axis; arguments broadcast. T [K], p [Pa], W humidity ratio [kg water/kg dry air].
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from engcalc.properties import coefficients as fit
from engcalc.properties.bounds import beyond, require
from engcalc.properties.fluid import Fluid
from engcalc.units import Array

R_DRY = 287.042  # J/(kg K); ASHRAE Handbook, Fundamentals (2017), chapter 1, eq. 1
HIGHEST_VAPOUR = 0.45  # -; share of the pressure that vapour may fill in an extreme of heat, altitude and humidity
MASS_RATIO = 0.621945  # molar mass of water over that of dry air; the same, eq. 20
CP_VAPOUR = 1860.0  # J/(kg K); the same, eq. 29
M_DRY = 28.966  # kg/kmol; the same, chapter 1
M_WATER = 18.015  # kg/kmol; the same
T_RANGE = (213.15, 473.15)  # K; range of the fits, -60 to 200 degC
FIT_DEVIATION = dict(zip(("cp", "k", "mu"), fit.AIR_DEVIATION, strict=True))
"""Largest relative deviation from CoolProp's dry air at 1 atm over ``T_RANGE``."""
ALTITUDE_RANGE = (-2000.0, 11000.0)  # m; the lowest layer of the standard atmosphere, as used here
T_SATURATION = (173.15, 473.15)  # K; range of the Hyland-Wexler equations


_TABLE = np.array(fit.AIR_TABLE)  # [t-power, (cp, k, mu)]


def _dry(T: Array) -> Array:
    """cp, k, mu of dry air [3, ...]; temperatures beyond the fit are answered as at its end."""
    t = (np.minimum(np.maximum(T, T_RANGE[0]), T_RANGE[1]) - fit.T_MID) / fit.T_HALF
    c = _TABLE.reshape(_TABLE.shape[0], 3, *(1,) * t.ndim)
    y = c[-1] * t + c[-2]
    for row in c[-3::-1]:
        y *= t
        y += row
    return np.asarray(y)


def _vapour_transport(T: Array) -> tuple[Array, Array]:
    """Conductivity [W/(m K)] and viscosity [Pa s] of water vapour in the dilute-gas limit."""
    Tr = np.minimum(np.maximum(T, T_RANGE[0]), T_RANGE[1]) / 647.096  # K; critical temperature of water, IAPWS
    root = np.sqrt(Tr)
    u = 1.0 / Tr
    mu = 100e-6 * root / (1.67752 + u * (2.20462 + u * (0.6366564 - u * 0.241605)))  # Pa s; IAPWS R12-08, eq. 11
    series = 2.443221e-3 + u * (1.323095e-2 + u * (6.770357e-3 + u * (-3.454586e-3 + u * 4.096266e-4)))
    return 1e-3 * root / series, mu  # W/(m K); IAPWS R15-11, eq. 16


def density(T: Array, p: Array, W: Array) -> Array:
    """Density of moist air [kg/m3]: p/(R T) times (1 + W)/(1 + W/0.621945). ASHRAE (2017) chapter 1, eq. 26."""
    return np.asarray(p / (R_DRY * T) * (1.0 + W) / (1.0 + W / MASS_RATIO))


def _mixed(own: Array, other: Array, x_own: Array, phi_own: Array, phi_other: Array) -> Array:
    """Wilke's sum for two species: each over its own and the other's weighted presence."""
    x_other = 1.0 - x_own
    by_own = x_own * own / (x_own + x_other * phi_own)
    by_other = x_other * other / (x_other + x_own * phi_other)
    return by_own + by_other


def air_state(T: Array, p: Array, W: Array) -> Fluid:
    """Density, specific heat, conductivity and viscosity of moist air at T [K], p [Pa] and humidity ratio W [-].

    Temperatures outside -60 to 200 degC are answered with cp, k and mu of that bound (see ``outside``).
    """
    cp_dry, k_dry, mu_dry = _dry(T)
    rho = density(T, p, W)
    if not np.any(W):
        return Fluid(rho, cp_dry, k_dry, mu_dry)
    k_vapour, mu_vapour = _vapour_transport(T)
    ratio = M_WATER / M_DRY
    r = np.sqrt(mu_dry / mu_vapour)
    phi_dry = (1.0 + r * ratio**0.25) ** 2 / np.sqrt(8.0 * (1.0 + 1.0 / ratio))  # Wilke (1950), eq. 14
    phi_vapour = (1.0 + (1.0 / r) * ratio**-0.25) ** 2 / np.sqrt(8.0 * (1.0 + ratio))
    x_dry = 1.0 / (1.0 + W / MASS_RATIO)
    mu = _mixed(mu_dry, mu_vapour, x_dry, phi_dry, phi_vapour)
    k = _mixed(k_dry, k_vapour, x_dry, phi_dry, phi_vapour)
    return Fluid(rho, np.asarray((cp_dry + W * CP_VAPOUR) / (1.0 + W)), k, mu)


def outside(T: Array) -> NDArray[np.bool_]:
    """Where T [K] lies outside the range of the fits, -60 to 200 degC."""
    return beyond(T, T_RANGE)


def saturation_pressure(T: Array) -> Array:
    """Vapour pressure of water [Pa] at T [K]: over ice below 0.01 degC, over liquid above; -100 to 200 degC.

    Hyland and Wexler (ASHRAE Trans. 89(2A) (1983) 500), as in ASHRAE Handbook, Fundamentals (2017), chapter 1, eqs. 5
    and 6. Raises RangeError outside.
    """
    T = require("air temperature", T, T_SATURATION, "K")
    u = 1.0 / T
    ln = np.log(T)
    cold = -9.677843e-3 + T * (6.2215701e-7 + T * (2.0747825e-9 - T * 9.484024e-13))
    ice = -5.6745359e3 * u + 6.3925247 + T * cold + 4.1635019 * ln
    warm = -4.8640239e-2 + T * (4.1764768e-5 - T * 1.4452093e-8)
    liquid = -5.8002206e3 * u + 1.3914993 + T * warm + 6.5459673 * ln
    return np.exp(np.where(T < 273.16, ice, liquid))  # K; triple point of water


def humidity_ratio(T: Array, RH: Array, p: Array) -> Array:
    """Humidity ratio W [kg/kg dry air] at T [K], relative humidity RH [-] and pressure p [Pa].

    W = 0.621945 pw/(p - pw), pw = RH psat(T), held at HIGHEST_VAPOUR of p. ASHRAE (2017) chapter 1, eqs. 20, 22.
    Raises RangeError for RH outside 0 to 1.
    """
    RH = require("relative humidity", RH, (0.0, 1.0), "")
    vapour = np.minimum(RH * saturation_pressure(T), HIGHEST_VAPOUR * p)
    return np.asarray(MASS_RATIO * vapour / (p - vapour))


# US Standard Atmosphere 1976, lowest layer: Table 4 and eq. 33a
_P0 = 101325.0  # Pa
_T0 = 288.15  # K
_LAPSE = 0.0065  # K/m of geopotential height
_EXPONENT = 9.80665 * 28.9644 / (8314.32 * 0.0065)  # g0' M0 / (R* L) [-]; 5.25588


def pressure_at_altitude(H: Array) -> Array:
    """Pressure [Pa] at geopotential altitude H [m]; US Standard Atmosphere 1976, eq. 33a. -2000 to 11000 m.

    Raises RangeError outside. 1000 m gives 89,874.6 Pa.
    """
    H = require("altitude", H, ALTITUDE_RANGE, "m")
    return np.asarray(_P0 * (1.0 - _LAPSE * H / _T0) ** _EXPONENT)
