"""Fan: pressure over flow by the fan laws, its drive, and what it does when the air drives it.

    dp = rho/1.2 dp_stall [r^2 - (V/V_free)^2]          V the flow of one fan, r its speed over the stated one

Flow goes with speed, pressure with density and the square of speed (AMCA 211, ISO 5801). The parabola between stall
pressure and free flow is common practice. Beyond the free flow of its speed the fan is driven by the air and resists
with a share of that parabola that the case states (a stopped or windmilling fan, and its shroud where that blocks the
ram).

Arrays: float64, members on the last axis, all broadcast.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from functools import cached_property

import numpy as np

from engcalc.case.sections import Sections
from engcalc.units import Array

REFERENCE_DENSITY = 1.2  # kg/m3; standard air of fan tests, ISO 5801
CLUTCH_LEAST = 0.2  # -; fan speed that a disengaged viscous clutch still drags along; common practice, no source
AVERAGED_SHARE = 0.3  # -; of its band, over which an averaged electric fan comes on: ripples then stay under some 1 K
CLUTCH_FULL_SPEED = 0.5  # -; of rated engine speed: the clutch slips more beyond, so that the fan's speed is held there
BEST_EFFICIENCY = 0.55  # -; static efficiency of engine fans is 0.3 to 0.55; common practice, from memory
USUAL_EFFICIENCY = 0.40  # -; of a fan of which nobody typed the electric power, its motor included; the same source
MOST_AIR_POWER = 2.0 / (3.0 * 3.0**0.5)  # -, of stall pressure times free flow: the parabola's best point


class FanDrive(Enum):
    """What turns the fan; the values are the words of the case file."""

    ELECTRIC = "electric"
    TWO_STAGE = "two-stage electric"
    PWM = "PWM electric"
    VISCOUS = "viscous clutch"
    FIXED = "fixed"
    NONE = "none"

    @property
    def switches(self) -> bool:
        """Whether it goes on and off, or from one speed to another, at temperatures."""
        return self in (FanDrive.ELECTRIC, FanDrive.TWO_STAGE)

    @property
    def follows(self) -> bool:
        """Whether its speed follows a temperature without a step."""
        return self in (FanDrive.PWM, FanDrive.VISCOUS)

    @property
    def electric(self) -> bool:
        """Whether a motor of its own turns it."""
        return self in (FanDrive.ELECTRIC, FanDrive.TWO_STAGE, FanDrive.PWM)


class FanSide(Enum):
    """Where the fan stands; the values are the words of the case file."""

    PULLER = "puller"
    PUSHER = "pusher"


@dataclass(frozen=True, eq=False)
class Fan:
    """Fans side by side, all alike."""

    drive: FanDrive
    side: FanSide
    free_flow: Array  # m3/s of one fan
    stall_pressure: Array  # Pa at 1.2 kg/m3
    count: Array  # -
    on_temperature: Array  # K, comes on (its low speed); PWM: full speed; clutch: fully engaged
    off_temperature: Array  # K, goes off; PWM: starts to turn; clutch: starts to engage
    high_on: Array  # K, two-stage: high speed comes on
    high_off: Array  # K, and goes off
    low_speed: Array  # -, two-stage, of full speed
    with_conditioning: Array  # -, electric: speed at least while the air conditioning is on
    senses_air: bool  # a clutch: the temperatures are those of the air behind the core
    rated_engine_speed: Array  # rev/s
    power: Array | None  # W, electric, of one fan
    advertised: Array  # m3/s, free flow of one fan as stated
    windmill: Array  # -, share of the parabola with which a fan resists that the air drives
    averaged: bool = False  # electric: on by ``AVERAGED_SHARE``, the mean over cycles, not switched

    @cached_property
    def blows(self) -> Array:
        """1 where there is a fan that can move air, else 0."""
        there = (self.free_flow > 0.0) & (self.stall_pressure > 0.0) & (self.count >= 1.0)
        return np.asarray(there * (0.0 if self.drive is FanDrive.NONE else 1.0))

    @cached_property
    def stall_per_density(self) -> Array:
        """Stall pressure at the stated speed over the air's density [Pa m3/kg]; 0 where there is no fan."""
        return np.asarray(self.blows * self.stall_pressure / REFERENCE_DENSITY)

    @cached_property
    def per_free_flow(self) -> Array:
        """1 over the free flow of one fan [s/m3]."""
        return np.asarray(1.0 / np.maximum(self.free_flow, 1e-9))


def prepare_fan(case: Sections) -> Fan:
    """The fans of a case. An advertised flow that the electric power cannot drive is cut to what it can."""
    a = case.airflow
    free = a.fan_free_flow
    if a.fan_power is not None and FanDrive(a.fan_drive).electric:
        free = np.minimum(free, highest_flow(a.fan_power, a.fan_stall_pressure))
    drive = FanDrive(a.fan_drive)
    by_air = drive is FanDrive.VISCOUS and a.clutch_senses == "air"
    on, off = (a.clutch_air_full, a.clutch_air_start) if by_air else (a.fan_on, a.fan_off)
    return Fan(
        drive,
        FanSide(a.fan_side),
        free,
        a.fan_stall_pressure,
        a.fan_count,
        on,
        off,
        a.fan_high_on,
        a.fan_high_off,
        a.fan_low_speed,
        a.air_conditioning_fan,
        by_air,
        case.engine.rated_speed,
        a.fan_power,
        a.fan_free_flow,
        a.fan_stopped,
    )


