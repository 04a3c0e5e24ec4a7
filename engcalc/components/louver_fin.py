"""Air side of a louvered-fin, flat-tube core: heat transfer, friction, fin efficiency, pressure drop.

j factor: Chang & Wang, Int. J. Heat Mass Transfer 40 (1997) 533-544 (89 % of its corrugated-louver data within
+-15 %). Friction: Chang, Hsu, Lin & Wang, Int. J. Heat Mass Transfer 43 (2000) 2237-2243 (83 % within +-15 %), with
the blend of Chang, Chang, Li & Wang, Int. J. Heat Mass Transfer 49 (2006) 4250-4253 that mends its jump at Re 150.
Areas per face area: the convention of Jacobi, Park, Tafti & Zhang (ARTI-21CR phase I). Re_Lp counts the velocity in
the minimum free-flow area and the louver pitch.

Tube pitch, tube height and fin height may be given independently: in real cores the first need not be the sum of the
others (solder and fin radius take room, slanted fins are longer than their gap). Then the tube pitch counts the tubes
and fins on the face, the fin height measures the fins' surface and efficiency, and the air passes through the smaller
of the fin height and the gap between two tubes, Tp - Dm. Where the pitch is the sum, gap and fin height are one.

Below their data (Re_Lp under 100) the formulas are extended, and ``outside_database`` flags the results there: j keeps
its power law down to Re_Lp = 1, so that the coefficient falls with the velocity to nothing; f keeps its formula down to
where it would fall more steeply than 1/Re and goes on as 1/Re (creeping flow: drop ~ velocity). For fins that are thin
against their pitch the two friction formulas contradict each other so far that the drop would fall as the air gets
faster; f Re is then held, below Re 230, at its value there, and that too is flagged.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from engcalc.components.validity import Outside, ValidRange, outside
from engcalc.errors import RangeError
from engcalc.properties.fluid import Fluid
from engcalc.units import Array
from engcalc.words.texts import plant_texts

_CW = "Chang & Wang 1997, database of 91 samples"
_CONTRADICTION = "friction at Re 130 over that at Re 230"
DATABASE: dict[str, ValidRange] = {
    "Re_Lp": ValidRange(100.0, 3000.0, "", _CW),
    "louver pitch": ValidRange(0.5e-3, 3.0e-3, "m", _CW),
    "louver length": ValidRange(0.94e-3, 18.5e-3, "m", _CW),
    "louver angle": ValidRange(float(np.radians(8.43)), float(np.radians(35.0)), "rad", _CW),
    "fin pitch": ValidRange(0.51e-3, 3.33e-3, "m", _CW),
    "flow depth": ValidRange(15.6e-3, 50.0e-3, "m", _CW),
    "fin height": ValidRange(6.0e-3, 20.0e-3, "m", _CW),
    "fin thickness": ValidRange(0.04e-3, 0.16e-3, "m", _CW),
    "tube pitch": ValidRange(7.51e-3, 25.0e-3, "m", _CW),
    "hydraulic diameter": ValidRange(0.824e-3, 4.94e-3, "m", _CW),
    _CONTRADICTION: ValidRange(0.0, 230.0 / 130.0, "", "where the formulas of 2000 and 2006 agree"),
}

RE_FLOOR = 1.0  # -; j and f are held below it (face velocity of about 1 cm/s)
_RE_DATA = 100.0  # -; lowest Re_Lp of the data: the friction formula is not continued as it is much below it
_RE_LOW = 130.0  # -; start of the 2006 blend
_RE_HIGH = 230.0  # -; its end
_THIN = 0.012  # -; least thickness/pitch of the data (0.04/3.33): the friction formula has a pole at 0.010


@dataclass(frozen=True, eq=False)
class LouverFin:
    """One louvered fin between two flat tubes; lengths in m, each an array over the members."""

    theta: Array  # rad, louver angle
    Fp: Array  # m, fin pitch
    Fl: Array  # m, fin height: of the fin itself, from tube to tube
    Lp: Array  # m, louver pitch
    Ll: Array  # m, louver (cut) length across the air
    Fd: Array  # m, depth along the air (fin depth and tube depth alike)
    Dm: Array  # m, outer height of the tube across the air
    Tp: Array  # m, tube pitch
    delta_f: Array  # m, fin thickness
    k_fin: Array  # W/(m K), fin conductivity

    @property
    def gap(self) -> Array:
        """Between two tubes [m]; Th in the friction formula."""
        return self.Tp - self.Dm

    @property
    def passage(self) -> Array:
        """Height [m] through which the air passes between two tubes."""
        return np.minimum(self.Fl, self.gap)


@dataclass(frozen=True, eq=False)
class PreparedFin:
    """Everything of the air side that no velocity changes: areas and the constants of j and f."""

    fin: LouverFin
    sigma: Array  # -, minimum free-flow area per face area
    area_ratio: Array  # -, air-side area per face area
    Dh: Array  # m, hydraulic diameter 4 Amin Fd/A
    fin_share: Array  # -, fin area per air-side area
    fin_length: Array  # m, effective fin length for the efficiency
    j_factor: Array  # -, j = j_factor Re^-0.49
    f_low: Array  # -, factor of the low-Re formula
    f_low_power: Array  # -, its power of Re
    f_high: Array  # -, factor of the high-Re formula
    f_high_power: Array  # -, its power of Re
    Re_creep: Array  # -, below it f goes as 1/Re
    f_130: Array  # -, f at Re 130
    f_230: Array  # -, f at Re 230


@dataclass(frozen=True, eq=False)
class AirSide:
    """The air side at one velocity, every intermediate kept."""

    V_core: Array  # m/s, in the minimum free-flow area
    G: Array  # kg/(s m2), there
    Re_Lp: Array  # -
    j: Array  # -
    h: Array  # W/(m2 K)
    eta_fin: Array  # -
    eta_o: Array  # -, of the whole surface


def prepare_fin(fin: LouverFin) -> PreparedFin:
    """Areas and constants of a fin. Raises RangeError where the fin cannot be built as given."""
    _check(fin)
    Fp = fin.Fp
    Fl = fin.Fl
    Lp = fin.Lp
    d = fin.delta_f
    sigma = (fin.passage - d) * (Fp - d) / (fin.Tp * Fp)
    area_ratio = 2.0 * (Fp - d + Fl - d) * fin.Fd / (Fp * fin.Tp)
    Dh = 4.0 * sigma * fin.Fd / area_ratio
    low, low_power = _low_constants(fin, Dh)
    high, high_power = _high_constants(fin, Dh)
    slope = np.maximum(1.0 + low_power, 3.01 / np.log(_RE_DATA / 2.0))  # joins at Re 100 at the latest
    return PreparedFin(
        fin=fin,
        sigma=sigma,
        area_ratio=area_ratio,
        Dh=Dh,
        fin_share=(Fl - d) / (Fp - d + Fl - d),
        fin_length=Fl / 2.0 - d,
        j_factor=(fin.theta / (np.pi / 2.0)) ** 0.27
        * (Fp / Lp) ** -0.14
        * (Fl / Lp) ** -0.29
        * (fin.Fd / Lp) ** -0.23
        * (fin.Ll / Lp) ** 0.68
        * (fin.Tp / Lp) ** -0.28
        * (d / Lp) ** -0.05,
        f_low=low,
        f_low_power=low_power,
        f_high=high,
        f_high_power=high_power,
        Re_creep=2.0 * np.exp(3.01 / slope),  # where the low-Re formula has the slope -1
        f_130=low * _RE_LOW**low_power * np.log(0.5 * _RE_LOW) ** -3.01,
        f_230=high * _RE_HIGH**high_power * np.log(0.3 * _RE_HIGH) ** -2.966,
    )


def _check(fin: LouverFin) -> None:
    """RangeError where a measure of the fin is none that a fin can have; it names the first such measure."""
    zero = np.zeros(1)
    bounds: tuple[tuple[str, Array, Array, Array | float], ...] = (
        ("louver_angle", fin.theta, zero, np.pi / 2.0),
        ("fin_height", fin.Fl, 2.0 * fin.delta_f, np.inf),
        ("fin_pitch", fin.Fp, fin.delta_f, np.inf),
        ("fin_thickness", fin.delta_f, zero, np.inf),
        ("louver_pitch", fin.Lp, zero, np.inf),
        ("louver_length", fin.Ll, zero, np.inf),
        ("core_depth", fin.Fd, zero, np.inf),
        ("tube_height", fin.Dm, zero, np.inf),
        ("tube_pitch", fin.Tp, fin.Dm + 2.0 * fin.delta_f, np.inf),
        ("fin conductivity", fin.k_fin, zero, np.inf),
    )
    for name, value, above, below in bounds:
        good = (value > above) & (value < below)
        if not good.all():
            worst = np.broadcast_to(value, good.shape)[~good][0]
            least, most = (float(np.broadcast_to(limit, good.shape)[~good][0]) for limit in (above, below))
            raise RangeError(
                plant_texts.WAS_GIVEN_MORE_THAN_AND_LESS.format(name=name, worst=worst, least=least, most=most)
            )


def _thinness(fin: LouverFin) -> Array:
    """Fin thickness over pitch [-], held at the data's least: the friction formula has a pole just below."""
    return np.maximum(fin.delta_f / fin.Fp, _THIN)


