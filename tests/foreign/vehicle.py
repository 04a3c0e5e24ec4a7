"""A vehicle that shares nothing with the program's engine: own lumps, laws and numbers. Nothing is imported from it.

Heat: fuel by a Willans line; of the fuel's heat at work some 27 % goes to the coolant side, more at idle, with the
friction beside it. Lumps: liners and head; block with oil; coolant in the engine. The radiator is a plug of coolant
that moves cell by cell (no mixing), each of which loses heat along its way. Pump: flow with the 0.9th power of speed;
the heater takes a fixed share of it. Valve: a line between two temperatures with play, behind the wax's lag. Steps of
half a second, forward Euler with exact decay of the small lumps. Numbers are from general knowledge of such vehicles,
no source; the time to 80 degC that comes of them is held against real cars in ``test_foreign``.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

DT = 0.5  # s
WATER = 3.55e6  # J/(m3 K), half glycol
AIR = 1.2 * 1005.0  # J/(m3 K)
CELLS = 24
PLACES = ("coolant", "shown", "upper_hose", "lower_hose", "heater_inlet_hose", "heater_outlet_hose", "vent", "fan")


@dataclass
class Body:
    """One vehicle's numbers, SI; temperatures in degC."""

    litres: float = 1.6
    mass: float = 1380.0
    drag: float = 0.68  # m2
    top_gear: float = 1.25  # rev/s for each m/s
    idle: float = 13.3  # rev/s
    liners: float = 1.43e4  # J/K; with the block that of 65 kg of engine, what lags far behind left out
    block: float = 3.0e4
    inside: float = 3.6e-3  # m3 of coolant in the engine
    radiator: float = 1.9e-3  # m3
    pump: float = 0.8e-3  # m3/s at 50 rev/s with everything open
    heater_part: float = 0.16  # of the pump's flow
    heater_UA: float = 150.0  # W/K at full air
    heater_air: float = 0.052  # m3/s at full
    front: float = 1450.0  # W/K, radiator with much air
    ram: float = 0.045  # m2; air through the core for each m/s
    fan_air: float = 0.75  # m3/s
    surface: float = 9.0  # W/K of the block to still air
    opens: float = 88.0
    over: float = 12.0  # K to fully open
    play: float = 1.5  # K
    lag: float = 12.0  # s
    leak: float = 0.004
    inlet: bool = False
    fan_on: float = 101.0
    fan_off: float = 95.0
    to_coolant: float = 0.27  # of the fuel's heat at work
    extra_idle: float = 0.30  # more of it at idle
    sensor_off: float = 0.0


@dataclass
class Broken:
    """What is wrong: factors and offsets on the body's numbers."""

    lift: float | None = None  # the valve stands there
    no_valve: bool = False
    opens_by: float = 0.0
    most_lift: float = 1.0
    lag: float = 1.0
    missing: float = 0.0  # share of the coolant
    pump: float = 1.0
    heater: float = 1.0  # its flow
    warm_air: float = 1.0  # share of the heater's air that goes through its core
    blower: float = 1.0
    UA: float = 1.0
    rows: float = 1.0  # the radiator's passage
    face: float = 1.0
    fan: str = ""  # "never" or "always"
    sensor_shift: float = 0.0
    sensor_part: float = 0.0  # share of coolant over air that it loses
    jumps: bool = False
    surface: float = 1.0
    drag: float = 0.0  # N at the wheels
    bypass: float = 1.0
    visible: dict[str, bool] = field(default_factory=dict)  # what a look would find


@dataclass
class Trip:
    """What the vehicle is asked for: speeds [m/s] a second, air [degC], heater's air 0..1 (one, or one a second), start
    [degC]."""

    speed: Array
    ambient: float
    heater: float | Array
    start: float
    grade: Array
    wind: float