def fan_pressure(fan: Fan, flow: Array, speed_ratio: Array, rho: Array) -> Array:
    """Static pressure [Pa] of the fans at a flow of one fan [m3/s] and a speed over the stated one [-].

    Negative where the air drives the fan; 0 where there is none.
    """
    V = flow * fan.per_free_flow
    excess = speed_ratio * speed_ratio - V * V
    shape = np.maximum(excess, 0.0) + fan.windmill * np.minimum(excess, 0.0)
    return np.asarray(fan.stall_per_density * rho * shape)


def fan_pressure_slope(fan: Fan, flow: Array, speed_ratio: Array, rho: Array) -> Array:
    """d(static pressure)/d(flow of one fan) [Pa s/m3], never positive."""
    V = flow * fan.per_free_flow
    share = np.where(speed_ratio >= V, -2.0, -2.0 * fan.windmill)
    return np.asarray(fan.stall_per_density * rho * share * V * fan.per_free_flow)


def speed_ratio(fan: Fan, engine_speed: Array, engagement: Array) -> Array:
    """Speed of the fan over the one at which its flow is stated [-], at an engagement 0 (stopped) to 1 (full).

    Electric: the engagement itself, which is a share of full speed. Fixed: with the engine, stated at rated engine
    speed. Viscous clutch: with the
    engine up to half of rated speed, held there beyond.
    """
    turns = engine_speed / fan.rated_engine_speed
    if fan.drive is FanDrive.FIXED:
        return np.asarray(engagement * turns)
    if fan.drive is FanDrive.VISCOUS:
        return np.asarray(engagement * np.minimum(turns / CLUTCH_FULL_SPEED, 1.0))
    return np.asarray(engagement + 0.0 * turns)


def engagement_at(fan: Fan, T: Array, least: Array | float = 0.0) -> Array:
    """Engagement [-] of a fan that follows a temperature [K] (of coolant, or of the air for a clutch that senses it).

    A straight line from off to on: for PWM from 0, or from ``least``, for a clutch from the speed that it drags along.
    """
    span = np.maximum(fan.on_temperature - fan.off_temperature, 1.0)
    share = np.minimum(np.maximum((T - fan.off_temperature) / span, 0.0), 1.0)
    if fan.drive is FanDrive.VISCOUS:
        return np.asarray(CLUTCH_LEAST + (1.0 - CLUTCH_LEAST) * share)
    return np.maximum(share, least)


def least_by_conditioning(fan: Fan, runs: Array) -> Array:
    """Engagement [-] that an air conditioning which runs (share over 0) keeps an electric fan at, at least."""
    wanted = np.where(runs > 0.0, fan.with_conditioning, 0.0)
    if fan.drive is FanDrive.PWM:
        return np.asarray(wanted)
    if fan.drive is FanDrive.TWO_STAGE:
        stage = np.where(wanted > fan.low_speed, 1.0, fan.low_speed)
        return np.asarray(np.where(wanted > 0.0, stage, 0.0))
    return np.asarray(np.where(wanted > 0.0, 1.0, 0.0) * (fan.drive is FanDrive.ELECTRIC))


def highest_flow(power: Array, stall_pressure: Array) -> Array:
    """Free flow of one fan [m3/s] that its electric power [W] could deliver at best with that stall pressure [Pa].

    On the parabola the air power dp V is largest at V_free/sqrt(3) with 0.385 dp_stall V_free, and that is at most
    ``BEST_EFFICIENCY`` of the electric power.
    """
    best = MOST_AIR_POWER * np.maximum(stall_pressure, 1e-9)
    return np.asarray(BEST_EFFICIENCY * power / best)


def electric_power(fan: Fan) -> Array:
    """Electric power [W] of all fans at full speed: as typed, else by their air; 0 of fans that the engine turns."""
    if not fan.drive.electric:
        return np.zeros(1)
    by_air = MOST_AIR_POWER * fan.stall_pressure * fan.free_flow / USUAL_EFFICIENCY
    one = by_air if fan.power is None else fan.power
    return np.asarray(one * fan.count * fan.blows)


def power_share(fan: Fan, engagement: Array | float) -> Array | float:
    """Share of its full electric power [-] that a fan takes at an engagement [-].

    One that switches: its share of the time. Two speeds: a resistor slows it, so that the current falls with the square
    of its speed (fan laws) at the full voltage. PWM: with the cube of its speed.
    """
    if fan.drive is FanDrive.ELECTRIC:
        return engagement
    if fan.drive is FanDrive.TWO_STAGE:
        return engagement * engagement
    return engagement * engagement * engagement
