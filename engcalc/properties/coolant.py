"""Coolant: water, ethylene glycol and water, propylene glycol and water, by volume fraction.

Density, specific heat, conductivity and viscosity come from committed coefficients made by ``refit`` from CoolProp
(water: IAPWS-95 and the IAPWS transport releases; glycols: its AEG and APG, fits to ASHRAE Handbook, Fundamentals,
chapter 31 tables of inhibited glycols by volume). How far they reach:

- 0.1 to 0.6 by volume, freezing point (or -35 degC) to 100 degC: CoolProp's own polynomials, given back to rounding
  (``FIT_DEVIATION``). Their viscosity strays up to 5 % from the ASHRAE tables, 10 % at -35 degC;
- between water and 0.1 no source was found. Every temperature coefficient runs as a quadratic in the fraction that
  meets water at 0 and AEG or APG at 0.1 in value and slope, so the properties are continuous and smooth there;
- above 100 degC density, specific heat and conductivity continue the same curves (quadratics but for a small cubic
  term) and viscosity follows ln mu = A + B/(T - C) from its value at 100 degC. ``EXTENSION_DEVIATION`` is the
  largest difference from the ASHRAE tables between 105 and 125 degC; between 125 and 140 degC no table was found
  for the glycols. Water itself is fitted to 140 degC;
- below freezing the curves continue (the liquid that would be there, were it not slush); above 0.6 the answer is that
  of 0.6. Both are flagged by ``validity``, never silent.

Temperatures beyond ``T_LOWEST`` and ``T_HIGHEST`` are answered as at that bound (flagged too), so that a solver's
trial temperature cannot yield an absurd property.

Arrays: float64, members on the last axis; T and phi broadcast. The base is one word for a whole ensemble.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import IntFlag, StrEnum

import numpy as np
from numpy.typing import NDArray

from engcalc.properties import coefficients as fit
from engcalc.properties.bounds import beyond, require
from engcalc.properties.fluid import Fluid
from engcalc.units import Array


class Base(StrEnum):
    """What the coolant is made of beside water; the values are the words of the case file."""

    WATER = "water"
    ETHYLENE = "ethylene glycol"
    PROPYLENE = "propylene glycol"


class Validity(IntFlag):
    """What a coolant property rests on; several may hold at once, 0 is a fit within its source's range."""

    FITTED = 0
    EXTENDED_HOT = 1  # glycol above 100 degC: our extension
    BELOW_FREEZING = 2  # ice is present in truth
    OUTSIDE_CONCENTRATION = 4  # above 60 % by volume: answered as 60 %
    OUTSIDE_TEMPERATURE = 8  # below -40 or above 140 degC
    JOINED = 16  # glycol below 10 % by volume: interpolated between water and the source


PHI_LOWEST = 0.1  # volume fraction; range of CoolProp's AEG and APG
PHI_HIGHEST = 0.6  # volume fraction; the same
T_RANGE = (233.15, 413.15)  # K; -40 to 140 degC: where these functions are tested
T_LOWEST = 213.15  # K; temperatures beyond are answered as at the bound
T_HIGHEST = 453.15  # K; the same

FIT_DEVIATION: dict[Base, dict[str, float]] = {
    base: dict(zip(("rho", "cp", "k", "mu"), worst, strict=True))
    for base, worst in (
        (Base.WATER, fit.WATER_DEVIATION),
        (Base.ETHYLENE, fit.ETHYLENE_DEVIATION),
        (Base.PROPYLENE, fit.PROPYLENE_DEVIATION),
    )
}
"""Largest relative deviation from CoolProp where CoolProp answers (water: 0 to 140 degC)."""

EXTENSION_DEVIATION = {"rho": 0.001, "cp": 0.001, "k": 0.005, "mu": 0.07}
"""Largest relative deviation of the glycols above 100 degC from ASHRAE Handbook, Fundamentals (2005), chapter 21,
tables of inhibited glycols at 105 to 125 degC (CoolProp's viscosity itself is some 3 % off that table at 100 degC)."""

# Pure substances at 20 degC: density [kg/m3] and molar mass [kg/mol]
DENSITY_20 = {
    Base.WATER: 998.2,  # kg/m3; IAPWS-95 at 20 degC and 1 atm: 998.207
    Base.ETHYLENE: 1113.2,  # kg/m3; common handbook value, from memory
    Base.PROPYLENE: 1036.2,  # kg/m3; common handbook value, from memory
}
MOLAR_MASS = {
    Base.WATER: 0.018015,  # kg/mol; IUPAC standard atomic weights
    Base.ETHYLENE: 0.062068,  # kg/mol; C2H6O2, IUPAC standard atomic weights
    Base.PROPYLENE: 0.076095,  # kg/mol; C3H8O2, IUPAC standard atomic weights
}


