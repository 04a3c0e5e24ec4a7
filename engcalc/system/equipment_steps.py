"""What today's vehicles add to a step of the warm-up: a mapped valve, a pump that stands cold, warmers, exhaust heat.

Each costs nothing where it is not fitted. The engine's load and exhaust count as means over the steps until the next
renewal. Heater or command move the valve with the lag of its wax: one warmed by so many kelvins opens that much lower.
The heat of a warmer in a step is that of two lumps which all else moves apart at the rate s of the step before:

    d(T - T_oil)/dt = s - k (T - T_oil),    k = UA (1/C_engine + 1/C_oil)

in its mean over the step; the s of a warmer too strong for the step counts less, that it may not swing. Warmers and
exhaust heat need coolant that moves.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from engcalc.components.engine import Load, engine_heat, idling_at, load_of_fuel
from engcalc.components.equipment import FLAP, gearbox_loss
from engcalc.components.pump import HEAT_ASKED
from engcalc.components.thermostat import load_shift
from engcalc.system.arithmetic import Arithmetic, Value
from engcalc.system.step_numbers import StepNumbers
from engcalc.units import Array

_TINY = 1e-9


@dataclass(frozen=True, eq=False)
class _Before:
    """A warmer in the step before."""

    d: Value  # K, coolant over oil at its start
    q: Value  # W, from coolant to oil
    dt: Value  # s


class EquipmentSteps(StepNumbers):
    """The part of a run of the warm-up that has to do with these; the rest of it is set there (see ``warmup``)."""

    f: Arithmetic
    load: Load
    h: Value
    T: Value
    T_block: Value
    T_feed: Value
    released: Value
    lost: Value
    array: Callable[[Value], Array]
    start_open: Value
    heater_rows: Any
    rho_cp: Value

    def _fix_equipment(self) -> None:
        """What is fitted, and its fixed numbers."""
        p, v = self.plant, self.value
        pump, fitted = p.circuit.pump, p.equipment
        self.maps, self.waits = p.valve.is_mapped, pump.stands_cold
        self.warms_oil, self.warms_gearbox, self.recovers = fitted.warms_oil, fitted.warms_gearbox, fitted.recovers
        self.exchanges = fitted.warms_oil or fitted.heats
        self.asks_engine = self.maps or fitted.heats
        self.start_rated, self.pump_starts, self.heat_starts = v(p.valve.start), v(pump.starts), pump.heat_starts
        self.gear_capacity, self.gear_to_air = v(fitted.gear_capacity), v(fitted.gear_to_air)
        self.oil_UA, self.gear_UA = v(fitted.oil_UA), v(fitted.gear_UA)
        self.recovery, self.flap_shuts = v(fitted.recovery), v(fitted.stops)
        self.inner_block = self.h_air / self.h_block
        self.oil_apart = self.per_J["engine"] + self.per_J["block"] * (1.0 + self.inner_block)  # K/J
        self.gear_apart = self.per_J["engine"] + 1.0 / self.gear_capacity

    def _start_equipment(self, T0: Value) -> None:
        """Everything as warm as the coolant at the start, the pump not yet called."""
        zero = 0.0 * T0
        self.T_gear = T0
        self.shift = self.called = self.exhaust = self.gear_heat = zero
        self.turning: Value = zero
        self.stood = self.recovered = zero
        self.oil, self.gear = _Before(zero, zero, 2.0 * self.h), _Before(zero, zero, 2.0 * self.h)
        self.T_before, self.begun = T0, False
        self.renewed_at: tuple[Value, Value] | None = None  # K, coolant at the wax and oil at the last renewal
        self.opens_lowest = self.start_rated + zero

    def pace(self, step: Value) -> None:
        """Take steps of this length [s] from now on."""
        super().pace(step)
        self.keep_shift = 2.0 * self.h / self.lag

    def _foreseen(self) -> tuple[Array, Array]:
        """Coolant at the wax, and oil by which friction counts [K], half-way to the next renewal: as they warmed."""
        inner = self.T_block + (self.T_block - self.ambient) * (self.h_air / self.h_block)
        now = self.T_feed, inner + (self.T_feed - self.T)  # oil: the block's inner side, as felt at the wax
        feed, oil = (self.array(1.5 * x - 0.5 * was) for x, was in zip(now, self.renewed_at or now, strict=True))
        self.renewed_at = now
        return feed, oil

    def _load_in(self, k: int, end: int, feed: Array) -> Load:
        """What the engine is asked for in the steps from ``k`` to ``end``, (steps, rows of a step, members)."""
        rows = self.drive.which[k:end]
        names = ("engine_speed", "brake_power", "fuel_flow", "idles", "accessory_power", "drives_fan")
        tables = {name: getattr(self.load, name) for name in names}
        load = replace(self.load, **{name: t[rows] if len(t) > 1 else t for name, t in tables.items()})
        return idling_at(self.plant.engine, load, feed)

    def _ask_engine(self, k: int, end: int, feed: Array, T_oil: Array) -> None:
        """Load, exhaust and gearbox loss as means of the steps from ``k`` to ``end``."""
        p, load = self.plant, self._load_in(k, end, feed)
        made = engine_heat(p.engine, load, T_oil)

        def mean(table: Array) -> Array:
            whole = np.broadcast_to(table, (*table.shape[:-1], self.members))
            return np.asarray(whole.reshape(-1, self.members).mean(axis=0))

        self.exhaust = self.value(mean(made.heat_exhaust))
        self.gear_heat = self.value(mean(gearbox_loss(p.equipment, made)))
        share = load_of_fuel(p.engine, mean(made.fuel_power), mean(load.engine_speed))
        self.called = self.value(load_shift(p.valve, share))

    def _map_valve(self) -> None:
        """Move the valve's opening towards what the load calls for."""
        self.shift = self.shift + self.keep_shift * (self.called - self.shift)
        self.start_open = self.start_rated - self.shift
        self.opens_lowest = self.f.least(self.opens_lowest, self.start_open)

    def _commanded(self, head: Value, share: Value) -> Value:
        """The pump's head, or nothing while it stands: until the coolant is warm, or the heater calls for it."""
        f = self.f
        self.turning = f.choose(self.pump_starts <= self.T, 1.0, self.turning)
        runs = f.choose(share >= HEAT_ASKED, 1.0, self.turning) if self.heat_starts else self.turning
        self.stood = self.stood + f.choose(head > 0.0, 2.0 * self.h * (1.0 - runs), 0.0)
        return head * runs

    def _warmed(self, row: int, head: Value, V_h: Value) -> Value:
        """Set the heat [W] that the coolant heater adds; give its flow [m3/s]: its own pump's where no other is."""
        f, share = self.f, self.heater_rows[row]
        driven = head + self.stated  # over 0 where the pump or a stated flow drives the coolant
        V_h = f.choose(driven > 0.0, V_h, f.choose(share > 0.0, self.heater_pump, 0.0))
        below = f.most(self.heater_stops - self.T, 0.0)
        part = f.least(below * self.heater_slope, 1.0)
        self.added = f.least(self.heater_power * share * part, self.rho_cp * V_h * below)
        return V_h

    def _exchanged(self, Q_x: Value, head: Value) -> Value:
        """Heat into the coolant beside the metal's [W], with what oils take and the exhaust gives in this step."""
        f, dt = self.f, 2.0 * self.h
        flows, ahead = f.choose(head > 0.0, 1.0, 0.0), 0.5 * (self.T - self.T_before) if self.begun else 0.0
        if self.recovers:
            flap = f.least(f.most((self.flap_shuts - self.T - ahead) / FLAP, 0.0), 1.0)
            taken = flows * self.recovery * self.exhaust * flap
            self.recovered = self.recovered + dt * taken
            Q_x = Q_x + taken
        if self.warms_oil:
            oil = self.T_block + self.inner_block * (self.T_block - self.ambient)
            self.oil = self._passed(self.oil, self.T - oil, flows * self.oil_UA, self.oil_apart)
            self.T_block = self.T_block + dt * self.oil.q * self.per_J["block"]
            self.released = self.released + dt * self.oil.q  # passed on, not lost to the engine
            Q_x = Q_x - self.oil.q
        if self.warms_gearbox:
            self.gear = self._passed(self.gear, self.T - self.T_gear, flows * self.gear_UA, self.gear_apart)
            lost = self.gear_to_air * (self.T_gear - self.ambient)
            self.T_gear = self.T_gear + dt * (self.gear_heat + self.gear.q - lost) / self.gear_capacity
            self.released = self.released + dt * (self.gear_heat + self.gear.q)
            self.lost = self.lost + dt * lost
            Q_x = Q_x - self.gear.q
        self.T_before, self.begun = self.T, True
        return Q_x

    def _passed(self, before: _Before, d: Value, UA: Value, B: Value) -> _Before:
        """The heat that a warmer passes in this step, with what the next needs to know of it."""
        dt, f = 2.0 * self.h, self.f
        s = (d - before.d) / before.dt + B * before.q if self.begun else 0.0
        k = f.most(UA * B, _TINY)
        s = s / (1.0 + k * dt * k * dt)
        mean = s / k + (s / k - d) * f.expm1(-k * dt) / (k * dt)
        return _Before(d, UA * mean, dt)

    def _stored_in_equipment(self) -> Value:
        """Heat in the gearbox [J] over that at 0 K."""
        return self.gear_capacity * self.T_gear if self.warms_gearbox else 0.0
