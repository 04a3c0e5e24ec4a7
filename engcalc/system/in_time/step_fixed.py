"""What holds for a whole run of the warm-up: plant and drive, and the numbers that come of them, in groups.

A ``Value`` is a float where there is one member, else an array over the members. Nothing here changes once it is made;
what does is in ``step_state``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engcalc.components.coolant_heater import own_flow
from engcalc.components.fan import least_by_conditioning
from engcalc.components.pressure_cap import boiling
from engcalc.components.surface import surface_growth
from engcalc.components.thermostat import Bypass, ThermostatSide
from engcalc.properties.fluid import Fluid
from engcalc.system.airflow import shutter_opening
from engcalc.system.arithmetic import ARRAYS, FLOATS, Arithmetic, Value
from engcalc.system.in_time.drive import Drive
from engcalc.system.in_time.lumps import (
    FEW_ROWS,
    OIL_NODES,
    QUICK_NODES,
    AirTable,
    air_in,
    air_table,
    block_to_air,
    coolers_ahead,
    fan_heat,
    heat_nodes,
    late_heat,
    oil_coolers_in_rows,
    pump_heads,
    pump_quicker,
    quicker,
)
from engcalc.system.in_time.ways import RunBasis, run_basis
from engcalc.system.oil_coolers import Coolers, InCoolant
from engcalc.system.plant import Plant
from engcalc.system.upstream import InStack, Stack, air_conditioning
from engcalc.units import Array

_SHUT = 1e30  # 1/m4; inertial resistance of a branch that is not there
_TINY = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class PerJoule:
    """How far a joule warms each lump [K/J]."""

    hot: Value
    block: Value
    engine: Value
    upper: Value
    cell: Value
    lower: Value
    heater_hose: Value
    heater_core: Value
    cabin: Value
    interior: Value


@dataclass(frozen=True, slots=True, eq=False)
class FixedLumps:
    """The lumps and what lies between them and the air; conductances in W/K."""

    per_J: PerJoule
    ambient: Value  # K
    boiling: Value  # K
    h_hot: Value  # hot metal to coolant
    h_block: Value  # block to coolant
    h_air: Value  # block to air, in the wind of the first step
    G_upper: Value  # hoses of the radiator, to the air that comes to it
    G_lower: Value
    G_hose: Value  # the heater's, to the air
    radiator_hoses: Value  # both of the radiator
    UA_cabin: Value  # cabin to the air
    UA_interior: Value  # cabin to its interior
    fresh: Value  # -, share of the blower's air that comes from outside
    kept: Value  # -, the rest
    fresh_ambient: Value  # K, that share of the air's temperature


@dataclass(frozen=True, slots=True, eq=False)
class FixedNetwork:
    """The coolant's network: radiator, heater and bypass side by side, then the engine's jacket."""

    a: tuple[Value, ...]  # 1/m3, viscous resistance of each branch
    b: tuple[Value, ...]  # 1/m4, inertial
    b_valve: Value  # 1/m4, of the open valve
    a_jacket: Value
    b_jacket: Value
    fall: Value  # 1/m4, by which the pump's head falls with the square of the flow
    states_flow: bool  # some member's flow is given in place of pump and network
    is_stated: Value  # whether it is this member's
    stated: Value  # m3/s, that flow: through the radiator with the valve open; 0 where none is given
    stated_heater: Value  # m3/s
    valve_share: Value  # -, of the open valve in the resistance of its branch


@dataclass(frozen=True, slots=True, eq=False)
class FixedValve:
    """The valve."""

    there: bool
    outlet: bool  # the wax sits at the engine's outlet
    feels_return: bool  # it sits at the pump's inlet
    closes: bool  # the bypass, as the valve opens
    time_constant: Value  # s
    start: Value  # K, wax at which it starts to open in light running
    per_span: Value  # 1/K
    play: Value  # -
    leak: Value
    leak_rest: Value  # -, 1 - leak
    low: Value  # -, least lift
    high: Value


@dataclass(frozen=True, slots=True, eq=False)
class FixedFan:
    """The fan and an active shutter."""

    on: Value  # K
    off: Value
    high_on: Value
    high_off: Value
    low_speed: Value  # -
    least: Value  # -, engagement at which the air conditioning keeps it
    shutter: tuple[Value, Value, Value] | None  # K where it begins to open, 1/K of its span, - at which it stands least


@dataclass(frozen=True, slots=True, eq=False)
class FixedBurner:
    """The heater in the coolant circuit."""

    fitted: bool
    power: Value  # W
    stops: Value  # K
    slope: Value  # 1/K
    pump: Value  # m3/s, its own pump's flow


@dataclass(frozen=True, slots=True, eq=False)
class FixedEquipment:
    """What today's vehicles have besides: see ``equipment_steps``."""

    maps: bool  # load opens the valve earlier
    waits: bool  # the pump stands while the coolant is cold
    warms_oil: bool
    warms_gearbox: bool
    recovers: bool  # heat out of the exhaust
    exchanges: bool  # any of the three
    asks_engine: bool  # load and exhaust count
    pump_starts: Value  # K
    heat_starts: bool  # a heater that is switched on starts the pump
    gear_capacity: Value  # J/K
    gear_to_air: Value  # W/K
    oil_UA: Value  # W/K
    gear_UA: Value  # W/K
    recovery: Value  # -, share of the exhaust's heat
    flap_shuts: Value  # K
    inner_block: Value  # -, block's inner side over its mean, as a share of mean over air
    oil_apart: Value  # K/J, by which a joule brings coolant and oil together
    gear_apart: Value  # K/J


