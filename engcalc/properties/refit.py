"""Makes the committed coolant and air coefficients from CoolProp: ``python -m engcalc.properties.refit``.

CoolProp takes seconds to import and stalls every thread meanwhile, so nothing at run time imports it; this module
does, inside functions, when a developer refits, when the tests compare, or when a helper process evaluates the exact
values at a case's own points (``exact_points``).

What is fitted:

- glycol and water, volume fraction 0.1 to 0.6: CoolProp's AEG and APG (fits to the tables of ASHRAE Handbook,
  Fundamentals, chapter "Physical properties of secondary coolants") are polynomials of degree 3 in temperature and
  5 in fraction for density, specific heat, conductivity and the logarithm of viscosity. Least squares in that same
  basis gives them back to rounding, and the polynomial then goes on past CoolProp's 100 degC and below freezing;
- their viscosity above 100 degC: the slope B of ln mu = A + B/(T - C), fitted over 40 to 100 degC, because a
  polynomial in T bends away there. A follows from continuity at 100 degC;
- water: IAPWS-95 and the IAPWS transport releases at 1 atm, on the saturation line above 100 degC, 0 to 180 degC.
  Below 0 degC a continuation by low-order curves through 0 to 40 degC keeps the fit tame; it describes no real state;
- freezing points; dry air at 1 atm.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.polynomial import polynomial
from numpy.typing import NDArray

from engcalc.units import Array

T_MID, T_HALF = 323.15, 90.0  # K; the variable t = (T - T_MID)/T_HALF runs from -1 to 1 over -40 to 140 degC
PHI_MID, PHI_HALF = 0.35, 0.25  # volume fraction; x = (phi - PHI_MID)/PHI_HALF runs from -1 to 1 over CoolProp's range
T_JOINT = 373.15  # K; CoolProp's glycols end here
T_COLD = 238.15  # K; and begin here
# K; C in ln mu = A + B/(T - C): what fits CoolProp's glycols best from freezing to 100 degC with one C for all
# fractions (to 10 K), and water's value in the common Vogel form 2.414e-5 Pa s * 10**(247.8/(T - 140))
VOGEL_C = {"water": 140.0, "ethylene glycol": 130.0, "propylene glycol": 170.0}
WATER_DEGREE = 6
FREEZING_DEGREE = 6
AIR_DEGREE = 3
GLYCOLS = {"ethylene glycol": "AEG", "propylene glycol": "APG"}
DECIMALS = (4, 3, 8, 7)  # of the coefficients of rho, cp, k and ln mu: fine enough, and far above rounding noise
OUTPUT = Path(__file__).with_name("coefficients.py")


@dataclass(frozen=True, eq=False)
class ExactPoints:
    """CoolProp's own values at the points that it answers.

    ``index`` says which of the points asked for these are; glycols are answered from their freezing point (or
    -35 degC) to 100 degC and from volume fraction 0.1 to 0.6, water from 0 to 180 degC.
    rho [kg/m3], cp [J/(kg K)], k [W/(m K)], mu [Pa s].
    """

    index: NDArray[np.intp]
    rho: Array
    cp: Array
    k: Array
    mu: Array


def _read(state: Any) -> tuple[float, float, float, float]:
    return state.rhomass(), state.cpmass(), state.conductivity(), state.viscosity()


def _water_point(state: Any, T: float) -> tuple[float, float, float, float]:
    from CoolProp import CoolProp

    if T > T_JOINT:  # liquid on the saturation line: what a pressurised system comes close to
        state.update(CoolProp.QT_INPUTS, 0.0, T)
    else:
        state.update(CoolProp.PT_INPUTS, 101325.0 if T < T_JOINT - 0.03 else 1.02e5, T)  # just liquid at 100 degC
    return _read(state)


def _freezing(fluid: str, phi: float) -> float:
    from CoolProp.CoolProp import PropsSI

    return float(PropsSI("T_FREEZE", "T", 300.0, "P", 1e6, f"INCOMP::{fluid}[{phi!r}]"))


def exact_points(base: str, T: Array, phi: Array) -> ExactPoints:
    """CoolProp's density, specific heat, conductivity and viscosity at given points, without any fit.

    base: "water", "ethylene glycol" or "propylene glycol"; T [K] and volume fraction phi [-], one dimension, same
    length. Imports CoolProp (seconds): for a helper process, the refit and the tests only.
    """
    from CoolProp import CoolProp

    index: list[int] = []
    rows: list[tuple[float, float, float, float]] = []
    water = CoolProp.AbstractState("HEOS", "Water")
    glycol = None if base == "water" else CoolProp.AbstractState("INCOMP", GLYCOLS[base])
    for i, (Ti, fraction) in enumerate(zip(T.tolist(), phi.tolist(), strict=True)):
        if glycol is None or fraction == 0.0:
            if 273.16 <= Ti <= 453.15:
                index.append(i)
                rows.append(_water_point(water, Ti))
        elif 0.1 <= fraction <= 0.6 and max(T_COLD, _freezing(GLYCOLS[base], fraction)) <= Ti <= T_JOINT:
            glycol.set_volu_fractions([fraction])
            glycol.update(CoolProp.PT_INPUTS, 1e6, Ti)
            index.append(i)
            rows.append(_read(glycol))
    values = np.array(rows, dtype=np.float64).reshape(-1, 4)
    return ExactPoints(np.array(index, dtype=np.intp), *values.T)


def _log_mu(points: ExactPoints) -> Array:
    return np.stack([points.rho, points.cp, points.k, np.log(points.mu)], axis=1)


def _basis(T: Array, phi: Array) -> Array:
    """Columns t**i * x**j, i in 0..3, j in 0..5."""
    t = (T - T_MID) / T_HALF
    x = (phi - PHI_MID) / PHI_HALF
    return np.stack([t**i * x**j for i in range(4) for j in range(6)], axis=1)


def _round(coefficients: Any) -> Array:
    """Coefficients [..., property] rounded to each property's decimals."""
    return np.stack([np.round(coefficients[..., p], DECIMALS[p]) for p in range(4)], axis=-1)


