"""Thermostat: how far the valve stands open at a wax temperature, and what that opens and closes.

The lift follows a straight line from the start to open to fully open on the warming branch; on the cooling branch the
same line lies lower by the hysteresis. Between the two branches the lift stays as it is (a play operator, as for
any wax element with friction; service manuals give a closing temperature 5 to 9 K under the opening one).

A mapped valve opens lower under load, by design: an electric heater in its wax, or a command. Of its shift at full load

    shift = mapped_shift (load - 0.6)/(0.9 - 0.6),    held between 0 and all of it

counts, with the load as fuel per turn over that at rated power. Makers' maps differ, and know speed and air as well;
this one is common practice. (C. Holley, The benefits of map-controlled thermostats, MACS, 9 February 2022, has them
open as plain wax does at low and medium load, and lower at high load.)

Arrays: float64, members on the last axis, all broadcast.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import Enum

import numpy as np

from engcalc.case.sections import Sections
from engcalc.units import Array

PART_LOAD = 0.6  # -; load from which a mapped valve's opening falls; common practice, no source
FULL_LOAD = 0.9  # -; load at which it has fallen; common practice, no source
_LEAST_PASSAGE = 1e-6  # -; a perfect seat still has a finite resistance here: one millionth of the full flow passes


class ThermostatKind(Enum):
    """What sits in the housing; the values are the words of the case file."""

    WAX = "wax"
    HEATED_WAX = "heated wax"
    COMMANDED = "valve"
    MISSING = "none"


class ThermostatSide(Enum):
    """Where the wax feels the coolant; the values are the words of the case file."""

    OUTLET = "outlet"
    INLET = "inlet"


class Bypass(Enum):
    """What the valve does to the bypass; the values are the words of the case file."""

    CLOSING = "closing"
    FIXED = "fixed"
    NONE = "none"


@dataclass(frozen=True, eq=False)
class Valve:
    """A thermostat; temperatures in K, shares of full lift 0..1."""

    kind: ThermostatKind
    side: ThermostatSide
    bypass: Bypass
    side_assumed: bool  # the side was not known and is taken as the outlet
    bypass_assumed: bool  # the bypass was not known and is taken as closing
    start: Array  # K, starts to open, warming
    full: Array  # K, fully open, warming
    hysteresis: Array  # K, the cooling branch lies lower by this
    leak: Array  # -, passage when shut over full passage
    least: Array  # -, lift
    most: Array  # -, lift
    time_constant: Array  # s
    kind_assumed: bool = False  # the kind was not known and is taken as plain wax
    mapped_shift: Array = field(default_factory=lambda: np.zeros(1))  # K, by which it opens lower at full load

    @property
    def is_mapped(self) -> bool:
        """Whether load moves its opening."""
        return self.present and bool(np.any(self.mapped_shift > 0.0))

    @property
    def present(self) -> bool:
        """Whether there is a valve at all."""
        return self.kind is not ThermostatKind.MISSING

    @property
    def rating_is_nominal(self) -> bool:
        """Whether heat or a command, not the coolant alone, moves the valve: its one rating is then only nominal."""
        return self.kind in (ThermostatKind.HEATED_WAX, ThermostatKind.COMMANDED)


def prepare_valve(case: Sections) -> Valve:
    """The thermostat of a case. An unknown side counts as the outlet, an unknown bypass as closing, a kind as wax."""
    t = case.thermostat
    return Valve(
        kind=ThermostatKind.WAX if t.kind == "unknown" else ThermostatKind(t.kind),
        kind_assumed=t.kind == "unknown",
        side=ThermostatSide.INLET if t.side == "inlet" else ThermostatSide.OUTLET,
        bypass=Bypass.CLOSING if t.bypass == "unknown" else Bypass(t.bypass),
        side_assumed=t.side == "unknown",
        bypass_assumed=t.bypass == "unknown",
        start=t.start_to_open,
        full=t.full_open,
        hysteresis=t.hysteresis,
        leak=t.closed_leak,
        least=t.minimum_opening,
        most=t.maximum_opening,
        time_constant=t.time_constant,
        mapped_shift=t.mapped_shift,
    )


def load_shift(valve: Valve, load: Array) -> Array:
    """By how much lower the valve opens [K] at a load [-]: fuel per turn over that at rated power."""
    share = np.minimum(np.maximum((load - PART_LOAD) / (FULL_LOAD - PART_LOAD), 0.0), 1.0)
    return np.asarray(valve.mapped_shift * share)


def valve_under_load(valve: Valve, load: Array) -> Valve:
    """The valve as it opens at a load [-], as one that no load moves any further."""
    shift = load_shift(valve, load)
    return replace(valve, start=valve.start - shift, full=valve.full - shift, mapped_shift=np.zeros(1))


def raw_lift(valve: Valve, wax: Array, below: Array | float = 0.0) -> Array:
    """(wax + below - start)/(full - start) [-], without stops: under 0 the valve is shut, over 1 at its end."""
    return np.asarray((wax + below - valve.start) / (valve.full - valve.start))


def lift(valve: Valve, wax: Array, below: Array | float = 0.0) -> Array:
    """Steady lift [-], 0..1, at a wax temperature [K]; ``below`` [K] shifts the line down (0: warming branch).

    A missing valve counts as fully open.
    """
    if not valve.present:
        return np.ones(np.broadcast_shapes(np.shape(wax), valve.start.shape, np.shape(below)))
    return np.asarray(np.minimum(np.maximum(raw_lift(valve, wax, below), valve.least), valve.most))


def passage(valve: Valve, opening: Array) -> Array:
    """Passage of the valve over its full passage [-] at a lift: leak + (1 - leak) lift."""
    return np.asarray(np.maximum(valve.leak + (1.0 - valve.leak) * opening, _LEAST_PASSAGE))


def bypass_passage(valve: Valve, opening: Array) -> Array:
    """Passage of the bypass over its full passage [-]: a closing one shuts as the valve opens.

    Without a valve nothing closes it: it stays open.
    """
    if valve.bypass is Bypass.NONE:
        return np.zeros_like(opening)
    if valve.bypass is Bypass.FIXED or not valve.present:
        return np.ones_like(opening)
    return np.asarray(1.0 - opening)