@dataclass(frozen=True, slots=True, eq=False)
class FixedRows:
    """What the drive asks for, by what the steps ask for (``RunBasis.asked``)."""

    of: tuple[int, ...]  # for each step
    head: Any  # m2/s2, of the pump at no flow over the coolant's density, at warm idle
    quick_pump: Any  # -, by which the whole cold idle's rise turns the pump faster
    oil: Coolers  # in the coolant, each with its table
    ahead: Stack  # coolers ahead of the radiator, each with its tables
    heater_share: Any  # -, of the blower's high flow
    burner_share: Any  # -, of its power at which the heater in the coolant circuit runs
    heat: Any  # W, into the metal: with warm oil, then what each node of colder oil adds; None where it is too large
    extra: Any  # W, into the coolant
    quick_heat: tuple[Any, ...]  # W, that each node of a cold idle adds to ``heat``
    idles: bool  # anywhere
    fan_draws: bool  # an electric fan loads the engine in some row
    fan_heat: Any  # W, into the metal, that such a fan adds at its full power
    catalyst: tuple[Value, ...]  # W into the metal, of late ignition in the first steps after a cold start


@dataclass(frozen=True, slots=True, eq=False)
class AirOfWay:
    """The air of the members of one way; see ``lumps.AirTable``."""

    index: NDArray[np.int64]  # (steps,), lower node
    weight: Array  # (steps,), of the node above
    nodes: Array  # C, then UA [W/K], then recirculation [-], (nodes, ..., members or 1)

    def at(self, k: int) -> Array:
        """All of it in step k, (..., members or 1)."""
        i = int(self.index[k])
        w = float(self.weight[k])
        nodes = self.nodes
        here = nodes[i]
        return np.asarray(here if w == 0.0 else here + w * (nodes[i + 1] - here))


@dataclass(frozen=True, slots=True, eq=False)
class FixedAir:
    """The air through the core by steps."""

    has_upstream: bool
    air: Fluid  # that comes in
    ways: tuple[AirOfWay, ...]
    shape: tuple[int, ...]  # of C and of UA at one node of speed: by warmth and engagement
    per_thinned: Value  # -
    steps: tuple[tuple[Any, Any, float], ...] | None  # C, UA, recirculation of each step, for one member


@dataclass(frozen=True, slots=True, eq=False)
class FixedForRun:
    """All of it."""

    run: RunBasis
    f: Arithmetic
    lumps: FixedLumps
    network: FixedNetwork
    valve: FixedValve
    fan: FixedFan
    burner: FixedBurner
    equipment: FixedEquipment
    rows: FixedRows
    air: FixedAir
    wind: tuple[Array, ...]  # -, by which wind grows the surface's loss in each way, (asked or 1, 1)
    inverse_scale: Value  # -, 1 over the factor on the radiator's conductance


