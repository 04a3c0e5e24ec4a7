"""The fixed numbers of a run of the warm-up, and what they make of a step's length.

Weights w of a lump are half a step over its capacity: what one watt, or one watt per kelvin, does to its midpoint.
"""

from __future__ import annotations

import numpy as np

from engcalc.components.coolant_heater import own_flow
from engcalc.components.fan import least_by_conditioning
from engcalc.components.pressure_cap import boiling
from engcalc.components.thermostat import Bypass
from engcalc.system.airflow import shutter_opening
from engcalc.system.arithmetic import Value
from engcalc.system.drive import Drive
from engcalc.system.lumps import KEPT, SENSOR_TIME, Lumps
from engcalc.system.plant import Plant
from engcalc.system.upstream import air_conditioning
from engcalc.units import Array

_SHUT = 1e30  # 1/m4; inertial resistance of a branch that is not there
_TINY = 1e-9


class StepNumbers:
    """The part of a run of the warm-up that holds what only plant, weather and the step's length change."""

    plant: Plant
    drive: Drive
    lumps: Lumps
    members: int
    leaves: Value = 0.0  # W/K, from the cabin with its air
    h_air: Value  # W/K, from the block to the air

    def value(self, array: Array) -> Value:
        """One member's float, or the array over the members."""
        return float(array.reshape(-1)[0]) if self.members == 1 else array

    def _fix(self) -> None:
        p, L, v = self.plant, self.lumps, self.value
        heater, valve = p.coolant_heater, p.valve
        self.heats, self.added = heater.fitted, 0.0
        self.heater_power, self.heater_stops = v(heater.power), v(heater.stops)
        self.heater_slope, self.heater_pump = v(1.0 / heater.span), v(own_flow(heater, np.ones(1)))
        self.boiling = v(boiling(p.cap, self.drive.altitude))
        self.ambient = v(self.drive.ambient)
        self.has_upstream = p.airway.upstream.has_any
        self.per_J = {
            name: v(1.0 / getattr(L, name))
            for name in ("hot", "block", "engine", "upper", "cell", "lower", "heater_hose", "heater_core")
        }
        self.per_J |= {name: v(1.0 / np.maximum(getattr(L, name), 1.0)) for name in ("cabin", "interior")}
        self.h_hot, self.h_block = v(L.hot_to_coolant), v(L.block_to_coolant)
        # the hoses of the radiator stand in the air that comes to it
        self.G_upper, self.G_lower, self.G_hose = v(L.upper_to_air), v(L.lower_to_air), v(L.heater_hose_to_air)
        self.radiator_hoses = self.G_upper + self.G_lower
        self.UA_cabin, self.UA_interior = v(L.cabin_to_air), v(L.cabin_to_interior)
        self.fresh = v(p.heater.fresh_air_share)
        self.kept, self.fresh_ambient = 1.0 - self.fresh, self.fresh * self.ambient
        self._fix_branches()
        span = valve.full - valve.start
        self.time_constant = v(np.maximum(valve.time_constant, _TINY))
        self.start_open, self.per_span, self.play = v(valve.start), v(1.0 / span), v(valve.hysteresis / span)
        self.leak, self.leak_rest, self.closes = (
            v(valve.leak),
            v(1.0 - valve.leak),
            valve.bypass is Bypass.CLOSING and valve.present,
        )
        self.low, self.high = v(valve.least), v(valve.most)
        self._fix_stated_flow()
        fan, shutter = p.airway.fan, p.airway.shutter
        self.on, self.off = v(fan.on_temperature), v(fan.off_temperature)
        self.high_on, self.high_off, self.low_speed = v(fan.high_on), v(fan.high_off), v(fan.low_speed)
        conditioning = air_conditioning(p.airway.upstream, self.drive.air_conditioning, self.drive.ambient)
        self.fan_least = v(least_by_conditioning(fan, conditioning))
        self.shutter = (
            None
            if shutter is None
            else (
                v(shutter.opens),
                v(1.0 / np.maximum(shutter.full - shutter.opens, 1.0)),
                v(shutter_opening(shutter, np.zeros(1), conditioning)),
            )
        )

    def _fix_stated_flow(self) -> None:
        """The flow that a duty states in place of pump and network (see ``circuit.given_flows``); 0 where none is."""
        k, v, stated = self.plant.circuit, self.value, self.drive.coolant_flow
        given = np.isfinite(stated)
        self.states_flow = bool(given.any())
        self.is_stated, self.stated = v(given), v(np.where(given, stated, 0.0))
        self.stated_heater = v(k.stated[1] * k.there[1] * k.heater_valve)
        self.valve_share = v(k.valve_share)

    def _fix_branches(self) -> None:
        """Resistances of radiator branch, heater and bypass; those of a branch that is not there let nothing pass."""
        k, v = self.plant.circuit, self.value
        narrow = np.maximum(k.heater_valve, 1e-6)
        there = (k.there[0], k.there[1] * (k.heater_valve > 0.0), k.there[2])
        a, b = (k.a[0], k.a[1] / narrow, k.a[2]), (k.b[0], k.b[1] / narrow**2, k.b[2])
        self.a = [v(np.where(x > 0.0, viscous, 0.0)) for x, viscous in zip(there, a, strict=True)]
        self.b = [v(np.where(x > 0.0, inertial, _SHUT)) for x, inertial in zip(there, b, strict=True)]
        self.b_valve, self.a_jacket, self.b_jacket = v(k.b_valve), v(k.a_jacket), v(k.b_jacket)

    def pace(self, step: Value) -> None:
        """Take steps of this length [s] from now on."""
        per, h = self.per_J, 0.5 * step
        self.h = h
        half = KEPT * h
        self.w_upper, self.w_cell, self.w_lower = half * per["upper"], half * per["cell"], half * per["lower"]
        self.w_face, self.w_engine = h * per["cell"], h * per["engine"]
        self.w_hose, self.w_core = h * per["heater_hose"], h * per["heater_core"]
        w_hot, self.w_block = h * per["hot"], h * per["block"]
        self.keep_hot = 1.0 / (1.0 + w_hot * self.h_hot)
        self.hot_by_Q, self.hot_by_T = w_hot * self.keep_hot, w_hot * self.h_hot * self.keep_hot
        self.in_wind(self.h_air)
        # what a hose that loses to the air adds to the 1 of its midpoint, and what the air gives the heater's back
        self.rest_upper, self.rest_lower = 1.0 + h * per["upper"] * self.G_upper, 1.0 + h * per["lower"] * self.G_lower
        self.rest_hose = 1.0 + self.w_hose * self.G_hose
        self.air_hose = (self.rest_hose - 1.0) * self.ambient
        self.w_cabin, w = h * per["cabin"], h * per["interior"]
        self.keep_interior = 1.0 / (1.0 + w * self.UA_interior)
        self.interior_gives = self.UA_interior * self.keep_interior
        self.interior_takes = w * self.interior_gives
        self.keep_cabin = self._cabin_kept()
        lag = self.time_constant + h
        self.lag, self.pull, self.settled = lag, h / self.time_constant, self.time_constant / lag
        self.keep_sensor = 2.0 * h / (SENSOR_TIME + h)

    def in_wind(self, h_air: Value) -> None:
        """Let the block lose by this conductance to the air [W/K] from now on."""
        self.h_air, w = h_air, self.w_block
        self.air_all = (h_air + self.G_hose) * self.ambient
        self.keep_block = 1.0 / (1.0 + w * (self.h_block + h_air))
        self.block_by_air = w * h_air * self.ambient * self.keep_block
        self.block_by_T = w * self.h_block * self.keep_block
        self.inner = 1.0 + self.w_engine * (self.h_hot * (1.0 - self.hot_by_T) + self.h_block * (1.0 - self.block_by_T))

    def _cabin_kept(self) -> Value:
        return 1.0 / (1.0 + self.w_cabin * (self.leaves + self.interior_gives))