def _vogel_slope(T: Array, ln_mu: Array, C: float) -> Array:
    """B of ln mu = A + B/(T - C) by least squares; ln_mu [T, case] gives one B per case."""
    columns = np.stack([np.ones_like(T), 1.0 / (T - C)], axis=1)
    return np.asarray(np.linalg.lstsq(columns, ln_mu, rcond=None)[0][1])


def _deviation(fitted: Array, points: ExactPoints) -> tuple[float, ...]:
    """Largest relative deviation of [point, property] (mu as its logarithm) from the exact points."""
    exact = np.stack([points.rho, points.cp, points.k, points.mu], axis=1)
    ours = np.column_stack([fitted[:, :3], np.exp(fitted[:, 3])])
    off = np.abs(ours / exact - 1.0)
    return tuple(float(f"{v:.1e}") for v in np.max(off, axis=0))


def fit_glycol(base: str) -> dict[str, Any]:
    """Coefficients of one glycol: table [4 t-powers, 4 properties, 6 x-powers], slope [6], freezing [7], deviation."""
    phi = np.linspace(0.1, 0.6, 11)
    freezing = np.array([_freezing(GLYCOLS[base], f) for f in phi.tolist()])
    from_each = [np.linspace(max(low, T_COLD) + 0.01, T_JOINT - 0.01, 25) for low in freezing]
    asked_T = np.concatenate(from_each)
    asked_phi = np.repeat(phi, 25)
    points = exact_points(base, asked_T, asked_phi)
    basis = _basis(asked_T[points.index], asked_phi[points.index])
    solution = np.linalg.lstsq(basis, _log_mu(points), rcond=None)[0]
    coefficients = _round(solution.reshape(4, 6, 4))
    hot = np.linspace(313.15, T_JOINT, 25)
    ln_mu = np.stack([_basis(hot, np.full(25, f)) @ coefficients[..., 3].ravel() for f in phi], axis=1)
    x = (phi - PHI_MID) / PHI_HALF
    slope = polynomial.polyfit(x, _vogel_slope(hot, ln_mu, VOGEL_C[base]), 5)
    return {
        "table": coefficients.transpose(0, 2, 1),
        "slope": np.round(slope, 3),
        "freezing": np.round(polynomial.polyfit(x, freezing, FREEZING_DEGREE), 5),
        "deviation": _deviation(basis @ coefficients.reshape(24, 4), points),
    }