def fix(plant: Plant, drive: Drive, members: int) -> FixedForRun:
    """Everything that a run of a plant through a drive does not change."""
    run = run_basis(plant, drive, members)
    wind = tuple(way.mean(surface_growth(way.drive.conditions.air_speed)) for way in run.ways)
    lumps = _fixed_lumps(run, run.joined([of_way[0] for of_way in wind]))
    heads, fall = pump_heads(plant, run.mean(lambda way: way.load.engine_speed))
    return FixedForRun(
        run=run,
        f=FLOATS if members == 1 else ARRAYS,
        lumps=lumps,
        network=_network(run, fall),
        valve=_valve(run),
        fan=_fan(run),
        burner=_burner(run),
        equipment=_fixed_equipment(run, lumps),
        rows=_fixed_rows(run, heads),
        air=_air(run),
        wind=wind,
        inverse_scale=run.value(1.0 / plant.ua_scale),
    )


def _fixed_lumps(run: RunBasis, growth: Array) -> FixedLumps:
    """Capacities and conductances of all lumps, their values for the members of this run."""
    plant = run.plant
    L = run.capacities
    v = run.value
    ambient = v(run.drive.conditions.ambient)
    fresh = v(plant.heater.fresh_air_share)
    G_upper = v(L.upper_to_air)
    G_lower = v(L.lower_to_air)
    return FixedLumps(
        per_J=_per_joule(run),
        ambient=ambient,
        boiling=v(boiling(plant.cap, run.drive.conditions.altitude)),
        h_hot=v(L.hot_to_coolant),
        h_block=v(L.block_to_coolant),
        h_air=v(run.whole(block_to_air(plant, L, growth))),
        G_upper=G_upper,
        G_lower=G_lower,
        G_hose=v(L.heater_hose_to_air),
        radiator_hoses=G_upper + G_lower,
        UA_cabin=v(L.cabin_to_air),
        UA_interior=v(L.cabin_to_interior),
        fresh=fresh,
        kept=1.0 - fresh,
        fresh_ambient=fresh * ambient,
    )


def _per_joule(run: RunBasis) -> PerJoule:
    L = run.capacities

    def per(capacity: Array) -> Value:
        return run.value(1.0 / capacity)

    return PerJoule(
        hot=per(L.hot),
        block=per(L.block),
        engine=per(L.engine),
        upper=per(L.upper),
        cell=per(L.cell),
        lower=per(L.lower),
        heater_hose=per(L.heater_hose),
        heater_core=per(L.heater_core),
        cabin=per(np.maximum(L.cabin, 1.0)),
        interior=per(np.maximum(L.interior, 1.0)),
    )


def _network(run: RunBasis, fall: Array) -> FixedNetwork:
    """Resistances of radiator branch, heater and bypass; those of a branch that is not there let nothing pass.

    A flow that a duty states takes the place of pump and network (see ``circuit.given_flows``).
    """
    k = run.plant.circuit
    v = run.value
    stated = run.drive.conditions.coolant_flow
    narrow = np.maximum(k.heater_valve, 1e-6)
    there = (k.there[0], k.there[1] * (k.heater_valve > 0.0), k.there[2])
    a = (k.a[0], k.a[1] / narrow, k.a[2])
    b = (k.b[0], k.b[1] / narrow**2, k.b[2])
    given = np.isfinite(stated)
    return FixedNetwork(
        a=tuple(v(np.where(x > 0.0, viscous, 0.0)) for x, viscous in zip(there, a, strict=True)),
        b=tuple(v(np.where(x > 0.0, inertial, _SHUT)) for x, inertial in zip(there, b, strict=True)),
        b_valve=v(k.b_valve),
        a_jacket=v(k.a_jacket),
        b_jacket=v(k.b_jacket),
        fall=v(fall),
        states_flow=bool(given.any()),
        is_stated=v(given),
        stated=v(np.where(given, stated, 0.0)),
        stated_heater=v(k.stated[1] * k.there[1] * k.heater_valve),
        valve_share=v(k.valve_share),
    )


def _valve(run: RunBasis) -> FixedValve:
    valve = run.plant.valve
    v = run.value
    span = valve.full - valve.start
    outlet = valve.side is ThermostatSide.OUTLET
    return FixedValve(
        there=valve.present,
        outlet=outlet,
        feels_return=valve.present and not outlet,
        closes=valve.bypass is Bypass.CLOSING and valve.present,
        time_constant=v(np.maximum(valve.time_constant, _TINY)),
        start=v(valve.start),
        per_span=v(1.0 / span),
        play=v(valve.hysteresis / span),
        leak=v(valve.leak),
        leak_rest=v(1.0 - valve.leak),
        low=v(valve.least),
        high=v(valve.most),
    )


