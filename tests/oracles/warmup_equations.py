"""The warm-up's equations written once more as one right-hand side for an adaptive solver, every flow solved anew.

Shares the component formulas (network, films, effectiveness, engine) with the product, and none of its time stepping.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from functools import cache

import numpy as np
from scipy.optimize import brentq

from engcalc.components.coolant_heater import coolant_heat, own_flow
from engcalc.components.engine import Load, catalyst_heating, engine_heat, idling_at
from engcalc.components.exchanger import multipass
from engcalc.components.flat_tube import tube_side
from engcalc.components.heater import AUXILIARY_RISE, heater_conductance
from engcalc.components.surface import surface_growth
from engcalc.components.thermostat import ThermostatSide, lift
from engcalc.properties.fluid import Fluid
from engcalc.system.circuit import circuit_flows
from engcalc.system.in_time.drive import Drive
from engcalc.system.in_time.lumps import (
    CELLS,
    SENSOR_TIME,
    SHARP,
    air_table,
    block_to_air,
    coolers_ahead,
    least_engagement,
    prepare_lumps,
    row_load,
)
from engcalc.system.plant import Plant
from engcalc.units import Array

ALL = 1.0 - 1e-3  # effectiveness that counts as whole
SAME = 1e-9  # of a share, by which two count as one
STATES = 11 + CELLS
HOT, BLOCK, ENGINE, UPPER, LOWER, HOSE, CORE, CABIN, INTERIOR, WAX, SENSOR = range(11)


def right_hand_side(  # noqa: PLR0915  every equation in one place, to be read beside the product
    plant: Plant, drive: Drive, fluid_at: Callable[[float], Fluid] | None = None
) -> Callable[[float, Array], Array]:
    """dT/dt of (hot, block, engine, upper, lower, hose, core, cabin, interior, wax, sensor, cells) for one member.

    The fan stays as it starts and the valve has no play (hysteresis 0), so that the equations are smooth but for kinks.
    """
    L, load = prepare_lumps(plant), row_load(plant, drive)
    table = air_table(plant, drive, load)
    warms_ahead = sum((one.asked for one in coolers_ahead(plant, drive, load)), np.zeros((len(load.engine_speed), 1)))
    Ta, core, heater = float(drive.conditions.ambient[0]), plant.core, plant.heater
    engaged = int(least_engagement(plant, drive.fan_mode) > 0.5)
    motor = float(plant.engine.accessories.fan[0]) * engaged
    air = table.air

    def coolant(T: float) -> Fluid:
        return plant.coolant.state(np.array([T]))

    state_of = fluid_at or coolant
    came: list[float] = [1.0]  # the share of the time before

    @cache
    def asked(row: int) -> Load:
        """What is asked of the engine in a row, with the fan's motor."""
        own = Load(**{f.name: _row(getattr(load, f.name), row) for f in fields(Load)})
        return replace(own, brake_power=own.brake_power + np.where(own.drives_fan, motor, 0.0))

    def rates(t: float, y: Array) -> Array:  # noqa: PLR0915  as above
        now = min(int(t / drive.step), len(drive.which) - 1)
        row = int(drive.which[now, 0])
        warm_load = asked(row)
        opening = lift(plant.valve, y[WAX : WAX + 1])

        def flows_at(x: float) -> tuple[Fluid, Array, Array, Array]:
            fluid = state_of(x)
            turning = idling_at(plant.engine, warm_load, np.array([x]))
            flows = circuit_flows(plant.circuit, opening, turning.engine_speed, fluid.rho, fluid.mu)
            per = fluid.rho * fluid.cp * (1.0 - plant.aeration)
            V_h = np.where(
                flows.engine > 0.0, flows.heater, own_flow(plant.coolant_heater, drive.conditions.coolant_heater[0])
            )
            return fluid, per * flows.radiator, per * V_h, per * flows.bypass

        cells, k = y[11:], 1.0 + SHARP
        into = [k * y[UPPER] - SHARP * y[ENGINE]]  # out of the upper hose, then out of each cell
        for T in cells:
            into.append(k * T - SHARP * into[-1])
        back = k * y[LOWER] - SHARP * into[-1]
        fluid, C_r, C_h, C_b = flows_at(y[ENGINE])
        feed = y[ENGINE]
        if plant.valve.side is ThermostatSide.INLET:
            for _ in range(3):
                total = C_r + C_h + C_b
                feed = float(((C_r * back + C_h * y[CORE] + C_b * y[ENGINE]) / total)[0])
                fluid, C_r, C_h, C_b = flows_at(feed)
        w, i = float(table.weight[now]), int(table.index[now])
        r = np.atleast_1d(
            table.recirculation[i] if w == 0.0 else (1 - w) * table.recirculation[i] + w * table.recirculation[i + 1]
        )
        tube = tube_side(core.tube, C_r / (fluid.rho * fluid.cp) / core.flow_area, fluid)
        rest = core.R_wall + core.R_fouling + 1.0 / (tube.h * core.A_tube)
        G_up, G_low, G_hose = (float(x[0]) for x in (L.upper_to_air, L.lower_to_air, L.heater_hose_to_air))

        def at(a: Array, thin: float) -> Array:
            """A table of the air by its warmth behind the core."""
            cold, hot = (
                a[i, k, engaged] if w == 0.0 else (1 - w) * a[i, k, engaged] + w * a[i + 1, k, engaged] for k in (0, 1)
            )
            return np.atleast_1d(cold + thin * (hot - cold))

        def radiator(thin: float) -> tuple[float, float, float]:
            """Conductance of each cell, air that comes to them, heat that it takes over what warms it by 1 K."""
            C_air = at(table.C, thin)
            UA = plant.ua_scale / (1.0 / at(table.UA, thin) + rest)
            chain = multipass(UA, C_r, C_air * core.live_air, core.geometry.passes, plant.arrangement)
            G = chain.effectiveness * chain.C_min
            C = float(np.maximum(C_r, 1e-9)[0])  # W/K; coolant that stands
            own = float(G[0]) / C  # effectiveness without recirculation
            P = min(own * float(((1 - r) / (1 - r + r * G / C_air))[0]), ALL)
            whole = -np.log1p(-P) * C
            if own >= ALL:  # a nearly still core: its plain conductance
                alone = -np.expm1(-UA / C_air)
                whole = float((C_air * alone * (1 - r) / (1 - r + r * alone))[0])
            u = max(whole - G_up - G_low, 0.0) / C / CELLS
            g = C * max(u, k * k / (np.exp(-u) + SHARP) - k)
            ahead = np.minimum(warms_ahead[row if len(load.engine_speed) > 1 else 0] / C_air, 60.0)
            T_e = Ta + float((ahead / (1 - r))[0])
            taken = g * float((cells - T_e).sum()) + G_up * (y[UPPER] - T_e) + G_low * (y[LOWER] - T_e)
            return g, T_e, taken / float(((1 - r) * C_air)[0])

        def comes_of(thin: float) -> float:
            """How warm behind the core the heat makes air that flows as if it were as warm as ``thin`` says."""
            _, T_e, rise = radiator(thin)
            behind = min(T_e + rise, max(y[ENGINE], T_e))
            return max(1.0 - Ta / behind, 0.0) * float(table.per_thinned[0])

        thin = came[0] = settled(comes_of, came[0])
        g, T_e, _ = radiator(thin)
        C_r = np.maximum(C_r, 1e-9)
        C_h = np.maximum(C_h, 1e-9)
        share = drive.conditions.heater_air_share[row if len(drive.conditions.heater_air_share) > 1 else 0]
        blown = heater.blower_flow * share * air.fluid.rho * air.fluid.cp
        UA_h = heater_conductance(heater, blown * heater.blend / air.fluid.cp, C_h / fluid.cp)
        two = multipass(UA_h, C_h, np.broadcast_to(blown * heater.blend, C_h.shape))
        part = min(float((two.effectiveness * two.C_min / C_h)[0]), 0.98)
        C_r1, C_h1 = float(C_r[0]), float(C_h[0])
        g_h = C_h1 * part / (1.0 - part)
        wind = drive.conditions.vehicle_speed[row if len(drive.conditions.vehicle_speed) > 1 else 0]
        ha = float(block_to_air(plant, L, surface_growth(wind))[0])
        inner = y[BLOCK] + (y[BLOCK] - Ta) * ha / float(L.block_to_coolant[0]) + feed - y[ENGINE]
        made = engine_heat(plant.engine, idling_at(plant.engine, warm_load, np.array([feed])), np.array([inner]))
        late, lasts = (float(x[0]) for x in catalyst_heating(plant.engine, drive.start))
        heats_catalyst = t < lasts and bool(np.isnan(warm_load.fuel_flow).any()) and bool(warm_load.idles[0])
        into_metal = made.heat_to_metal[0] + (late if heats_catalyst else 0.0)
        fresh = float(heater.fresh_air_share[0])
        T_in = Ta + (1.0 - fresh) * (y[CABIN] - Ta)
        Q_h = g_h * (y[CORE] - T_in)
        auxiliary = min(drive.cabin_heater * float(heater.auxiliary_heat[0]), AUXILIARY_RISE * float(blown[0]))
        dy = np.empty(STATES)
        hh, hb = float(L.hot_to_coolant[0]), float(L.block_to_coolant[0])
        dy[HOT] = (into_metal - hh * (y[HOT] - y[ENGINE])) / L.hot[0]
        dy[BLOCK] = (hb * (y[ENGINE] - y[BLOCK]) - ha * (y[BLOCK] - Ta)) / L.block[0]
        brought = C_r1 * (back - y[ENGINE]) + C_h1 * (y[CORE] - y[ENGINE]) + made.extra_heat[0]
        dy[ENGINE] = (brought + hh * (y[HOT] - y[ENGINE]) + hb * (y[BLOCK] - y[ENGINE])) / L.engine[0]
        dy[UPPER] = (C_r1 * (y[ENGINE] - into[0]) - G_up * (y[UPPER] - Ta)) / L.upper[0]
        dy[11:] = (C_r1 * (np.array(into[:-1]) - np.array(into[1:])) - g * (cells - T_e)) / L.cell[0]
        dy[LOWER] = (C_r1 * (into[-1] - back) - G_low * (y[LOWER] - Ta)) / L.lower[0]
        added = coolant_heat(plant.coolant_heater, drive.conditions.coolant_heater[0], y[ENGINE : ENGINE + 1], C_h)
        dy[HOSE] = (C_h1 * (y[ENGINE] - y[HOSE]) - G_hose * (y[HOSE] - Ta) + added[0]) / L.heater_hose[0]
        dy[CORE] = (C_h1 * (y[HOSE] - y[CORE]) - Q_h) / L.heater_core[0]
        leaves = float((L.cabin_to_air + fresh * blown)[0])
        inside = float(L.cabin_to_interior[0]) * (y[CABIN] - y[INTERIOR])
        dy[CABIN] = (Q_h + auxiliary - leaves * (y[CABIN] - Ta) - inside) / L.cabin[0]
        dy[INTERIOR] = inside / L.interior[0]
        dy[WAX] = (feed - y[WAX]) / float(plant.valve.time_constant[0])
        dy[SENSOR] = (y[ENGINE] - y[SENSOR]) / SENSOR_TIME
        return dy

    return rates


def settled(comes_of: Callable[[float], float], near: float) -> float:
    """The share that comes of itself, in [0, 3]; what comes falls as it grows, so that there is one.

    By secants from ``near``, where it was a moment ago; between the two ends where these do not find it to 1e-9.
    """
    at, over = near, comes_of(near) - near
    slope = -1.0
    for _ in range(6):
        new = at - over / slope
        if abs(new - at) < SAME:
            return new
        if not 0.0 <= new <= 3.0:
            break
        found = comes_of(new) - new
        slope = (found - over) / (new - at)
        at, over = new, found
        if slope >= 0.0:
            break
    return float(brentq(lambda share: comes_of(share) - share, 0.0, 3.0, xtol=SAME))


def _row(table: Array, row: int) -> Array:
    return np.atleast_1d(table[row] if len(table) > 1 else table[0])


def start(drive: Drive) -> Array:
    """Everything at the start temperature, the cabin at ambient."""
    y = np.full(STATES, float(drive.start[0]))
    y[CABIN] = y[INTERIOR] = float(drive.conditions.ambient[0])
    return y