@dataclass(frozen=True, eq=False)
class _Glycol:
    table: Array  # [t-power, property, x-power]
    slope: Array  # K; B of ln mu = A + B/(T - C) [x-power]
    freezing: Array  # K; [x-power]
    C: float  # K
    water_slope: float  # K; B of water with this C


_WATER_TABLE = np.array(fit.WATER_TABLE)  # [t-power, property]
_GLYCOL = {
    Base.ETHYLENE: _Glycol(
        np.array(fit.ETHYLENE_TABLE),
        np.array(fit.ETHYLENE_SLOPE),
        np.array(fit.ETHYLENE_FREEZING),
        fit.ETHYLENE_C,
        fit.ETHYLENE_WATER_SLOPE,
    ),
    Base.PROPYLENE: _Glycol(
        np.array(fit.PROPYLENE_TABLE),
        np.array(fit.PROPYLENE_SLOPE),
        np.array(fit.PROPYLENE_FREEZING),
        fit.PROPYLENE_C,
        fit.PROPYLENE_WATER_SLOPE,
    ),
}
_T_FREEZE_WATER = 273.15  # K; at 1 atm
_T_HOT = (fit.T_JOINT - fit.T_MID) / fit.T_HALF  # 100 degC as t


def _fraction(phi: Array) -> Array:
    """The volume fraction checked and held to what the fits answer."""
    return np.minimum(np.atleast_1d(require("volume fraction", phi, (0.0, 1.0), "")), PHI_HIGHEST)


def _frozen(values: Array) -> Array:
    values.flags.writeable = False
    return values


def _powers(x: Array, count: int) -> tuple[Array, Array]:
    """x**j and its derivative j x**(j-1), j in 0..count-1, as [j, member]."""
    power = np.ones((count, x.size))
    for j in range(1, count):
        power[j] = power[j - 1] * x
    slope = np.zeros_like(power)
    slope[1:] = power[:-1] * np.arange(1.0, count)[:, None]
    return power, slope


def _along_fraction(c: Array, water: Array | float, phi: Array) -> Array:
    """A glycol coefficient c [..., x-power] at each member's fraction, led smoothly to water's value below 0.1."""
    inside = np.maximum(phi, PHI_LOWEST)
    power, slope = _powers((inside - fit.PHI_MID) / fit.PHI_HALF, c.shape[-1])
    flat = c.reshape(-1, c.shape[-1])
    shape = (*c.shape[:-1], phi.size)
    value = (flat @ power).reshape(shape)
    if np.all(phi >= PHI_LOWEST):
        return value
    rate = (flat @ slope).reshape(shape) / fit.PHI_HALF
    below = np.minimum(phi - PHI_LOWEST, 0.0)  # 0 from 10 % upwards: the fit itself stays untouched
    at_water = np.broadcast_to(np.asarray(water, dtype=np.float64)[..., None], value.shape)
    curvature = (at_water - value + PHI_LOWEST * rate) / PHI_LOWEST**2
    return np.asarray(value + rate * below + curvature * below**2)


def _temperature_coefficients(base: Base, phi: Array) -> tuple[Array, Array]:
    """Polynomial coefficients in t [t-power, property, member] and the slope B of ln mu above 100 degC [member]."""
    if base is Base.WATER:
        shape = (*_WATER_TABLE.shape, phi.size)
        return np.broadcast_to(_WATER_TABLE[..., None], shape), np.full(phi.size, fit.WATER_SLOPE)
    glycol = _GLYCOL[base]
    degree = _WATER_TABLE.shape[0]
    table = np.zeros((degree, *glycol.table.shape[1:]))
    table[: glycol.table.shape[0]] = glycol.table
    c = _along_fraction(table, _WATER_TABLE, phi)
    if np.all(phi >= PHI_LOWEST):  # then the powers that only water needs are zero: skip them at every call
        c = c[: glycol.table.shape[0]]
    return c, _along_fraction(glycol.slope, glycol.water_slope, phi)