def _fan(run: RunBasis) -> FixedFan:
    airway = run.plant.airway
    v = run.value
    fan = airway.fan
    shutter = airway.shutter
    asked = run.drive.conditions
    conditioning = air_conditioning(airway.upstream, asked.air_conditioning, asked.ambient)
    return FixedFan(
        on=v(fan.on_temperature),
        off=v(fan.off_temperature),
        high_on=v(fan.high_on),
        high_off=v(fan.high_off),
        low_speed=v(fan.low_speed),
        least=v(least_by_conditioning(fan, conditioning)),
        shutter=None
        if shutter is None
        else (
            v(shutter.opens),
            v(1.0 / np.maximum(shutter.full - shutter.opens, 1.0)),
            v(shutter_opening(shutter, np.zeros(1), conditioning)),
        ),
    )


def _burner(run: RunBasis) -> FixedBurner:
    heater = run.plant.coolant_heater
    v = run.value
    return FixedBurner(
        fitted=heater.fitted,
        power=v(heater.power),
        stops=v(heater.stops),
        slope=v(1.0 / heater.span),
        pump=v(own_flow(heater, np.ones(1))),
    )


def _fixed_equipment(run: RunBasis, lumps: FixedLumps) -> FixedEquipment:
    """What warmers, exhaust heat, a mapped valve and a pump that stands cold need in every step."""
    v = run.value
    pump = run.plant.circuit.pump
    fitted = run.plant.equipment
    maps = run.plant.valve.is_mapped
    per_J = lumps.per_J
    inner_block = lumps.h_air / lumps.h_block
    gear_capacity = v(fitted.gear_capacity)
    return FixedEquipment(
        maps=maps,
        waits=pump.stands_cold,
        warms_oil=fitted.warms_oil,
        warms_gearbox=fitted.warms_gearbox,
        recovers=fitted.recovers,
        exchanges=fitted.warms_oil or fitted.heats,
        asks_engine=maps or fitted.heats,
        pump_starts=v(pump.starts),
        heat_starts=pump.heat_starts,
        gear_capacity=gear_capacity,
        gear_to_air=v(fitted.gear_to_air),
        oil_UA=v(fitted.oil_UA),
        gear_UA=v(fitted.gear_UA),
        recovery=v(fitted.recovery),
        flap_shuts=v(fitted.stops),
        inner_block=inner_block,
        oil_apart=per_J.engine + per_J.block * (1.0 + inner_block),
        gear_apart=per_J.engine + 1.0 / gear_capacity,
    )


def _fixed_rows(run: RunBasis, heads: Array) -> FixedRows:
    """What the drive asks row by row and the heat that comes of it, as tables that a step looks up."""
    heat, extra, quick_heat = _heat_tables(run)
    held_off = bool(np.all(run.drive.conditions.fan_mode < 0.0))
    driven = any(bool(way.load.drives_fan.any()) for way in run.ways)
    fan_draws = run.plant.airway.fan.drive.electric and driven and not held_off
    return FixedRows(
        of=tuple(run.row_of.tolist()),
        head=run.tables(heads[None])[0],
        quick_pump=run.table(lambda way: pump_quicker(way.plant, way.load)),
        oil=_oil(run),
        ahead=_stack(run),
        heater_share=run.table(lambda way: way.drive.conditions.heater_air_share),
        burner_share=run.table(lambda way: way.drive.conditions.coolant_heater),
        heat=heat,
        extra=extra,
        quick_heat=quick_heat,
        idles=any(bool(way.load.idles.any()) for way in run.ways),
        fan_draws=fan_draws,
        fan_heat=run.table(lambda way: fan_heat(way.plant, way.load) if fan_draws else np.zeros((1, 1))),
        catalyst=_late(run),
    )


def _late(run: RunBasis) -> tuple[Value, ...]:
    """Heat of late ignition [W] in each of the first steps."""
    found = [late_heat(way.plant, way.drive, way.load) for way in run.ways]
    steps = max(len(heat) for heat in found)
    padded = [np.pad(heat, ((0, steps - len(heat)), (0, 0))) for heat in found]
    return tuple(run.value(heat) for heat in run.joined(padded))


