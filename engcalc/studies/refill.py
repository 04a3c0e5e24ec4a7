"""Refilling a cooling system: protection of a mixture, what to add, trapped air, expansion, a refractometer's reading.

Fractions are by volume of glycol before mixing at 20 degC, as the trade speaks. Volumes add: glycol and water shrink by
less than 1 % on mixing, which is left out. A part drain is taken from a system that is mixed through. Concentrations to
60 % are computed; what lies above is flagged ``outside``, never answered silently. What may be mixed with what is not
computed here at all: that is the maker's word.

Arrays: float64, members on the last axis; arguments broadcast.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

import numpy as np
from numpy.typing import NDArray

from engcalc.errors import RangeError
from engcalc.properties.air import pressure_at_altitude
from engcalc.properties.bounds import beyond, require
from engcalc.properties.coolant import (
    BOILING_UNCERTAINTY,
    PHI_HIGHEST,
    Base,
    boiling_point,
    density,
    freezing_point,
)
from engcalc.units import Array
from engcalc.words.texts import study_texts

Mask = NDArray[np.bool_]

FRACTION = (0.0, 1.0)  # -
VOLUME = (0.0, 1.0)  # m3
T_LIQUID = (213.15, 453.15)  # K
CAP = (0.0, 4e5)  # Pa, gauge
_NOTHING = 1e-9  # m3; a microlitre
_TINY = 1e-12


@dataclass(frozen=True, eq=False)
class Protection:
    """What a mixture stands: each of shape (members,).

    ``freezing`` [K] first ice; ``boiling`` [K] at the cap's pressure and ``boiling_open`` [K] without it, both on the
    safe side with ``boiling_uncertainty`` [K] still to be carried. ``outside``: above 60 % the freezing point rises
    again and nothing here holds.
    """

    freezing: Array
    boiling: Array
    boiling_open: Array
    boiling_uncertainty: float
    outside: Mask


def protection(base: Base, fraction: Array, cap_pressure: Array, altitude: Array) -> Protection:
    """Freeze and boil protection of a mixture at a cap's gauge pressure [Pa] and an altitude [m].

    Raises RangeError naming the argument outside its range.
    """
    phi = np.atleast_1d(require("concentration", fraction, FRACTION, ""))
    atmosphere = pressure_at_altitude(np.atleast_1d(altitude))
    gauge = require("cap pressure", cap_pressure, CAP, "Pa")
    shape = np.broadcast_shapes(phi.shape, atmosphere.shape, gauge.shape)
    phi_all = np.broadcast_to(phi, shape)
    outside = np.zeros(shape, dtype=bool) if base is Base.WATER else np.asarray(phi_all > PHI_HIGHEST)
    return Protection(
        freezing=np.broadcast_to(freezing_point(base, phi), shape),
        boiling=np.broadcast_to(boiling_point(base, phi, atmosphere + gauge), shape),
        boiling_open=np.broadcast_to(boiling_point(base, phi, atmosphere), shape),
        boiling_uncertainty=BOILING_UNCERTAINTY,
        outside=outside,
    )


@dataclass(frozen=True, eq=False)
class Refill:
    """How to come to a target: drain first, then fill in product and water; each of shape (members,) [m3].

    ``possible`` is False where no drain reaches the target with this product (it is too weak), or where more would
    have to come out than can be drained; then ``reached`` is the best that can be had and the volumes lead there.
    """

    drain: Array
    product: Array
    water: Array
    reached: Array
    possible: Mask
    outside: Mask


@dataclass(frozen=True, eq=False)
class FilledSystem:
    """What is in the system now [m3, -]: its full volume, what it holds, at what concentration, how much drains out.

    Water left after a flush is a system that holds that much at concentration 0.
    """

    capacity: Array
    holds: Array
    fraction: Array
    drainable: Array | None = None


def refill(system: FilledSystem, target: Array, product: Array) -> Refill:
    """The smallest drain, and what to fill in after it, that bring a full system to the target.

    target, product: concentrations [-]; product 1 is concentrate, 0.5 a half-and-half premix. Water is at hand.

    With capacity C, holding V at f, product p, target t, drain d, product x, water w:
    x + w = C - V + d and (V - d) f + p x = C t. Raises RangeError outside the ranges.

    >>> now = FilledSystem(np.array([10e-3]), np.array([10e-3]), np.array([0.3]))
    >>> to = refill(now, np.array([0.5]), np.array([1.0]))
    >>> round(float(to.drain[0]) * 1e3, 3)  # 10 (0.5 - 0.3)/(1 - 0.3)
    2.857
    """
    C = require("capacity", system.capacity, VOLUME, "m3")
    V = require("volume held", system.holds, VOLUME, "m3")
    f = require("concentration", system.fraction, FRACTION, "")
    t = require("target", target, FRACTION, "")
    p = require("product", product, FRACTION, "")
    C, V, f, t, p = (np.atleast_1d(x) for x in np.broadcast_arrays(C, V, f, t, p))
    V = np.minimum(V, C)
    most = _drained_at_most(system, V)
    wanted, possible = _smallest_drain(C, V, f, t, p)
    drain = np.clip(wanted, 0.0, most)
    room = C - V + drain
    glycol_kept = (V - drain) * f
    missing = (C * t - glycol_kept) / np.maximum(p, _TINY)  # m3 of product, by its glycol
    x = np.clip(np.where(p > 0.0, missing, 0.0), 0.0, room)
    reached = (glycol_kept + p * x) / np.maximum(C, _TINY)
    hit = possible & (wanted <= most + _NOTHING)
    beyond = np.maximum(reached, t) > PHI_HIGHEST
    return Refill(drain, x, room - x, reached, np.asarray(hit), np.asarray(beyond))


def _drained_at_most(system: FilledSystem, V: Array) -> Array:
    """What can be drained [m3]: all that it holds, or what runs out."""
    if system.drainable is None:
        return V
    return np.minimum(np.broadcast_to(system.drainable, V.shape), V)


def _smallest_drain(C: Array, V: Array, f: Array, t: Array, p: Array) -> tuple[Array, Mask]:
    """The drain [m3] before filling, and whether the target can be reached at all.

    Too weak even with nothing but product filled in: exchange for product. Too strong even with nothing but water
    filled in: exchange for water. Else nothing has to come out.
    """
    wanted, held, added = C * t, V * f, (C - V) * p  # m3 of glycol: at the target, there now, in all that fits in
    weak = wanted > held + added + _TINY
    strong = wanted < held - _TINY
    stronger = p > f  # the product makes it stronger at all
    gain = np.where(stronger, p - f, 1.0)
    for_product = np.where(stronger, (wanted - held - added) / gain, 0.0)
    for_water = V - wanted / np.maximum(f, _TINY)
    drain = np.where(weak, for_product, np.where(strong, for_water, 0.0))
    possible = ~weak | (stronger & (p >= t - 1e-12))
    as_near_as_it_gets = np.where(stronger, V, 0.0)
    return np.where(possible, drain, as_near_as_it_gets), np.asarray(possible)


def expansion(base: Base, fraction: Array, volume: Array, T_cold: Array, T_hot: Array) -> Array:
    """By how much a volume [m3] at T_cold grows until T_hot [K]: V (rho_cold/rho_hot - 1) [m3]; negative on cooling."""
    cold = require("cold temperature", T_cold, T_LIQUID, "K")
    hot = require("hot temperature", T_hot, T_LIQUID, "K")
    phi = np.atleast_1d(require("concentration", fraction, FRACTION, ""))
    return np.asarray(volume * (density(cold, phi, base) / density(hot, phi, base) - 1.0))


@dataclass(frozen=True, eq=False)
class TrappedAir:
    """Air in a system [m3]: what left it, by the fall of the level, and what must still be inside.

    ``remaining`` is what the refill should have taken less what went in, topping up included; None where the refill
    was not measured.
    """

    released: Array
    remaining: Array | None


@dataclass(frozen=True, eq=False)
class LevelFall:
    """A fall of the level between two looks: depth [m] over the tank's area [m2], and the temperatures [K] at both."""

    depth: Array
    tank_area: Array
    T_before: Array
    T_after: Array