@dataclass(frozen=True, eq=False)
class CoolantMixture:
    """One mixture per member, with its coefficients worked out once so that each ``state`` is cheap.

    base: one word for all members; volume_fraction phi [-], shape (members,), 0 to 1 at 20 degC before mixing, values
    above 0.6 answered as 0.6. For plain water the fraction is of no account. Raises RangeError outside 0 to 1.

    >>> mix = CoolantMixture(Base.ETHYLENE, np.array([0.5]))
    >>> round(float(mix.state(np.array([363.15])).rho[0]))
    1031
    """

    base: Base
    volume_fraction: Array
    freezing_point: Array = field(init=False)
    _c: tuple[Array, ...] = field(init=False, repr=False)
    _slope: Array = field(init=False, repr=False)
    _C: float = field(init=False, repr=False)
    _joint: float = field(init=False, repr=False)

    def __post_init__(self) -> None:
        phi = _fraction(self.volume_fraction)
        c, slope = _temperature_coefficients(self.base, phi)
        C = fit.WATER_C if self.base is Base.WATER else _GLYCOL[self.base].C
        settled = {
            "volume_fraction": _frozen(np.atleast_1d(np.array(self.volume_fraction, dtype=np.float64))),
            "freezing_point": _frozen(freezing_point(self.base, phi)),
            "_c": tuple(
                np.ascontiguousarray(row) for row in c[::-1]
            ),  # highest power first, as Horner's rule takes them
            "_slope": slope,
            "_C": C,
            "_joint": 1.0 / (fit.T_JOINT - C),
        }
        for name, value in settled.items():
            object.__setattr__(self, name, value)  # the dataclass is frozen

    def state(self, T: Array) -> Fluid:
        """Properties at T [K], shape (members,) or (cells, members), or one that broadcasts against the members."""
        T = np.minimum(np.maximum(T, T_LOWEST), T_HIGHEST)
        if T.ndim == 0:
            T = T.reshape(1)
        t = np.empty((4, *T.shape))
        t[:3] = (T - fit.T_MID) / fit.T_HALF
        np.minimum(t[0], _T_HOT, out=t[3])
        c = self._c
        if T.ndim > 1:
            axes = (1,) * (T.ndim - 1)
            c = tuple(row.reshape(4, *axes, -1) for row in c)
        y = c[0] * t
        y += c[1]
        for row in c[2:]:
            y *= t
            y += row
        mu = y[3]
        mu += self._slope * (1.0 / (np.maximum(T, fit.T_JOINT) - self._C) - self._joint)
        np.exp(mu, out=mu)
        return Fluid(y[0], y[1], y[2], mu)

    def validity(self, T: Array) -> NDArray[np.uint8]:
        """``Validity`` flags at T [K], broadcast shape of T and the members."""
        return validity(T, self.volume_fraction, self.base)

    def boiling_point(self, p: Array) -> Array:
        """Boiling point [K] on the safe side at absolute pressure p [Pa]."""
        return boiling_point(self.base, self.volume_fraction, p)


def thermo(T: Array, phi: Array, base: Base) -> Fluid:
    """All four properties at T [K] and volume fraction phi [-]; for repeated calls keep a ``Coolant``."""
    return CoolantMixture(base, phi).state(T)


def density(T: Array, phi: Array, base: Base) -> Array:
    """Density [kg/m3] at T [K] and volume fraction phi [-]."""
    return thermo(T, phi, base).rho


def freezing_point(base: Base, phi: Array) -> Array:
    """Temperature [K] at which the first ice forms, at volume fraction phi [-] (above 0.6 answered as at 0.6).

    Source: CoolProp's AEG and APG (ASHRAE); led to water's 273.15 K below 0.1 as the other properties are. Neat
    concentrate freezes far above a 60 % mixture (ethylene glycol near -13 degC): above 0.6 do not rely on it.
    """
    phi = _fraction(phi)
    if base is Base.WATER:
        return np.full(phi.shape, _T_FREEZE_WATER)
    return _along_fraction(_GLYCOL[base].freezing, _T_FREEZE_WATER, phi)


def validity(T: Array, phi: Array, base: Base) -> NDArray[np.uint8]:
    """``Validity`` flags for each T [K] and volume fraction phi [-], of their broadcast shape."""
    glycol = base is not Base.WATER
    flags = (
        ((T > fit.T_JOINT) & glycol, Validity.EXTENDED_HOT),
        (freezing_point(base, phi) > T, Validity.BELOW_FREEZING),
        ((phi > PHI_HIGHEST) & glycol, Validity.OUTSIDE_CONCENTRATION),
        (beyond(T, T_RANGE), Validity.OUTSIDE_TEMPERATURE),
        ((phi > 0.0) & (phi < PHI_LOWEST) & glycol, Validity.JOINED),
    )
    shape = np.broadcast_shapes(np.shape(T), np.shape(phi))
    out = np.zeros(shape, dtype=np.uint8)
    for where, flag in flags:
        out |= np.where(where, np.uint8(flag.value), np.uint8(0))
    return out


def mass_fraction(base: Base, phi: Array) -> Array:
    """Mass fraction of glycol [-] of a mixture made with volume fraction phi [-], both measured pure at 20 degC."""
    if base is Base.WATER:
        return np.zeros_like(phi)
    glycol = DENSITY_20[base] * phi
    return np.asarray(glycol / (glycol + DENSITY_20[Base.WATER] * (1.0 - phi)))