def _low_constants(fin: LouverFin, Dh: Array) -> tuple[Array, Array]:
    """Factor and power of f = factor Re^power ln(0.5 Re)^-3.01 (Chang et al. 2000, Re_Lp < 150)."""
    f1 = 14.39 * np.log(1.0 + fin.Fp / fin.Lp) ** 3.04
    f2 = np.log(_thinness(fin) ** 0.48 + 0.9) ** -1.435 * (Dh / fin.Lp) ** -3.01
    f3 = (
        (fin.Fp / fin.Ll) ** -0.308
        * (fin.Fd / fin.Ll) ** -0.308
        * np.exp(-0.1167 * fin.Tp / fin.Dm)
        * np.degrees(fin.theta) ** 0.35
    )
    return f1 * f2 * f3, -0.805 * fin.Fp / fin.Fl


def _high_constants(fin: LouverFin, Dh: Array) -> tuple[Array, Array]:
    """Factor and power of f = factor Re^power ln(0.3 Re)^-2.966 (Chang et al. 2000, 150 < Re_Lp < 5000)."""
    degrees = np.degrees(fin.theta)
    f1 = 4.97 * np.log(_thinness(fin) ** 0.5 + 0.9) ** -0.527
    f2 = (Dh / fin.Lp) ** -2.966 * (fin.Fp / fin.Ll) ** (-0.7931 * fin.Tp / fin.gap)
    f3 = (fin.Tp / fin.Dm) ** -0.0446 * np.log(1.2 + (fin.Lp / fin.Fp) ** 1.4) ** -3.553 * degrees**-0.477
    return f1 * f2 * f3, 0.6049 - 1.064 / degrees**0.2


