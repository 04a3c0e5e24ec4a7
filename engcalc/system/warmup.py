"""Warm-up in time: lumps from ``lumps``, flows from the same network and conductances as the operating point.

States, each of one temperature: hot metal, block with oil, coolant in the engine, upper hose, cells of the radiator
along the coolant, lower hose, heater hose, heater core, cabin air, cabin interior; then wax and sensor, which lag and
hold no heat. With the capacity rates C of the coolant's branches,

    C_hot dT_hot/dt = Q - h_hot (T_hot - T)
    C_eng dT/dt = C_tot (T_in - T) + h_hot (T_hot - T) + h_b (T_b - T) + Q_x
    C_cell dT_j/dt  = C_r (in_j - out_j) - g (T_j - T_e),     T_in = (C_r out_low + C_h T_core + C_b T)/C_tot
    out_j = (1 + s) T_j - s in_j
    C_hose dT_hose/dt = C_branch (in - out) - G (T_hose - T_air), in the heater's + Q_ch of a coolant heater

where out_j of one cell or radiator hose flows into the next, G in place of g for a hose. The s keeps a cold
front sharper than stirred tanks would: each delays by its own time all the same, and smears by (1 - s)/(1 + s) as
much. The g of the cells is such that they together with the G of the radiator's two hoses pass the heat of the
radiator's exact effectiveness. One step is the
implicit midpoint rule: within it the temperatures are linear, each lump an affine function of the engine's coolant, so
that the loop closes in one line and what leaves one lump enters the next. What is not linear (flows, lift,
effectiveness, friction) is taken at the step's start, the lift half a step ahead (``valve_steps``); films and
effectiveness are renewed every few seconds, the branch pressure by a step of Newton's method every step. Renewed are
conductances in a form that the flows hardly change: -C ln(1 - effectiveness) of a stream of capacity rate C.

At its boiling point (cap, altitude, mixture) the engine's coolant is held, and when it came there is kept: what a
system does that boils over no lump tells.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import numpy as np

from engcalc.components.engine import catalyst_heating, cold_idle_share, heat_released
from engcalc.components.exchanger import multipass
from engcalc.components.fan import power_share
from engcalc.components.flat_tube import tube_side
from engcalc.components.heater import auxiliary_given, heater_conductance
from engcalc.components.surface import surface_growth
from engcalc.components.thermostat import ThermostatSide, lift
from engcalc.properties.fluid import Fluid
from engcalc.system.air_steps import AirSteps
from engcalc.system.airflow import UPSTREAM_MOST
from engcalc.system.arithmetic import ARRAYS, FLOATS, Arithmetic, Value
from engcalc.system.circuit import circuit_flows
from engcalc.system.drive import Drive
from engcalc.system.equipment_steps import EquipmentSteps
from engcalc.system.lumps import (
    CELLS,
    KEPT,
    OIL_NODES,
    OIL_TABLE,
    QUICK_NODES,
    SHARP,
    AirTable,
    Lumps,
    air_table,
    block_to_air,
    fan_heat,
    heat_ahead,
    heat_nodes,
    least_engagement,
    prepare_lumps,
    pump_heads,
    pump_quicker,
    quick_weights,
    quicker,
    row_load,
    stored_reference,
)
from engcalc.system.parked import begun, phases
from engcalc.system.parted_steps import PartedSteps
from engcalc.system.plant import Plant
from engcalc.system.valve_steps import ValveSteps
from engcalc.system.warmed import Warmup
from engcalc.units import Array

RENEW = 10.0  # s; between renewals of the radiator's film and effectiveness; coolant and oil go twice as often
CLUTCH_TIME = 20.0  # s; in which the spring of a clutch follows the air behind the core; common practice, no source
_HEATER_MOST = 0.98  # -; of the coolant's capacity rate, that the heater core's lump can pass on
_HEATER_SIZE = float(-np.log1p(-_HEATER_MOST))  # -; what that is as a size, conductance over capacity rate
_NEAR_ONE = 1.0 - 1e-3  # effectiveness beyond which the plain conductance counts: the coolant nearly stands
_TINY = 1e-9
_LUMPS = ("T_hot", "T_block", "T", "T_upper", "cells", "T_lower", "T_hose", "T_core", "T_cabin", "T_interior")
_BLOCK_ROWS = 2_000_000  # numbers in a table of heat over rows, oil and members; beyond, heat is made as it is needed

SERIES = (
    "coolant",
    "sensor",
    "upper_hose",
    "radiator",
    "lower_hose",
    "heater_in",
    "heater_out",
    "cabin",
    "vent",
    "wax",
    "opening",
    "block",
)


def warm_up(
    plant: Plant, drive: Drive, record_every: float = 5.0, cancelled: Callable[[], bool] | None = None
) -> Warmup:
    """Run the plant through a drive from rest. Samples every ``record_every`` seconds and at the end."""
    varied = (
        drive.start,
        drive.ambient,
        drive.engine_speed,
        drive.brake_power,
        drive.fuel_flow,
        drive.heater_air_share,
        drive.coolant_heater,
        drive.coolant_flow,
        drive.air_velocity,
        np.zeros(1) if drive.preheat is None else drive.preheat.block_power,
    )
    members = max(plant.members, *(int(np.shape(x)[-1]) for x in varied))
    made = WarmupRun(plant, drive, members)
    if drive.preheat is not None:
        parked = made
        for i, phase in enumerate(phases(plant, drive)):
            before, parked = parked, WarmupRun(phase.plant, phase.drive, members)
            if i > 0:
                parked.stand(before.temperatures())
            parked.run(phase.drive.duration, cancelled)
        made.preheated = parked.T - made.ambient
        made.stand(begun(made.f, made.ambient, parked.temperatures(), made.temperatures(), drive.preheat.sets_start))
    return made.run(record_every, cancelled)


class WarmupRun(EquipmentSteps, ValveSteps, PartedSteps, AirSteps):
    """One run: fixed numbers, state, and the step. Every value is a float for one member, else an array (members,)."""

    def __init__(self, plant: Plant, drive: Drive, members: int) -> None:
        self.plant, self.drive, self.members = plant, drive, members
        self.f: Arithmetic = FLOATS if members == 1 else ARRAYS
        self.lumps: Lumps = prepare_lumps(plant)
        self.load = row_load(plant, drive)
        self.idles = bool(self.load.idles.any())
        self.asked, row_of = np.unique(drive.which, axis=0, return_inverse=True)  # what the steps ask for, each once
        self.row_of = row_of.reshape(-1)
        self.air: AirTable = air_table(plant, drive, self.load)
        self.heads, self.falls = pump_heads(plant, self.mean(self.load.engine_speed))
        self.wind = self.mean(surface_growth(drive.vehicle_speed))  # -, of the surface's loss, by what the steps ask
        self.h_air = self._block_to_air(self.wind[0])
        self.outlet = plant.valve.side is ThermostatSide.OUTLET
        self.has_valve, self.feels_return = plant.valve.present, plant.valve.present and not self.outlet
        self.quick_share: Value = 0.0
        self.quick_weights: list[Value] = []
        self._fix()
        self._fix_equipment()
        self.pace(drive.step)
        often = 0.5 * RENEW * (0.5 if self.heats else 1.0)  # s; a heater warms the coolant about twice as fast
        self.often = max(1, round(often / drive.step))
        self._part_steps(drive.step)
        self._tables()
        self.catalyst = self._catalyst_heating()
        self._start()

    def _block_to_air(self, growth: Array) -> Value:
        return self.value(self.whole(block_to_air(self.plant, self.lumps, growth)))

    def array(self, value: Value) -> Array:
        """Back to an array that goes with the members."""
        return np.array([value]) if isinstance(value, float) else np.asarray(value)

    def mean(self, table: Array) -> Array:
        """A table over the drive's rows, (rows, members), as means over what the steps ask for."""
        return np.asarray(table[self.asked].mean(axis=1)) if len(table) > 1 else table

    def whole(self, value: Value) -> Array:
        """An array of every member."""
        return np.broadcast_to(np.asarray(value, np.float64), (self.members,))

    def _tables(self) -> None:
        members = max(self.load.brake_power.shape[-1], self.plant.members)
        self.few = len(self.load.engine_speed) * members * len(OIL_NODES) <= _BLOCK_ROWS
        if self.few:
            found = heat_nodes(self.plant, self.load)
            nodes = np.stack([self.mean(np.atleast_2d(metal)) for metal, _ in found])
            if np.all(nodes[1:] == nodes[0]):  # measured fuel, no braking: friction does not count
                nodes = nodes[:1]
            self.heat = self._rows(np.concatenate((nodes[:1], np.diff(nodes, axis=0))))
            self.extra_rows = self._rows(self.mean(found[0][1])[None])[0]
            self._quick_tables(nodes)
        self.quick_pump = self._rows(self.mean(pump_quicker(self.plant, self.load))[None])[0]
        self.ahead_rows = self._rows(self.mean(heat_ahead(self.plant, self.drive, self.load))[None])[0]
        self.fan_draws = self.plant.airway.fan.drive.electric and bool(self.load.drives_fan.any())
        self.fan_rows = self._rows(self.mean(fan_heat(self.plant, self.load))[None])[0]
        self.head_rows, self.fall = self._rows(self.heads[None])[0], self.value(self.falls)
        self.share_rows = self._rows(self.mean(self.drive.heater_air_share)[None])[0]
        self.heater_rows = self._rows(self.mean(self.drive.coolant_heater)[None])[0]
        self.C_air, self.UA_air = self._air(self.air.C), self._air(self.air.UA)
        self.recirculation = self._air(self.air.recirculation)
        self.per_thinned = self.value(np.broadcast_to(self.air.per_thinned, (self.members,)))
        self.air_steps = self._air_steps() if self.members == 1 else None

    def _quick_tables(self, warm: Array) -> None:
        """Heat that a cold idle adds to each of ``QUICK_NODES``, by rows and oil like the heat at the warm idle."""
        self.quick_heat: list[list[Any]] = []
        for share in QUICK_NODES if self.idles else ():
            found = heat_nodes(self.plant, quicker(self.plant, self.load, share))
            more = np.stack([self.mean(np.atleast_2d(metal)) for metal, _ in found]) - warm
            self.quick_heat.append(list(self._rows(np.concatenate((more[:1], np.diff(more, axis=0))))))

    def _catalyst_heating(self) -> list[Value]:
        """Heat [W] of late ignition in the first steps after a cold start; none where the fuel was measured.

        Only an idling engine takes its ignition back that far: a driver who asks for power gets it.
        """
        heat, lasts = catalyst_heating(self.plant.engine, self.drive.start)
        started = np.isnan(self.load.fuel_flow).any() and (self.load.engine_speed[self.drive.which[0]] > 0.0).any()
        if not started or not np.any(heat > 0.0):
            return []
        steps = lasts / self.drive.step
        lasting = range(min(int(np.ceil(steps.max())), len(self.drive.which)))
        idling = [np.mean(self.load.idles[self.drive.which[k]], axis=0) for k in lasting]
        return [self.value(heat * np.clip(steps - k, 0.0, 1.0) * idling[k]) for k in lasting]

    def _rows(self, table: Array) -> Any:
        """(k, rows, m) as nested lists of floats for one member, else as it is."""
        rows = len(self.asked)
        full = np.broadcast_to(table, (table.shape[0], rows, table.shape[-1]))
        return full[..., 0].tolist() if self.members == 1 else full

    def _start(self) -> None:
        T0 = self.value(np.broadcast_to(self.drive.start, (self.members,)).astype(np.float64))
        zero = T0 * 0.0
        self.T_hot = self.T_block = self.T = self.T_upper = self.T_lower = self.T_hose = self.T_core = T0
        self.cells = [T0] * CELLS
        self.wax = self.sensor = self.wax_ahead = T0
        self.T_cabin = self.T_interior = self.ambient + zero
        self.opening = self.value(self.whole(lift(self.plant.valve, self.array(T0))))
        self.T_feed = self.T_return = T0
        cold = least_engagement(self.plant, self.drive.fan_mode)
        self.engagement: Value = self.f.most(cold, self.fan_least) + zero if self.drive.fan_mode == 0.0 else cold + zero
        self.pressure: Value = zero + 1.0
        self.head_before: Value = zero + 1.0
        self.lost: Value = zero
        self.released: Value = zero
        self.boiled: Value = zero + np.inf
        self.at_vent: tuple[Value, Value, Value] = (self.ambient + zero, zero, self.ambient + zero)
        self.thin: Value = zero  # where the air stands between not warmed and warmed
        self.drawn: Value = zero  # share of its flow that only its warmth makes
        self.behind_felt: Value = self.ambient + zero  # air behind the core as a clutch that senses it feels it
        self.blown: Value = zero
        self.auxiliary: Value = zero
        self.flow_r = self.flow_h = self.burnt = self.preheated = self.follows = self.answers = self.grows = zero
        self._start_equipment(T0)

    def temperatures(self) -> dict[str, Value]:
        """Of every lump [K]; ``cells`` is a list."""
        return {name: getattr(self, name) for name in _LUMPS}

    def stand(self, temperatures: dict[str, Value]) -> None:
        """Begin with these, the coolant standing: wax and sensor are as warm as that in the engine."""
        self.__dict__.update(temperatures)
        self.wax = self.sensor = self.wax_ahead = self.T_feed = self.T
        self.T_return = self.T_lower
        self.T_gear = self.ambient + 0.0 * self.T
        self.opening = self.value(self.whole(lift(self.plant.valve, self.array(self.T))))

    def run(self, record_every: float, cancelled: Callable[[], bool] | None) -> Warmup:
        """Step through the drive."""
        steps, dt = len(self.row_of), self.drive.step
        every, plan = max(1, round(record_every / dt)), self._plan()
        stored = self._stored()
        times, series = [0.0], np.empty((2 + steps // every, len(SERIES), self.members))
        self._sample(series[0])
        for k in range(steps):
            if plan[k]:
                if cancelled is not None and cancelled():
                    break
                self._renew(k, min(k + self.often, steps), plan[k])
            for _ in range(self.parts):
                self._step(k)
            if (k + 1) % every == 0 or k == steps - 1:
                self._sample(series[len(times)])
                times.append((k + 1) * dt)
        named = {name: series[: len(times), i] for i, name in enumerate(SERIES)}
        return Warmup(
            time=np.array(times),
            heat_released=self.whole(self.released + self.burnt),
            coolant_heater_heat=self.whole(self.burnt),
            heat_lost=self.whole(self.lost),
            heat_stored=self._stored() - stored,
            preheated=self.whole(self.preheated),
            boiling=self.whole(self.boiling),
            boiled=self.whole(self.boiled),
            pump_stood=self.whole(self.stood),
            exhaust_heat=self.whole(self.recovered),
            opens_usual=self.whole(self.start_rated),
            opens_lowest=self.whole(self.opens_lowest),
            **named,
        )

    def _plan(self) -> list[int]:
        """What is renewed ahead of each step: 0 nothing, 1 coolant and oil, 2 the radiator too, 3 all.

        The heater is slower than the radiator and goes every other time, and whenever its air is switched.
        """
        steps, often = len(self.row_of), self.often
        plan = np.zeros(steps, np.int64)
        for what in (1, 2, 3):
            plan[:: often * 2 ** (what - 1)] = what
        if len(self.drive.heater_air_share) > 1:
            share = self.mean(self.drive.heater_air_share)[self.row_of]
            plan[1:][(share[1:] != share[:-1]).any(axis=-1)] = 3
        return [int(x) for x in plan]

    def _sample(self, to: Array) -> None:
        values = (
            self.T,
            self.sensor,
            self.T_upper,
            self.cells[-1],
            self.T_lower,
            self.T_hose,
            self.T_core,
            self.T_cabin,
            self.vent,
            self.wax,
            self.opening,
            self.T_block,
        )
        for i, value in enumerate(values):
            to[i] = value

    @property
    def vent(self) -> Value:
        """Air out of the vents; the cabin's where nothing blows."""
        T_in, heat, cabin = self.at_vent
        return self.f.choose(self.blown > 0.0, T_in + (heat + self.auxiliary) / (self.blown + _TINY), cabin)

    def _stored(self) -> Array:
        temperatures = (
            self.T_hot,
            self.T_block,
            self.T,
            self.T_upper,
            *self.cells,
            self.T_lower,
            self.T_hose,
            self.T_core,
            self.T_cabin,
            self.T_interior,
        )
        parts = (C * self.whole(T) for C, T in zip(stored_reference(self.lumps), temperatures, strict=True))
        return np.asarray(sum(parts) + self._stored_in_equipment())

    def _renew(self, k: int, end: int, what: int) -> None:
        """Coolant properties and friction at the state of now; films and effectiveness where due (see ``_plan``)."""
        p, v = self.plant, self.value
        x = self.array(self.T_feed)
        fluid = p.coolant.state(x)
        rho = fluid.rho * (1.0 - p.aeration)
        self._renew_branches(v(fluid.mu), v(fluid.rho))
        self.rho_cp = v(rho * fluid.cp)
        if len(self.wind) > 1:  # what the block loses changes slowly: its mean until the next renewal counts
            self.in_wind(self._block_to_air(self.wind[self.row_of[k:end]].mean(axis=0)))
        if k == 0:
            self._first_flows(fluid)
        feed, T_oil = self._foreseen()
        if self.idles:
            share = cold_idle_share(self.plant.engine, feed)
            self.quick_share, self.quick_weights = v(share), [v(w) for w in quick_weights(share)]
        if self.few:
            oil, f = v(np.interp(T_oil, *OIL_TABLE)), self.f
            self.oil_share = [f.least(f.most((oil - a) / (b - a), 0.0), 1.0) for a, b in pairwise(OIL_NODES)]
        else:
            self._make_heat(k, end, feed, T_oil)
        if self.asks_engine:
            self._ask_engine(k, end, feed, T_oil)
        if what > 1:
            self._renew_radiator(k, fluid, rho)
        if what > 2:
            self._renew_heater(k, fluid, rho)

    def _first_flows(self, fluid: Fluid) -> None:
        row = int(self.row_of[0])
        n = np.broadcast_to(self.load.engine_speed[row if len(self.load.engine_speed) > 1 else 0], (self.members,))
        flows = circuit_flows(self.plant.circuit, self.whole(self.opening), n, fluid.rho, fluid.mu)
        self.pressure, self.flow_r, self.flow_h = (
            self.value(np.maximum(x, _TINY * _TINY)) for x in (flows.branch_drop, flows.radiator, flows.heater)
        )
        if self.states_flow:
            passage = self.f.most(self.leak + self.leak_rest * self.opening, 1e-6)
            self.flow_r, self.flow_h, _ = self.stated_flows(passage, (self.flow_r, self.flow_h, self.flow_h))
        if self.heats:
            self.flow_h = self._warmed(row, self.head_rows[row], self.flow_h)
        self.head_before = self._head_now(row) * self.rho + 1e-12

    def _make_heat(self, k: int, end: int, feed: Array, T_oil: Array) -> None:
        shape = (*self.drive.which[k:end].shape, self.members)
        self.made, self.made_extra = (
            np.broadcast_to(x, shape).mean(axis=1)
            for x in heat_released(self.plant.engine, self._load_in(k, end, feed), T_oil)
        )
        self.made_from = k

    def _renew_branches(self, mu: Value, rho: Value) -> None:
        self.rho, self.viscous, self.inertial = rho, [a * mu for a in self.a], [4.0 * b * rho for b in self.b]
        self.squares, self.valve = [A * A for A in self.viscous], 4.0 * self.b_valve * rho
        self.viscous_jacket, self.inertial_jacket = self.a_jacket * mu, (self.b_jacket + self.fall) * rho

    def _renew_radiator(self, k: int, fluid: Fluid, rho: Array) -> None:
        p, v = self.plant, self.value
        C_air, UA_air, r = (self.array(x) for x in self._air_now(k))
        flow = self.array(self.flow_r)
        tube = tube_side(p.core.tube, flow / p.core.flow_area * (1.0 - p.aeration), fluid)
        rest = p.core.R_wall + p.core.R_fouling + 1.0 / (tube.h * p.core.A_tube)
        self.rest_resistance = v(rest / p.ua_scale)
        UA = p.ua_scale / (1.0 / UA_air + rest)
        C_r = rho * flow * fluid.cp
        chain = multipass(UA, C_r, C_air * p.core.live_air, p.core.geometry.passes, p.arrangement)
        per_kelvin = chain.effectiveness * chain.C_min
        e = per_kelvin / np.maximum(C_air, _TINY)
        own = per_kelvin / np.maximum(C_r, _TINY)  # effectiveness on the coolant's side, without recirculation
        P = own * (1.0 - r) / (1.0 - r + r * e)
        alone = 1.0 - np.exp(-UA / np.maximum(C_air, _TINY))
        plain = C_air * alone * (1.0 - r) / (1.0 - r + r * alone)
        exact = -np.log1p(-np.minimum(P, _NEAR_ONE)) * C_r
        ratio = np.where((own < _NEAR_ONE) & (C_r > _TINY), exact / np.maximum(plain, _TINY), 1.0)
        self.ratio, self.inverse_scale = v(ratio), v(1.0 / p.ua_scale)

    def _renew_heater(self, k: int, fluid: Fluid, rho: Array) -> None:
        heater, v = self.plant.heater, self.value
        row = int(self.row_of[k])
        air = self.air.air
        capacity = heater.blower_flow * self.array(self.share_rows[row]) * air.fluid.rho * air.fluid.cp
        C_core = capacity * heater.blend
        flow = np.maximum(self.array(self.flow_h), 0.0) * rho
        UA = heater_conductance(heater, C_core / air.fluid.cp, flow)
        chain = multipass(UA, flow * fluid.cp, C_core)
        C_h = np.maximum(flow * fluid.cp, _TINY)
        part = np.minimum(chain.effectiveness * chain.C_min / C_h, _HEATER_MOST)
        self.heater_UA, self.blown = v(-np.log1p(-part) * C_h), v(capacity)
        self.auxiliary = v(auxiliary_given(heater, capacity, self.drive.cabin_heater))
        self.leaves = self.UA_cabin + self.fresh * self.blown
        self.cabin_fixed = self.auxiliary + self.leaves * self.ambient
        self.keep_cabin = self._cabin_kept()

    def _heat_now(self, k: int, row: int) -> tuple[Value, Value]:
        if not self.few:
            return self.made[k - self.made_from], self.made_extra[k - self.made_from]
        total = self._at_oil(self.heat, row)
        for weight, table in zip(self.quick_weights, self.quick_heat, strict=True):
            total = total + weight * self._at_oil(table, row)
        return total, self.extra_rows[row]

    def _at_oil(self, table: list[Any], row: int) -> Value:
        """A table of heat over oil and rows at the oil of now: its first line, and of each further one the share."""
        total = table[0][row]
        for share, rise in zip(self.oil_share, table[1:], strict=False):
            total = total + share * rise[row]
        return total

    def _head_now(self, row: int) -> Value:
        """Head of the pump at no flow over the coolant's density [m2/s2]: with the square of its speed."""
        if not self.idles:
            return self.head_rows[row]
        quicker = 1.0 + self.quick_share * self.quick_pump[row]
        return self.head_rows[row] * (quicker * quicker)

    def _flows(self, head: Value, passage: Value, other: Value) -> tuple[Value, Value, Value]:
        """Branch flows [m3/s]: one Newton step on the branch pressure from that of the step before.

        The flows follow the step along their tangents, so that their sum is the one of the step.
        """
        f, (A0, A1, A2), (B0, B1, B2), (S0, S1, S2) = self.f, self.viscous, self.inertial, self.squares
        a_j, b_j = self.viscous_jacket, self.inertial_jacket
        B0 = B0 + self.valve / (passage * passage)
        if self.closes:
            A2, again = A2 / other, 1.0 / (other * other)
            B2, S2 = B2 * again, S2 * again
        H = head * self.rho + 1e-12
        P = self.pressure * (H / self.head_before)
        twice = 2.0 * P
        s0, s1, s2 = f.sqrt(S0 + B0 * P), f.sqrt(S1 + B1 * P), f.sqrt(S2 + B2 * P)
        V0, V1, V2 = twice / (A0 + s0), twice / (A1 + s1), twice / (A2 + s2)
        r0, r1, r2 = 1.0 / s0, 1.0 / s1, 1.0 / s2
        V = V0 + V1 + V2
        drop = b_j * V
        step = (H - (drop + a_j) * V - P) / (1.0 + (drop + drop + a_j) * (r0 + r1 + r2))
        new = f.least(f.most(P + step, 1e-3 * P), H)
        step = new - P
        self.pressure, self.head_before = new, H
        return V0 + step * r0, V1 + step * r1, V2 + step * r2

    def _step(self, k: int) -> None:
        f, row = self.f, int(self.row_of[k])
        self._fan()
        head = self._head_now(row)
        if self.waits:
            head = self._commanded(head, self.share_rows[row])
        if self.maps:
            self._map_valve()
        passage, other = self.moved_valve(head)
        V_r, V_h, V_b = self._flows(head, passage, other)
        if self.states_flow:
            V_r, V_h, V_b = self.stated_flows(passage, (V_r, V_h, V_b))
        if self.heats:
            V_h = self._warmed(row, head, V_h)
            self.burnt = self.burnt + 2.0 * self.h * self.added
        self.flow_r, self.flow_h = V_r, V_h
        C_r, C_h, C_b = self.rho_cp * V_r, self.rho_cp * V_h, self.rho_cp * V_b
        if self.feels_return:
            self.follow(V_r, C_r, C_b, passage, other)
        elif self.has_valve:
            self.grows = self.by_lift(V_r, C_r, passage)
        C_air, UA_air, r = self._air_now(k)
        UA = 1.0 / (self.inverse_scale / UA_air + self.rest_resistance)
        e = 1.0 - f.exp(-UA / (C_air + _TINY))
        # hot air drawn in again goes with the speed, which changes faster than anything that is renewed
        whole = self.ratio * C_air * e * (1.0 - r) / (1.0 - r + r * e)
        u = f.most(whole - self.radiator_hoses, 0.0) / (CELLS * (C_r + _TINY))
        # a nearly still cell loses by its plain conductance: there the exponential has long reached its end
        g = (C_r + _TINY) * f.most(u, KEPT * KEPT / (f.exp(-f.least(u, 30.0)) + SHARP) - KEPT)
        T_e = self.ambient
        if self.has_upstream:
            running = f.choose(self.head_rows[row] > 0.0, self.ahead_rows[row], 0.0)
            T_e = T_e + f.least(running / (C_air + _TINY), UPSTREAM_MOST) / (1.0 - r)
        Q, Q_x = self._heat_now(k, row)
        if k < len(self.catalyst):
            Q = Q + self.catalyst[k]
        if self.exchanges:
            Q_x = self._exchanged(Q_x, head)
        if self.fan_draws:
            Q = Q + power_share(self.plant.airway.fan, self.engagement) * self.fan_rows[row]
        taken = self._advance(Q, Q_x, C_r, C_h, C_b, g, T_e)
        behind = f.least(T_e + taken / ((1.0 - r) * (C_air + _TINY)), f.most(self.T, T_e))
        came = f.most(1.0 - self.ambient / behind, 0.0) * self.per_thinned
        # half of the way by a draught: coolant that gives it all its heat would else swing about where the two agree
        self.thin = (came + self.drawn * self.thin) / (1.0 + self.drawn)
        if self.plant.airway.fan.senses_air:
            self.behind_felt = self.behind_felt + 2.0 * self.h / (CLUTCH_TIME + self.h) * (behind - self.behind_felt)
        over = self.f.most(self.T - self.boiling, 0.0)
        if self.f.some(over > 0.0):
            self._boil(over, k)

    def _advance(self, Q: Value, Q_x: Value, C_r: Value, C_h: Value, C_b: Value, g: Value, T_e: Value) -> Value:
        """The implicit midpoint step: each lump affine in the engine's coolant, value = a + b T.

        The heat [W] that the radiator's air takes.
        """
        kept_line, passed, a_line, b_line = self._line(C_r, g, T_e)
        a_low = 0.5 * KEPT * a_line
        keep = 1.0 / (self.rest_hose + self.w_hose * C_h)
        T_hose = self.T_hose + self.w_hose * self.added if self.heats else self.T_hose
        a_hose, b_hose = (T_hose + self.air_hose) * keep, 1.0 - self.rest_hose * keep
        g_h = C_h * self.f.expm1(self.f.least(self.heater_UA / (C_h + _TINY), _HEATER_SIZE))
        T_in = self.fresh_ambient + self.kept * self.T_cabin
        w, wg = self.w_core * C_h, self.w_core * g_h
        keep = 1.0 / (1.0 + w + wg)
        a_core, b_core = (self.T_core + w * a_hose + wg * T_in) * keep, w * b_hose * keep
        a_hot = self.T_hot * self.keep_hot + self.hot_by_Q * Q
        a_block = self.T_block * self.keep_block + self.block_by_air
        brought = C_r * a_low + C_h * a_core + self.h_hot * a_hot + self.h_block * a_block + Q_x
        inert = self.inner + self.w_engine * (C_r * (1.0 - b_line) + C_h * (1.0 - b_core))
        T = (self.T + self.w_engine * brought) / inert
        core, block, hose = a_core + b_core * T, a_block + self.block_by_T * T, a_hose + b_hose * T
        feed = (
            T
            if self.outlet
            else (C_r * (a_low + b_line * T) + C_h * core + C_b * T + _TINY * T) / (C_r + C_h + C_b + _TINY)
        )
        cabin, dt = self._cabin_step(g_h * (core - T_in), T_in), 2.0 * self.h
        upper, radiator, lower = self._line_step(T, kept_line, passed)
        self.T_hose = 2.0 * hose - self.T_hose
        self.T_core = 2.0 * core - self.T_core
        self.T_hot = 2.0 * (a_hot + self.hot_by_T * T) - self.T_hot
        self.T_block = 2.0 * block - self.T_block
        self.T = 2.0 * T - self.T
        self.T_feed = feed
        T_return = a_low + b_line * T
        if self.feels_return:
            self.T_return = T_return
            self.warm_wax_at_return(T, feed, C_r, C_h, C_b)
        else:
            self.warm_wax(feed, self.w_engine * self.grows * (T - T_return) / inert)
        self.sensor = self.sensor + self.keep_sensor * (T - self.sensor)
        surfaces = self.h_air * block + self.G_hose * hose - self.air_all
        taken = g * (radiator - CELLS * T_e) + self.G_upper * (upper - T_e) + self.G_lower * (lower - T_e)
        self.lost = self.lost + dt * (taken + surfaces + cabin)
        self.released = self.released + dt * (Q + Q_x + self.auxiliary)
        return taken

    def _line(self, C_r: Value, g: Value, T_e: Value) -> tuple[list[Value], list[Value], Value, Value]:
        """Upper hose, cells, lower hose, each with y = kept + passed y of the lump before; then a and b of the last.

        y is 2/(1 + s) times what flows out of a lump, so that its midpoint is (y + s y of the lump before)/2.
        """
        w, wg = self.w_cell * C_r, self.w_face * g
        upper, lower = (
            2.0 / (rest + w_hose * C_r)
            for rest, w_hose in ((self.rest_upper, self.w_upper), (self.rest_lower, self.w_lower))
        )
        cell = 2.0 / (1.0 + w + wg)
        through, source = 0.5 * KEPT * w * cell - SHARP, wg * T_e
        kept = [
            upper * (self.T_upper + (self.rest_upper - 1.0) * T_e),
            *[cell * (T_j + source) for T_j in self.cells],
            lower * (self.T_lower + (self.rest_lower - 1.0) * T_e),
        ]
        passed = [
            1.0 - 0.5 * KEPT * self.rest_upper * upper,
            *[through] * CELLS,
            1.0 - 0.5 * KEPT * self.rest_lower * lower,
        ]
        a, b = kept[0], passed[0]
        for k, q in zip(kept[1:], passed[1:], strict=True):
            a, b = k + q * a, q * b
        return kept, passed, a, b

    def _line_step(self, T: Value, kept: list[Value], passed: list[Value]) -> tuple[Value, Value, Value]:
        """Radiator and its hoses after the engine's coolant T of this step.

        Midpoints [K] of the upper hose, of the cells together, of the lower hose.
        """
        y, twice = (2.0 / KEPT) * T, []
        for k, q in zip(kept, passed, strict=True):
            before = y
            y = k + q * before
            twice.append(y + SHARP * before)
        self.T_upper, self.T_lower = twice[0] - self.T_upper, twice[-1] - self.T_lower
        inner = twice[1:-1]
        self.cells = [x - T_j for x, T_j in zip(inner, self.cells, strict=True)]
        return 0.5 * twice[0], 0.5 * sum(inner[1:], inner[0]), 0.5 * twice[-1]

    def _cabin_step(self, heat: Value, T_in: Value) -> Value:
        """Cabin air and interior after the heater's heat of this step; what leaves with the air [W]."""
        given = self.interior_gives * self.T_interior
        mid = (self.T_cabin + self.w_cabin * (heat + self.cabin_fixed + given)) * self.keep_cabin
        interior = self.T_interior * self.keep_interior + self.interior_takes * mid
        self.T_cabin, self.T_interior = 2.0 * mid - self.T_cabin, 2.0 * interior - self.T_interior
        self.at_vent = T_in, heat, mid
        return self.leaves * (mid - self.ambient)