def trapped_air(
    base: Base,
    fraction: Array,
    capacity: Array,
    fall: LevelFall,
    expected: Array | None = None,
    filled: Array | None = None,
) -> TrappedAir:
    """Air that left [m3]: the fall of the level times the tank's area, less what the coolant shrank by cooling.

    ``expected`` is what a refill should take (drained volume), ``filled`` what went in so far, both [m3].
    """
    shrunk = -expansion(base, fraction, capacity, fall.T_before, fall.T_after)
    released = np.maximum(fall.depth * fall.tank_area - shrunk, 0.0)
    remaining = None if expected is None or filled is None else np.maximum(expected - filled, 0.0)
    return TrappedAir(np.asarray(released), remaining)


def air_by_pressure(fall: Array, gauge_pressure: Array, altitude: Array) -> Array:
    """Air in a cold closed system [m3] from the volume [m3] by which the level falls when a tester pumps it up.

    Boyle's law at constant temperature: fall = V_air (1 - p0/(p0 + p_g)). Hoses swell too, so it is an upper bound.
    """
    p0 = pressure_at_altitude(np.atleast_1d(altitude))
    gauge = require("test pressure", gauge_pressure, (1e3, 4e5), "Pa")
    return np.asarray(fall * (p0 + gauge) / gauge)