def j_factor(prepared: PreparedFin, Re_Lp: Array) -> Array:
    """Colburn factor j [-] = h/(G cp) Pr^(2/3) (Chang & Wang 1997); held below Re_Lp = 1."""
    return np.asarray(prepared.j_factor * np.maximum(Re_Lp, RE_FLOOR) ** -0.49)


def friction(prepared: PreparedFin, Re_Lp: Array) -> Array:
    """Fanning f [-] with the 2006 blend: continuous, and extended below the data (see the module's text)."""
    Re = np.maximum(Re_Lp, RE_FLOOR)
    Re_low = np.minimum(np.maximum(Re, prepared.Re_creep), _RE_LOW)
    Re_high = np.maximum(Re, _RE_HIGH)
    low = prepared.f_low * Re_low**prepared.f_low_power * np.log(0.5 * Re_low) ** -3.01
    high = prepared.f_high * Re_high**prepared.f_high_power * np.log(0.3 * Re_high) ** -2.966
    creeping = np.maximum(prepared.Re_creep / Re, 1.0)
    # w runs from 1 at Re 130 to -1 at Re 230 and stays there, so that one expression serves all three ranges
    w = np.minimum(np.maximum(3.6 - 0.02 * Re, -1.0), 1.0)
    squared = ((1.0 + w) * low**2 + (1.0 - w) * high**2) / 2.0
    blend = np.sqrt(squared) * creeping
    ceiling = high * np.maximum(_RE_HIGH / Re, 1.0)  # so that f Re never falls as Re rises
    return np.asarray(np.minimum(blend, ceiling))