def _continued_cold(T: Array, values: Array, cold: Array) -> Array:
    """Water below 0 degC, which is no real state: each property goes on as it ran from 0 to 40 degC."""
    near = T <= 313.15
    fits = [np.polyfit(T[near] - T_MID, values[near, p], 2) for p in range(3)]
    quadratics = [np.polyval(fit, cold - T_MID) for fit in fits]
    C = VOGEL_C["water"]
    columns = np.stack([np.ones(near.sum()), 1.0 / (T[near] - C)], axis=1)
    A, B = np.linalg.lstsq(columns, values[near, 3], rcond=None)[0]
    return np.stack([*quadratics, A + B / (cold - C)], axis=1)


def fit_water() -> dict[str, Any]:
    """Coefficients of water: table [WATER_DEGREE + 1 t-powers, 4 properties], slope by base, deviation (to 140 degC).

    Each base has its own C, so water's slope B is given for each: a thin mixture must lead into water.
    """
    T = np.linspace(273.16, 453.15, 181)
    points = exact_points("water", T, np.zeros_like(T))
    values = _log_mu(points)
    table = _water_table(T, values)
    joint = float(polynomial.polyval((T_JOINT - T_MID) / T_HALF, table[:, 3]))
    hot = (T >= T_JOINT) & (T <= 413.15)
    rise = {base: 1.0 / (T[hot] - C) - 1.0 / (T_JOINT - C) for base, C in VOGEL_C.items()}
    over_joint = values[hot, 3] - joint

    def slope_over(step: Array) -> float:
        return round(float(np.sum(step * over_joint) / np.sum(step**2)), 3)

    slope = {base: slope_over(step) for base, step in rise.items()}
    fitted: Array = np.stack([polynomial.polyval((T - T_MID) / T_HALF, column) for column in table.T], axis=1)
    fitted[hot, 3] = joint + slope["water"] * rise["water"]
    ours = T <= 413.15
    return {"table": table, "slope": slope, "deviation": _deviation(fitted[ours], _some(points, ours))}


def _some(points: ExactPoints, which: NDArray[np.bool_]) -> ExactPoints:
    """Those of the points that ``which`` marks."""
    return ExactPoints(points.index[which], points.rho[which], points.cp[which], points.k[which], points.mu[which])


def _water_table(T: Array, values: Array) -> Array:
    """Polynomials through water's properties [point, property], carried on below 0 degC; viscosity up to the joint."""
    cold = np.linspace(213.15, 270.0, 40)
    x = (np.concatenate([cold, T]) - T_MID) / T_HALF
    y = np.concatenate([_continued_cold(T, values, cold), values])
    weight = np.concatenate([np.full(cold.size, 0.002), np.ones_like(T)])
    to_joint = x <= (T_JOINT - T_MID) / T_HALF + 1e-9
    everywhere = np.ones(x.size, dtype=bool)
    table = np.empty((WATER_DEGREE + 1, 4))
    for p, use in enumerate((everywhere, everywhere, everywhere, to_joint)):
        table[:, p] = polynomial.polyfit(x[use], y[use, p], WATER_DEGREE, w=weight[use])
    return _round(table)