def volume_fraction(base: Base, w: Array) -> Array:
    """Volume fraction [-] at 20 degC from the mass fraction w [-] of glycol; undoes ``mass_fraction``."""
    if base is Base.WATER:
        return np.zeros_like(w)
    glycol = w / DENSITY_20[base]
    return np.asarray(glycol / (glycol + (1.0 - w) / DENSITY_20[Base.WATER]))


def water_mole_fraction(base: Base, phi: Array) -> Array:
    """Mole fraction of water [-] at volume fraction phi [-]; 0.7555 for half ethylene glycol."""
    w = mass_fraction(base, phi)
    water = (1.0 - w) / MOLAR_MASS[Base.WATER]
    return np.asarray(water / (water + w / MOLAR_MASS[base]))


# IAPWS-IF97 (R7-97(2012)), region 4, Table 34: n1..n10 of the saturation equation
_N1 = 1167.0521452767
_N2 = -724213.16703206
_N3 = -17.073846940092
_N4 = 12020.824702470
_N5 = -3232555.0322333
_N6 = 14.915108613530
_N7 = -4823.2657361591
_N8 = 405113.40542057
_N9 = -0.23855557567849
_N10 = 650.17534844798
P_SATURATION = (611.213, 22.064e6)  # Pa; range of the equation


def saturation_temperature(p: Array) -> Array:
    """Boiling point of water [K] at absolute pressure p [Pa]. IAPWS-IF97 region 4, eq. 31; 0.1 MPa: 372.755919 K.

    Raises RangeError outside 611.213 Pa to 22.064 MPa.
    """
    beta = (require("absolute pressure", p, P_SATURATION, "Pa") * 1e-6) ** 0.25  # the equation is in MPa
    E = beta**2 + _N3 * beta + _N6
    F = _N1 * beta**2 + _N4 * beta + _N7
    G = _N2 * beta**2 + _N5 * beta + _N8
    D = 2.0 * G / (-F - np.sqrt(F**2 - 4.0 * E * G))
    root = np.sqrt((_N10 + D) ** 2 - 4.0 * (_N9 + _N10 * D))
    return np.asarray((_N10 + D - root) / 2.0)


def saturation_pressure(T: Array) -> Array:
    """Vapour pressure of water [Pa] at T [K]. IAPWS-IF97 region 4, eq. 30; 300 K: 3536.58941 Pa."""
    theta = T + _N9 / (T - _N10)
    A = theta**2 + _N1 * theta + _N2
    B = _N3 * theta**2 + _N4 * theta + _N5
    C = _N6 * theta**2 + _N7 * theta + _N8
    root = np.sqrt(B**2 - 4.0 * A * C)
    return np.asarray((2.0 * C / (-B + root)) ** 4 * 1e6)


def boiling_point_raoult(base: Base, phi: Array, p: Array) -> Array:
    """Boiling point [K] by Raoult's law at absolute pressure p [Pa]: water boils at p over its mole fraction.

    The glycol's own vapour is neglected. Reads up to 2 K above printed tables under pressure: see ``boiling_point``.
    """
    phi = _fraction(phi)
    return saturation_temperature(p / water_mole_fraction(base, phi))


BOILING_UNCERTAINTY = 2.0  # K; printed values for the same mixture and pressure differ by as much
_ATMOSPHERE = 101325.0  # Pa
_CAP_15_PSI = 103421.0  # Pa; gauge
_SHORT_AT_CAP = 2.3  # K; half ethylene glycol at 15 psi: Raoult 130.09 degC, printed 262 degF (127.8 degC)
_SHORT_AT_ATMOSPHERE = {
    Base.WATER: 0.0,
    Base.ETHYLENE: 1.2,  # K; at 60 % Raoult 111.45 degC, printed 230 degF (110 degC): generator-set manual, Table 24
    Base.PROPYLENE: 2.3,  # K; Raoult 106.25 degC, ASTM D3306's lower limit 104 degC at half glycol
}
_HIGHEST_GAUGE = 150e3  # Pa; the correction grows no further: caps end here


def boiling_point(base: Base, phi: Array, p: Array) -> Array:
    """Boiling point [K] on the safe side at absolute pressure p [Pa]; carry ``BOILING_UNCERTAINTY`` with it.

    Raoult's law less a correction in proportion to the glycol: for half glycol the larger of what Raoult reads above
    the printed value at 1 atm, and 2.3 K per 103.4 kPa of gauge pressure (half ethylene glycol, 15 psi). Water needs
    none.
    """
    held = _fraction(phi)
    gauge = np.minimum(p - _ATMOSPHERE, _HIGHEST_GAUGE)
    short = np.maximum(_SHORT_AT_ATMOSPHERE[base], _SHORT_AT_CAP * gauge / _CAP_15_PSI)
    share = np.zeros_like(held) if base is Base.WATER else held / 0.5
    return np.asarray(boiling_point_raoult(base, held, p) - short * share)