def air_side(prepared: PreparedFin, velocity: Array, air: Fluid) -> AirSide:
    """Coefficient and surface efficiency at a face velocity [m/s] >= 0 (at the density of ``air``)."""
    fin = prepared.fin
    V_core = velocity / prepared.sigma
    G = air.rho * V_core
    Re = G * fin.Lp / air.mu
    j = j_factor(prepared, Re)
    h = j * G * air.cp * air.Pr ** (-2.0 / 3.0)
    eta_fin = fin_efficiency(prepared, h)
    return AirSide(V_core, G, Re, j, h, eta_fin, 1.0 - prepared.fin_share * (1.0 - eta_fin))


def fin_efficiency(prepared: PreparedFin, h: Array) -> Array:
    """Efficiency [-] of a straight fin: tanh(m l)/(m l), m = sqrt[2 h/(k delta) (1 + delta/Fd)], h in W/(m2 K)."""
    fin = prepared.fin
    tips = 1.0 + fin.delta_f / fin.Fd
    m = np.sqrt(2.0 * h / (fin.k_fin * fin.delta_f) * tips)
    ml = np.maximum(m * prepared.fin_length, 1e-9)  # tends to 1 as h tends to 0
    return np.asarray(np.tanh(ml) / ml)


def pressure_drop(prepared: PreparedFin, velocity: Array, air: Fluid) -> Array:
    """Core pressure drop [Pa] = f (A/Amin) G^2/(2 rho) at a face velocity [m/s] >= 0: the form of the f data's plot."""
    G = air.rho * velocity / prepared.sigma
    f = friction(prepared, G * prepared.fin.Lp / air.mu)
    return np.asarray(f * prepared.area_ratio / prepared.sigma * G**2 / (2.0 * air.rho))


def outside_database(prepared: PreparedFin, Re_Lp: ArrayLike | None = None) -> tuple[Outside, ...]:
    """Which dimensions, and which Re_Lp if given, lie outside the data behind j and f, with a mask over members."""
    fin = prepared.fin
    contradiction = prepared.f_130 / prepared.f_230
    values = {
        "louver pitch": fin.Lp,
        "louver length": fin.Ll,
        "louver angle": fin.theta,
        "fin pitch": fin.Fp,
        "flow depth": fin.Fd,
        "fin height": fin.Fl,
        "fin thickness": fin.delta_f,
        "tube pitch": fin.Tp,
        "hydraulic diameter": prepared.Dh,
    }
    if Re_Lp is not None:
        values["Re_Lp"] = np.asarray(Re_Lp, dtype=np.float64)
        contradiction = np.where(values["Re_Lp"] < _RE_HIGH, contradiction, 1.0)  # no matter above
    values[_CONTRADICTION] = contradiction
    return outside(DATABASE, values)