def fit_air() -> dict[str, Any]:
    """Dry air at 1 atm, -60 to 200 degC: table [AIR_DEGREE + 1 t-powers, (cp, k, mu)], deviation."""
    from CoolProp.CoolProp import PropsSI

    T = np.linspace(213.15, 473.15, 131)
    exact = np.stack([np.asarray(PropsSI(key, "T", T, "P", 101325.0, "Air")) for key in ("C", "L", "V")], axis=1)
    t = (T - T_MID) / T_HALF
    raw = polynomial.polyfit(t, exact, AIR_DEGREE)
    table = np.stack([np.round(raw[:, 0], 4), np.round(raw[:, 1], 9), np.round(raw[:, 2], 12)], axis=1)
    fitted = polynomial.polyval(t, table).T
    worst = np.max(np.abs(fitted / exact - 1.0), axis=0)
    return {"table": table, "deviation": tuple(float(f"{v:.1e}") for v in worst)}


def _literal(value: Any, indent: int = 0) -> str:
    """Nested tuples of plain floats, one row of the last axis to a line."""
    if isinstance(value, np.ndarray):
        value = value.tolist()
    if not isinstance(value, (list, tuple)):
        return repr(float(value) + 0.0)
    if not isinstance(value[0], (list, tuple)):
        return "(" + ", ".join(repr(float(v) + 0.0) for v in value) + ")"
    pad = " " * (indent + 4)
    return "(\n" + "".join(f"{pad}{_literal(v, indent + 4)},\n" for v in value) + " " * indent + ")"


def render() -> str:
    """The text of ``coefficients.py``."""
    import CoolProp

    water = fit_water()
    air = fit_air()
    lines = [
        '"""Coefficients made by ``python -m engcalc.properties.refit``; do not edit by hand.',
        "",
        "Variables: t = (T - T_MID)/T_HALF, x = (phi - PHI_MID)/PHI_HALF. Properties in the order rho [kg/m3],",
        "cp [J/(kg K)], k [W/(m K)], ln(mu/(Pa s)); air: cp, k, mu. Deviations are the largest relative ones from",
        "CoolProp over the range in which it answers (water: 0 to 140 degC).",
        '"""',
        "",
        f'SOURCE = "CoolProp {CoolProp.__version__.split(".")[0]}: AEG, APG (by volume), HEOS Water, HEOS Air"',
        f"T_MID, T_HALF = {T_MID!r}, {T_HALF!r}  # K",
        f"PHI_MID, PHI_HALF = {PHI_MID!r}, {PHI_HALF!r}  # volume fraction",
        f"T_JOINT = {T_JOINT!r}  # K; above it viscosity follows ln mu = A + B/(T - C)",
        f"WATER_C = {VOGEL_C['water']!r}  # K; C",
        f"WATER_TABLE = {_literal(water['table'])}  # [t-power, property]",
        f"WATER_SLOPE = {_literal(water['slope']['water'])}  # K; B",
        f"WATER_DEVIATION = {_literal(water['deviation'])}  # of rho, cp, k, mu",
    ]
    for base in GLYCOLS:
        fit = fit_glycol(base)
        name = base.split()[0].upper()
        lines += [
            f"{name}_TABLE = {_literal(fit['table'])}  # [t-power, property, x-power]",
            f"{name}_C = {VOGEL_C[base]!r}  # K; C",
            f"{name}_WATER_SLOPE = {_literal(water['slope'][base])}  # K; B of water with this C",
            f"{name}_SLOPE = {_literal(fit['slope'])}  # K; B [x-power]",
            f"{name}_FREEZING = {_literal(fit['freezing'])}  # K; [x-power]",
            f"{name}_DEVIATION = {_literal(fit['deviation'])}  # of rho, cp, k, mu",
        ]
    lines += [
        f"AIR_TABLE = {_literal(air['table'])}  # [t-power, property]",
        f"AIR_DEVIATION = {_literal(air['deviation'])}  # of cp, k, mu; -60 to 200 degC",
    ]
    return "\n".join(lines) + "\n"


def main() -> None:
    """Write the coefficient file beside this module and say so."""
    OUTPUT.write_text(render(), encoding="utf-8", newline="\n")
    sys.stdout.write(f"wrote {OUTPUT.name}\n")


if __name__ == "__main__":
    main()