# --- refractometer ---------------------------------------------------------------------------------------------------

INDEX_WATER = 1.3330  # -, refractive index at 20 degC, sodium D line; handbook value, from memory
INDEX_PURE = {Base.ETHYLENE: 1.4318, Base.PROPYLENE: 1.4324}  # -, the same
SCALE_UNCERTAINTY = 0.03  # -, of a concentration read over from the other glycol's scale; common practice, no source


@dataclass(frozen=True, eq=False)
class RefractometerReading:
    """A refractometer read with the right scale or carried over from the wrong one; shape (members,).

    ``as_read`` is the concentration that the scale stands for, ``fraction`` the coolant's own, with its uncertainty;
    ``freezing`` [K] follows from it. ``outside``: the reading lies off the computed range (0 to 60 %).
    """

    as_read: Array
    fraction: Array
    freezing: Array
    uncertainty: float
    outside: Mask


@cache
def _freezing_table(base: Base) -> tuple[Array, Array]:
    phi = np.linspace(0.0, PHI_HIGHEST, 6001)
    T = freezing_point(base, phi)
    phi.flags.writeable = T.flags.writeable = False
    return phi, T


def fraction_of_freezing(base: Base, T: Array) -> tuple[Array, Mask]:
    """Concentration [-] whose first ice forms at T [K], and where T lies beyond 0 to 60 % (answered as the end)."""
    if base is Base.WATER:
        off = T - freezing_point(base, np.zeros(1))
        return np.zeros_like(T), np.asarray(np.abs(off) > 0.5)
    phi, freezing = _freezing_table(base)
    T = np.atleast_1d(T)
    ends = (float(freezing[-1]), float(freezing[0]) + 0.5)
    return np.interp(-T, -freezing, phi), beyond(T, ends)


def refractometer(T_read: Array, scale: Base, coolant: Base) -> RefractometerReading:
    """What a freezing point [K] read on one glycol's scale says of a coolant that may hold the other.

    The instrument measures the refractive index. It is taken as linear in the volume fraction between water and pure
    glycol, for both glycols alike; the same index then stands for nearly the same fraction, whose freezing point is
    another. Raises RangeError when plain water is named as a scale.
    """
    if Base.WATER in (scale, coolant):
        raise RangeError(study_texts.SCALE_AND_COOLANT)
    as_read, outside = fraction_of_freezing(scale, np.atleast_1d(T_read))
    ratio = (INDEX_PURE[scale] - INDEX_WATER) / (INDEX_PURE[coolant] - INDEX_WATER)
    own = as_read if scale is coolant else as_read * ratio
    return RefractometerReading(
        as_read,
        own,
        freezing_point(coolant, np.minimum(own, PHI_HIGHEST)),
        0.01 if scale is coolant else SCALE_UNCERTAINTY,
        outside,
    )


# --- opening the system ----------------------------------------------------------------------------------------------


class Joint(StrEnum):
    """A place where the system is opened."""

    TANK_CAP = study_texts.TANK_OR_RADIATOR_CAP
    UPPER_HOSE = "upper radiator hose"
    THERMOSTAT_OUTLET = study_texts.THERMOSTAT_AT_THE_ENGINES_OUTLET
    HEATER_HOSE = "heater hose"
    THERMOSTAT_INLET = study_texts.THERMOSTAT_AT_THE_PUMPS_INLET
    PUMP = "coolant pump"
    LOWER_HOSE = "lower radiator hose"


DRAIN_TO_OPEN: Mapping[Joint, float] = {  # of the system's volume; common practice, no source
    Joint.TANK_CAP: 0.05,
    Joint.UPPER_HOSE: 0.25,
    Joint.THERMOSTAT_OUTLET: 0.30,
    Joint.HEATER_HOSE: 0.35,
    Joint.THERMOSTAT_INLET: 0.60,
    Joint.PUMP: 0.65,
    Joint.LOWER_HOSE: 0.70,
}
DRAIN_UNCERTAINTY = 0.10  # of the system's volume; vehicles differ


def drain_to_open(capacity: Array, joint: Joint) -> tuple[Array, Array]:
    """How much to let out before a joint is opened [m3], and its standard uncertainty [m3]; typical of cars."""
    C = require("capacity", capacity, VOLUME, "m3")
    return np.asarray(C * DRAIN_TO_OPEN[joint]), np.asarray(C * DRAIN_UNCERTAINTY)