def _stack(run: RunBasis) -> Stack:
    """The coolers ahead, as tables over what the steps ask for."""
    stacks = {way.own.start: coolers_ahead(way.plant, way.drive, way.load) for way in run.ways}

    def table(i: int, name: str) -> Any:
        return run.table(lambda way: getattr(stacks[way.own.start][i], name))

    return tuple(
        InStack(
            run.value(run.joined([stacks[way.own.start][i].share for way in run.ways])),
            cooler.beside,
            table(i, "asked"),
            table(i, "hot"),
            table(i, "reach"),
        )
        for i, cooler in enumerate(stacks[0])
    )


def _oil(run: RunBasis) -> Coolers:
    """The oil coolers, as tables over what the steps ask for."""
    coolers = {way.own.start: oil_coolers_in_rows(way.plant, way.load) for way in run.ways}

    def value(i: int, name: str) -> Value:
        of_ways = [getattr(coolers[way.own.start][i], name) for way in run.ways]
        return run.value(run.joined(of_ways))

    def asked(i: int) -> Any:
        return run.table(lambda way: coolers[way.own.start][i].asked)

    return tuple(
        InCoolant(
            cooler.place,
            asked(i),
            value(i, "reach"),
            value(i, "share"),
            value(i, "hottest"),
        )
        for i, cooler in enumerate(coolers[0])
    )


def _heat_tables(run: RunBasis) -> tuple[Any, Any, tuple[Any, ...]]:
    """Heat into the metal over oil, extra heat into the coolant, and what a cold idle adds to the first.

    Nothing of it where members ran in several ways, or rows are so many that the engine is asked less often step by
    step than for every node of a table.
    """
    if len(run.ways) > 1:
        return None, None, ()
    (way,) = run.ways
    plant = way.plant
    load = way.load
    asked = len(way.asked)
    if run.members > 1 and asked > FEW_ROWS and asked * len(OIL_NODES) > len(way.row_of):
        return None, None, ()
    found = heat_nodes(plant, load)
    warm = np.stack([way.mean(np.atleast_2d(metal)) for metal, _ in found])
    if np.all(warm[1:] == warm[0]):  # measured fuel, no braking: friction does not count
        warm = warm[:1]
    quick: list[Any] = []
    for share in QUICK_NODES if load.idles.any() else ():
        faster = heat_nodes(plant, quicker(plant, load, share))
        more = np.stack([way.mean(np.atleast_2d(metal)) for metal, _ in faster]) - warm
        quick.append(run.tables(_rises(more)))
    return run.tables(_rises(warm)), run.table(lambda _way: found[0][1]), tuple(quick)


def _rises(nodes: Array) -> Array:
    """The first node, then by how much each differs from the one before it."""
    return np.concatenate((nodes[:1], np.diff(nodes, axis=0)))


def _air(run: RunBasis) -> FixedAir:
    tables = [air_table(way.plant, way.drive, way.load) for way in run.ways]
    first = tables[0]
    return FixedAir(
        has_upstream=run.plant.airway.upstream.has_any,
        air=air_in(run.plant, run.drive).fluid,
        ways=tuple(AirOfWay(table.index, table.weight, _nodes(table)) for table in tables),
        shape=first.C.shape[1:-1],
        per_thinned=run.value(run.whole(run.joined([table.per_thinned for table in tables]))),
        steps=_air_of_steps(first) if run.members == 1 else None,
    )


def _nodes(table: AirTable) -> Array:
    """C, UA and recirculation of each node of speed below one another, (nodes, ..., members or 1)."""
    columns = (table.C, table.UA, table.recirculation)
    flat = [x.reshape(len(x), -1, x.shape[-1]) for x in columns]
    members = max(x.shape[-1] for x in flat)
    return np.concatenate([np.broadcast_to(x, (*x.shape[:-1], members)) for x in flat], axis=1)


def _air_of_steps(table: AirTable) -> tuple[tuple[Any, Any, float], ...]:
    """C and UA, not warmed and warmed at each engagement, and recirculation of every step, for one member."""
    i = table.index
    w = table.weight
    above = np.minimum(i + 1, len(table.C) - 1)

    def at_steps(nodes: Array) -> Any:
        share = w.reshape(-1, *(1,) * (nodes.ndim - 1))
        return (nodes[i] + share * (nodes[above] - nodes[i])).tolist()

    tables = (table.C[..., 0], table.UA[..., 0], table.recirculation[..., 0])
    return tuple(zip(*(at_steps(nodes) for nodes in tables), strict=True))
