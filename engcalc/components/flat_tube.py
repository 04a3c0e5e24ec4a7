"""Coolant side of a flat tube: heat transfer and pressure drop from laminar through transition to turbulent.

Laminar: Shah & London, Laminar Flow Forced Convection in Ducts (1978), rectangular duct of the tube's inner aspect
ratio; entrance: Hausen's term (Z. VDI Beih. Verfahrenstech. 4 (1943) 91; for a round tube 3.66 + ...) on top of the
developed value (common practice for other sections). Turbulent: Gnielinski, Int. Chem. Eng. 16 (1976) 359, with the
friction of Petukhov (1970). Transition: Gnielinski, Int. J. Heat Mass Transfer 63 (2013) 134, straight line in Re
between 2300 and 4000, used for the friction factor alike, so that neither jumps.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import ArrayLike

from engcalc.components.validity import Outside, ValidRange, outside
from engcalc.errors import RangeError
from engcalc.properties.fluid import Fluid
from engcalc.units import Array
from engcalc.words.texts import plant_texts

RE_LAMINAR = 2300.0  # -; start of the transition (Gnielinski 2013)
RE_TURBULENT = 4000.0  # -; its end; the same
K_ENTRY = 0.5  # velocity heads; sharp entry from a header (common practice)
K_EXIT = 1.0  # velocity heads; exit to a header (common practice)
_RE_LEAST = 1e-6  # -; keeps 64/Re finite where nothing flows

_FRE = (1.0, -1.3553, 1.9467, -1.7012, 0.9564, -0.2537)  # -, times 24; Shah & London 1978
_NU_H1 = (1.0, -2.0421, 3.0853, -2.4765, 1.0578, -0.1861)  # -, times 8.235; Shah & London 1978
_NU_T = (1.0, -2.610, 4.970, -5.119, 2.702, -0.548)  # -, times 7.541; Shah & London 1978

VALIDITY: dict[str, ValidRange] = {
    "Re": ValidRange(0.0, 1.0e6, "", "Gnielinski 1976"),
    "Pr": ValidRange(0.5, 2000.0, "", "Gnielinski 1976"),
    "aspect ratio": ValidRange(0.0, 1.0, "", "Shah & London 1978, rectangular ducts"),
}


class LaminarWall(Enum):
    """Heating condition of developed laminar flow; the value holds the plate limit and the polynomial."""

    EVEN_TEMPERATURE = (7.541, _NU_T)  # T: the lower one
    EVEN_FLUX = (8.235, _NU_H1)  # H1: along the tube


@dataclass(frozen=True, eq=False)
class FlatTube:
    """A flat tube with rounded ends, outer sizes in m."""

    width: Array  # m, along the air stream
    height: Array  # m, across it
    wall: Array  # m
    length: Array  # m, from header to header


@dataclass(frozen=True, eq=False)
class PreparedTube:
    """Everything of a tube that no flow changes."""

    tube: FlatTube
    area: Array  # m2, flow area of one tube
    perimeter: Array  # m, inner
    perimeter_middle: Array  # m, at half the wall
    Dh: Array  # m, hydraulic diameter
    aspect: Array  # -, inner height over inner width
    fRe: Array  # -, Fanning friction factor times Re, developed laminar
    Nu_laminar: Array  # -, developed laminar


@dataclass(frozen=True, eq=False)
class TubeSide:
    """The coolant side at one flow, every intermediate kept."""

    V: Array  # m/s
    Re: Array  # -
    Nu: Array  # -
    h: Array  # W/(m2 K)


@dataclass(frozen=True, eq=False)
class TubeDrop:
    """Pressure drop of one tube run: dp = friction + ends."""

    Re: Array  # -
    f: Array  # -, Darcy friction factor
    friction: Array  # Pa
    ends: Array  # Pa, entry and exit losses
    dp: Array  # Pa


def fRe_rectangular(aspect: Array) -> Array:
    """Fanning f Re [-] of developed laminar flow in a rectangular duct, aspect 0 (plates) to 1 (square)."""
    return 24.0 * _polynomial(_FRE, aspect)


def Nu_rectangular(aspect: Array, wall: LaminarWall) -> Array:
    """Nu [-] of developed laminar flow in a rectangular duct, aspect 0 (plates) to 1 (square)."""
    plates, coefficients = wall.value
    return float(plates) * _polynomial(coefficients, aspect)


def _polynomial(coefficients: tuple[float, ...], x: Array) -> Array:
    result = np.full_like(x, coefficients[-1], dtype=np.float64)
    for coefficient in coefficients[-2::-1]:
        result = result * x + coefficient
    return result


def prepare_tube(tube: FlatTube, wall: LaminarWall = LaminarWall.EVEN_TEMPERATURE) -> PreparedTube:
    """Areas and laminar constants of a tube. Raises RangeError where the tube cannot be built as given.

    The laminar Nusselt number of even wall temperature is the default because it is the lower one; the true condition
    of a tube in an air stream lies between the two.
    """
    _check(tube)
    inner_width = tube.width - 2.0 * tube.wall
    inner_height = tube.height - 2.0 * tube.wall
    straight = inner_width - inner_height
    area = straight * inner_height + np.pi / 4.0 * inner_height**2
    perimeter = 2.0 * straight + np.pi * inner_height
    aspect = inner_height / inner_width
    return PreparedTube(
        tube=tube,
        area=area,
        perimeter=perimeter,
        perimeter_middle=perimeter + np.pi * tube.wall,
        Dh=4.0 * area / perimeter,
        aspect=aspect,
        fRe=fRe_rectangular(aspect),
        Nu_laminar=Nu_rectangular(aspect, wall),
    )


def _check(tube: FlatTube) -> None:
    """RangeError where a measure of the tube is none that a tube can have; it names the first such measure."""
    bounds = (
        ("tube_wall", tube.wall, np.zeros(1), tube.height / 2.0),
        ("tube_height", tube.height, np.zeros(1), tube.width * (1.0 + 1e-12)),
        ("tube length", tube.length, np.zeros(1), np.full(1, np.inf)),
    )
    for name, value, above, below in bounds:
        good = (value > above) & (value < below)
        if not good.all():
            bad = ~good
            worst, least, most = (float(np.broadcast_to(x, good.shape)[bad][0]) for x in (value, above, below))
            raise RangeError(
                plant_texts.WAS_GIVEN_MORE_THAN_AND_LESS_THAN_WOULD_DO_M.format(
                    name=name, worst=worst, least=least, most=most
                )
            )


def friction_petukhov(Re: Array) -> Array:
    """Darcy friction factor [-] of turbulent flow in a smooth tube: (0.790 ln Re - 1.64)^-2, Re > 3000."""
    return np.asarray((0.790 * np.log(Re) - 1.64) ** -2)


def Nu_gnielinski(Re: Array, Pr: Array) -> Array:
    """Nu [-] of developed turbulent flow: (f/8)(Re - 1000) Pr/[1 + 12.7 sqrt(f/8)(Pr^(2/3) - 1)]."""
    eighth = friction_petukhov(Re) / 8.0
    return np.asarray(eighth * (Re - 1000.0) * Pr / (1.0 + 12.7 * np.sqrt(eighth) * (Pr ** (2.0 / 3.0) - 1.0)))


def Nu_entrance(Gz: Array) -> Array:
    """What Hausen adds to the developed laminar Nu [-] over a length of Graetz number Gz = Re Pr Dh/L."""
    return np.asarray(0.0668 * Gz / (1.0 + 0.04 * Gz ** (2.0 / 3.0)))


def _turbulent_share(Re: Array) -> Array:
    """0 below Re 2300, 1 above 4000, a straight line between (Gnielinski 2013)."""
    return np.asarray(np.minimum(np.maximum((Re - RE_LAMINAR) / (RE_TURBULENT - RE_LAMINAR), 0.0), 1.0))


def Nu(prepared: PreparedTube, Re: Array, Pr: Array) -> Array:
    """Mean Nu [-] over the tube's length at any Re >= 0; continuous."""
    Re_laminar = np.minimum(Re, RE_LAMINAR)
    laminar = prepared.Nu_laminar + Nu_entrance(Re_laminar * Pr * prepared.Dh / prepared.tube.length)
    turbulent = Nu_gnielinski(np.maximum(Re, RE_TURBULENT), Pr)
    return np.asarray(laminar + _turbulent_share(Re) * (turbulent - laminar))