def ran(b: Body, x: Broken, trip: Trip, rng: np.random.Generator) -> dict[str, Array]:  # noqa: PLR0915  every equation in one place
    """Temperatures [degC] by place and the running conditions, one a second."""
    n, T_air = len(trip.speed), trip.ambient
    heaters = np.broadcast_to(trip.heater, n)
    liners = block = coolant = trip.start
    plug = np.full(CELLS, float(trip.start))
    upper = lower = heater_in = heater_out = trip.start
    wax = trip.start
    lift, moved, fan = 0.0, 0.0, False
    kept = {name: np.empty(n) for name in (*PLACES, "rpm", "fuel")}
    volume = b.inside * (1.0 - 0.8 * x.missing)
    cell = b.radiator * (1.0 - 0.5 * x.missing) / CELLS
    thin = 1.0 - 0.75 * min(x.missing / 0.6, 1.0) if x.missing > 0.12 else 1.0  # air in the pump
    accel = np.gradient(trip.speed)
    jumping, offset = 0, 0.0
    for second in range(n):
        v, grade, heater = trip.speed[second], trip.grade[second], float(heaters[second])
        rev, fuel, heat = _engine(b, x, v, grade, accel[second], trip.wind, block, second)
        flow = b.pump * x.pump * thin * (rev / 50.0) ** 0.9
        air_speed = max(v + trip.wind, 0.0) if v > 1.0 else 0.0
        wind_loss = b.surface * x.surface * (1.0 + 0.06 * air_speed)
        for _ in range(int(1.0 / DT)):
            aim = float(np.clip((wax - b.opens - x.opens_by) / b.over, 0.0, 1.0)) * x.most_lift
            if abs(aim - lift) > 0.5 * b.play / b.over:
                lift = aim - np.sign(aim - lift) * 0.5 * b.play / b.over
            lift = 0.0 if wax < b.opens + x.opens_by - b.play else lift
            stands = x.lift if x.lift is not None else max(lift, 0.0)
            open_ = 1.0 if x.no_valve else max(stands, b.leak)
            q_h = b.heater_part * flow * x.heater * (0.25 if x.missing > 0.3 else 1.0)
            wanted = open_ * (1.0 if not x.no_valve else 1.15) * x.rows
            q_r = (flow - q_h) * wanted / (wanted + 0.35 * x.bypass * (1.0 - 0.7 * min(stands, 1.0)) + 1e-9)
            q_r = min(q_r, flow - q_h) if open_ > b.leak else b.leak * flow
            q_b = max(flow - q_h - q_r, 0.0) * min(x.bypass, 1.0)
            through = (b.ram * air_speed + (b.fan_air if fan else 0.01)) * x.face
            UA = b.front * x.UA * min(1.0, (through / 1.6) ** 0.55)
            give = AIR * through * -np.expm1(-UA / (AIR * through + 1e-9))
            plug += (T_air - plug) * -np.expm1(-give / CELLS * DT / (cell * WATER))
            moved += q_r * DT / cell
            while moved >= 1.0:
                moved -= 1.0
                lower += (plug[-1] - lower) * min(1.0, cell / 4e-4)
                plug[1:] = plug[:-1].copy()
                plug[0] = upper
            pull = DT * q_r / 4e-4
            upper += (coolant - upper) * min(pull + 0.0008 * DT, 1.0) + (T_air - upper) * 0.0009 * DT
            lower += (T_air - lower) * 0.0009 * DT
            air_h = b.heater_air * heater * x.blower
            C_w, C_a = WATER * q_h, AIR * air_h * x.warm_air
            take = 0.0
            if C_w > 1.0 and C_a > 1.0:
                least, most = min(C_w, C_a), max(C_w, C_a)
                ntu = b.heater_UA * (0.35 + 0.65 * heater) / least
                take = least * -np.expm1(-ntu * (1.0 - 0.35 * least / most)) * (heater_in - T_air)
            heater_in += (coolant - heater_in) * min(DT * q_h / 1.5e-4, 1.0) + (T_air - heater_in) * 0.0012 * DT
            to = heater_in - take / C_w if C_w > 1.0 else heater_out
            heater_out += (to - heater_out) * min(DT * q_h / 2.5e-4, 1.0) + (T_air - heater_out) * 0.0012 * DT
            into = heat - 900.0 * (liners - coolant) - 60.0 * (liners - block)
            liners += DT * into / b.liners
            block += DT * (60.0 * (liners - block) + 40.0 * (coolant - block) - wind_loss * (block - T_air)) / b.block
            back = q_r * lower + q_h * heater_out + q_b * coolant
            back += (flow - q_r - q_h - q_b) * coolant
            coolant += (
                DT
                * (WATER * (back - flow * coolant) + 900.0 * (liners - coolant) - 40.0 * (coolant - block))
                / (WATER * volume + 6e3)
            )
            mix = (back / flow) if b.inlet and flow > 1e-9 else coolant
            wax += DT * (mix - wax) / (b.lag * x.lag)
            fan = coolant > (b.fan_off if fan else b.fan_on)
            fan = x.fan == "always" or (fan and x.fan != "never")
            coolant = min(coolant, 122.0)
        if x.jumps and jumping <= 0 and rng.random() < 0.004:
            jumping, offset = int(rng.uniform(2, 90)), float(rng.choice([-1, 1]) * rng.uniform(12, 40))
        jumping -= 1
        shown = coolant + b.sensor_off + x.sensor_shift - x.sensor_part * (coolant - T_air)
        values = (
            coolant,
            shown + (offset if jumping > 0 else 0.0),
            upper,
            lower,
            heater_in,
            heater_out,
            T_air + take / max(AIR * air_h, 1.0) * 0.95 if heater else T_air,
            float(fan),
            60.0 * rev,
            fuel,
        )
        for name, value in zip(kept, values, strict=True):
            kept[name][second] = value
    return kept


def _engine(
    b: Body, x: Broken, v: float, grade: float, a: float, wind: float, block: float, since: float
) -> tuple[float, float, float]:
    """Speed [rev/s], fuel [g/s], heat into the liners [W], ``since`` the start [s].

    Idling after a cold start: twice as fast at first, and with late ignition, which burns more for the same work.
    """
    efficiency, cold = 0.41, min(max(0.0, (70.0 - block) / 60.0), 1.0)
    if v < 0.5:
        rev, work = b.idle * (1.0 + 0.3 * cold + 0.8 * cold * float(np.exp(-since / 25.0))), 900.0
        efficiency -= 0.13 * cold * float(np.exp(-since / 120.0))
    else:
        rev = v * b.top_gear
        for ratio in (1.35, 1.9, 2.8, 5.0):
            if rev < 26.0:
                rev = v * b.top_gear * ratio
        rev = max(rev, b.idle)
        force = b.mass * (9.81 * (0.0105 + grade) + 1.04 * a) + 0.6 * b.drag * (v + wind) * abs(v + wind) + x.drag
        work = force * v / 0.9 + 600.0
    rubbing = (1.3 + 1.5 * np.exp(-(block + 12.0) / 24.0)) * 1e5 * b.litres * 1e-3 * rev / 2.0
    rubbing *= 1.0 + 0.006 * rev
    burnt = max(work + rubbing, 0.0) / efficiency
    burnt = 0.0 if work + rubbing < 0.0 and rev > 18.0 else burnt
    load = min(max(work, 0.0) / (b.litres * 1.2e4), 1.0)
    heat = burnt * (b.to_coolant + b.extra_idle * (1.0 - load)) + 0.55 * rubbing
    return float(rev), float(burnt / 43.2e3), float(heat)