def friction(prepared: PreparedTube, Re: Array) -> Array:
    """Darcy friction factor [-] at any Re >= 0; continuous. Laminar entrance is left to the end losses."""
    laminar = 4.0 * prepared.fRe / np.maximum(np.minimum(Re, RE_LAMINAR), _RE_LEAST)
    turbulent = friction_petukhov(np.maximum(Re, RE_TURBULENT))
    return np.asarray(laminar + _turbulent_share(Re) * (turbulent - laminar))


def tube_side(prepared: PreparedTube, velocity: Array, fluid: Fluid, wall_viscosity: Array | None = None) -> TubeSide:
    """Heat transfer at a mean velocity [m/s] >= 0 in the tube.

    With ``wall_viscosity`` [Pa s] Nu is multiplied by (mu/mu_wall)^0.14 (Sieder & Tate, Ind. Eng. Chem. 28 (1936)
    1429).
    """
    Re = fluid.rho * velocity * prepared.Dh / fluid.mu
    number = Nu(prepared, Re, fluid.Pr)
    if wall_viscosity is not None:
        number = number * (fluid.mu / wall_viscosity) ** 0.14
    return TubeSide(velocity, Re, number, number * fluid.k / prepared.Dh)


def tube_drop(prepared: PreparedTube, velocity: Array, fluid: Fluid) -> TubeDrop:
    """Pressure drop at a mean velocity [m/s] >= 0: friction over the length, a sharp entry and an exit."""
    Re = fluid.rho * velocity * prepared.Dh / fluid.mu
    f = friction(prepared, Re)
    head = fluid.rho * velocity**2 / 2.0
    run = f * prepared.tube.length / prepared.Dh * head
    ends = (K_ENTRY + K_EXIT) * head
    return TubeDrop(Re, f, run, ends, run + ends)


def outside_validity(prepared: PreparedTube, Re: ArrayLike, Pr: ArrayLike) -> tuple[Outside, ...]:
    """Which of Re, Pr and the aspect ratio leave the range of the formulas, with a mask over the members."""
    values = {"Re": np.asarray(Re, float), "Pr": np.asarray(Pr, float), "aspect ratio": prepared.aspect}
    return outside(VALIDITY, values)
