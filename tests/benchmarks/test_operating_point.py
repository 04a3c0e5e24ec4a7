"""The steady operating point against a loop of scipy's brentq over the same balance, calling CoolProp and ht.

The rival solves one member after another: air way, coolant network and heat balance each by brentq, properties from
CoolProp (AEG for the coolant, humid air), tube and exchanger from ht, everything else in scalar Python. It is given the
dimensions worked out once (areas, coefficients of the network and of the fin correlations, the rated point's Willans
line), as the engine's own solver is. Members are drawn under 100 degC, where CoolProp's AEG ends.

Run once for correctness with every test run; for numbers ``python -m pytest --benchmark-enable -n 0 -k benchmark``.
The rival runs 200 of the 10,000 members, and its time is scaled by 50.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import CoolProp
import ht
import numpy as np
import pytest
from CoolProp.CoolProp import HAPropsSI
from scipy.optimize import brentq

import worked_examples
from engcalc.case.case import Case
from engcalc.case.conditions import Conditions, conditions_of
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.studies.members import varied
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant, prepare
from engcalc.system.state import OperatingPoint
from engcalc.system.upstream import CooledStream

pytestmark = pytest.mark.fresh

MEMBERS, RIVALS = 10_000, 200
HILL = 4  # the duty "Hill, 7 % at 80 km/h" of the worked example, its fan held on
G = 9.80665  # m/s2; standard gravity

# CoolProp's humid air is up to 0.1 % denser and more viscous than ours; its AEG is what our fits give back to rounding.
# That is 0.1 % in the air's conductance, so 0.1 % of coolant over air (60 K), and less while the valve regulates.
COOLPROP_ENDS = 372.0  # K; the rival's CoolProp mixtures stop at 100 degC
T_TOLERANCE, HEAT_TOLERANCE = 0.07, 2e-4  # K, -; two inner steps of the air behind the core leave up to 0.06 K


def duty_case() -> Case:
    text = read_case(worked_examples.folder() / "tow-and-track.heatcase.json")
    case = resolve(text.with_value(f"duties[{HILL}].fan", "on"))
    assert isinstance(case, Case)
    return case


def ensemble() -> tuple[Plant, Conditions]:
    """10,000 unlike members of one duty."""
    rng = np.random.default_rng(1)

    def about(value: float, share: float) -> np.ndarray:
        return value * rng.uniform(1.0 - share, 1.0 + share, MEMBERS)

    at = f"duties[{HILL}]."
    case = varied(
        duty_case(),
        {
            "radiator.core_width": about(0.72, 0.1),
            "airflow.fan_free_flow": about(0.667, 0.2),
            "circuit.pump_flow": about(0.003, 0.2),
            "engine.coolant_share_rated": about(0.24, 0.1),
            at + "ambient": rng.uniform(273.15, 308.15, MEMBERS),
            at + "vehicle_speed": about(22.2, 0.1),
            at + "grade": about(0.07, 0.1),
        },
    )
    return prepare(case), conditions_of((case.duties[HILL],))


HOT_STEPS = 3  # towards the air's temperature behind the core, from where the step before left it


@dataclass(frozen=True)
class Scalar:
    """A fluid at one state."""

    rho: float
    cp: float
    k: float
    mu: float

    @property
    def Pr(self) -> float:
        return self.cp * self.mu / self.k


class Rival:
    """One member, solved by itself, at the engine speed [rev/s] that its duty comes to."""

    def __init__(self, plant: Plant, conditions: Conditions, index: int, speed: float) -> None:
        self.plant, self.conditions, self.index, self.speed = plant, conditions, index, speed
        self.hot = 0.0  # K, behind the core, as the step before left it
        self.glycol = CoolProp.AbstractState("INCOMP", "AEG")
        self.glycol.set_volu_fractions([self.at(plant.coolant.volume_fraction)])

    def at(self, values: np.ndarray) -> float:
        """This member's value."""
        return float(values[..., self.index] if values.shape[-1] > 1 else values[..., 0])

    def coolant(self, T: float) -> Scalar:
        self.glycol.update(CoolProp.PT_INPUTS, 2.0e5, T)
        s = self.glycol
        return Scalar(s.rhomass(), s.cpmass(), s.conductivity(), s.viscosity())

    # --- engine ---

    @cached_property
    def power(self) -> float:
        """Road load at the crankshaft [W], with the accessories' share."""
        e, c = self.plant.engine, self.conditions
        v, mass = self.at(c.vehicle_speed), self.at(e.mass) + self.at(c.trailer_mass)
        slope = math.atan(self.at(c.grade))
        T, p = self.at(c.ambient), self.pressure
        rho_dry = HAPropsSI("Vha", "T", T, "P", p, "W", 0.0) ** -1
        weight = mass * G * (self.at(e.rolling_coefficient) * math.cos(slope) + math.sin(slope))
        towed = self.at(c.trailer_frontal_area) * self.at(c.trailer_drag_coefficient) * (self.at(c.trailer_mass) > 0.0)
        wheel = (weight + 0.5 * rho_dry * (self.at(e.drag_area) + towed) * v**2) * v
        return wheel / self.at(e.driveline_efficiency) + self.accessories

    @cached_property
    def accessories(self) -> float:
        """What the engine drives beside the vehicle [W]: with the fan held on, air conditioning by the weather."""
        fitted, c = self.plant.engine.accessories, self.conditions
        cools = min(max((self.at(c.ambient) - 288.15) / 10.0, 0.0), 1.0) if fitted.has_condenser else 0.0
        air = max(self.at(c.heater_air_share), 0.5 * cools)
        blower = self.at(fitted.blower) * air**2
        return self.at(fitted.base) + blower + self.at(fitted.compressor) * cools + self.at(fitted.fan)

    def heat(self, T: float) -> float:
        """Heat into the coolant's metal and from other sources [W], oil as hot as the coolant."""
        e, n = self.plant.engine, self.speed
        krpm = [60e-3 * x * min(1.0, 100.0 / self.at(e.rated_speed)) for x in (n, self.at(e.idle_speed))]
        shape = [0.97 + 0.15 * N + 0.05 * N**2 for N in krpm]  # Barnes-Moss
        friction = self.at(e.friction_mep) * shape[0] / shape[1] * self.at(e.displacement) * n * e.cycles_per_turn
        friction *= (walther(T) / walther(363.15)) ** 0.185
        fuel = (self.power + friction) / self.at(e.indicated_efficiency)
        rated = self.at(e.fuel_rated)
        metal = self.at(e.share_rated) * rated * (fuel / rated) ** self.at(e.heat_exponent)
        load = self.power / self.at(e.rated_power)
        extra = self.at(e.extra_idle) + (self.at(e.extra_rated) - self.at(e.extra_idle)) * min(max(load, 0.0), 1.0)
        return metal + self.at(e.extra_always) + extra

    # --- air ---

    @cached_property
    def pressure(self) -> float:
        z = self.at(self.conditions.altitude)
        return 101325.0 * (1.0 - 2.25577e-5 * z) ** 5.25588  # ISO 2533

    @cached_property
    def air(self) -> Scalar:
        """Density of the incoming air, the rest at the film temperature."""
        T, p = self.at(self.conditions.ambient), self.pressure
        W = HAPropsSI("W", "T", T, "P", p, "R", self.at(self.conditions.relative_humidity))
        film = T + 0.3 * (self.at(self.plant.valve.full) - T)
        rho = (1.0 + W) / HAPropsSI("Vda", "T", T, "P", p, "W", W)
        return Scalar(rho, *(HAPropsSI(name, "T", film, "P", p, "W", W) for name in ("Cha", "K", "M")))

    def core_drop(self, v: float) -> float:
        """Air through the fins, Re between 130 and 3000 (Chang et al. 2000 and 2006)."""
        fin, air = self.plant.core.fin, self.air
        mass = air.rho * v / self.at(fin.sigma)
        Re = mass * self.at(fin.fin.Lp) / air.mu
        low_Re, high_Re = min(Re, 130.0), max(Re, 230.0)
        low = self.at(fin.f_low) * low_Re ** self.at(fin.f_low_power) * math.log(0.5 * low_Re) ** -3.01
        high = self.at(fin.f_high) * high_Re ** self.at(fin.f_high_power) * math.log(0.3 * high_Re) ** -2.966
        w = min(max(3.6 - 0.02 * Re, -1.0), 1.0)
        f = min(math.sqrt(((1.0 + w) * low**2 + (1.0 - w) * high**2) / 2.0), high * max(230.0 / Re, 1.0))
        return f * self.at(fin.area_ratio) / self.at(fin.sigma) * mass**2 / (2.0 * air.rho)

    def acceleration(self, v: float, warmed: float) -> float:
        """Momentum of air that expands between the fins [Pa], less the dynamic pressure that it has at the face."""
        mass = self.air.rho * v / self.at(self.plant.core.fin.sigma)
        return mass**2 / (2.0 * self.air.rho) * (warmed - 1.0)

    def velocity(self, hot: float) -> float:
        """Mean face velocity [m/s] with air of ``hot`` [K] behind: the stream under the shroud and the one beside."""
        way, fan, T = self.plant.airway, self.plant.airway.fan, self.at(self.conditions.ambient)
        warmed, rho = hot / T, self.air.rho
        drive = self.ram + rho * (1.0 - 1.0 / warmed) * G * self.at(way.height) / 2.0
        losses = 0.5 * rho * (self.at(way.zeta) + self.at(way.zeta_exit) * warmed)
        coverage, face = self.at(way.coverage), self.at(self.plant.core.face)
        per_fan = face * coverage / self.at(fan.count) * warmed

        def blown(v: float) -> float:
            excess = 1.0 - (v * per_fan / self.at(fan.free_flow)) ** 2
            return rho / warmed / 1.2 * self.at(fan.stall_pressure) * (excess if excess >= 0.0 else 0.25 * excess)

        def beside(v: float) -> float:
            return drive - losses * v**2 - self.core_drop(v) * (0.5 + 0.5 * warmed) - self.acceleration(v, warmed)

        v0 = brentq(beside, 0.3, 40.0, xtol=1e-10)
        v1 = brentq(lambda v: beside(v) + blown(v), 0.3, 40.0, xtol=1e-10)
        return coverage * v1 + (1.0 - coverage) * v0

    @cached_property
    def wind(self) -> float:
        """Growth of the engine's loss: a turbulent plate of 0.4 m in a tenth of the vehicle's speed, cubes added."""
        Re = 0.1 * self.at(self.conditions.vehicle_speed) * 0.4 / 19.0e-6
        forced = 0.037 * Re**0.8 * 0.7 ** (1.0 / 3.0) * 0.0285 / 0.4
        return (1.0 + (forced / 9.0) ** 3) ** (1.0 / 3.0)

    @cached_property
    def ram(self) -> float:
        v = self.at(self.conditions.vehicle_speed)
        return self.at(self.plant.airway.ram_recovery) * 0.5 * self.air.rho * v**2

    def air_side(self, hot: float) -> tuple[float, float]:
        """Capacity rate [W/K] and conductance [W/K] of film and fins (Chang & Wang 1997)."""
        core, fin, air, v = self.plant.core, self.plant.core.fin, self.air, self.velocity(hot)
        mass = air.rho * v / self.at(fin.sigma)
        j = self.at(fin.j_factor) * (mass * self.at(fin.fin.Lp) / air.mu) ** -0.49
        h = j * mass * air.cp * air.Pr ** (-2.0 / 3.0)
        k, d, depth = (self.at(x) for x in (fin.fin.k_fin, fin.fin.delta_f, fin.fin.Fd))
        ml = math.sqrt(2.0 * h / (k * d) * (1.0 + d / depth)) * self.at(fin.fin_length)
        eta = 1.0 - self.at(fin.fin_share) * (1.0 - math.tanh(ml) / ml)
        return air.rho * v * self.at(core.face) * air.cp, eta * h * self.at(core.A_air)

    # --- coolant ---

    def flows(self, opening: float, c: Scalar) -> tuple[float, float]:
        """Radiator and heater [m3/s]: pressure across the branches by brentq."""
        k, leak = self.plant.circuit, self.at(self.plant.valve.leak)
        passage = leak + (1.0 - leak) * opening
        shut = max(1.0 - opening, 1e-6)
        a, b = ([self.at(row) for row in rows] for rows in (k.a, k.b))
        b[0] += self.at(k.b_valve) / passage**2
        a[2], b[2] = a[2] / shut, b[2] / shut**2
        there = [self.at(row) for row in k.there]
        there[2] *= opening < 1.0
        rho = c.rho / self.at(k.pump.reference_density)
        turns = self.at(k.pump.ratio) * self.speed / self.at(k.pump.reference_speed)
        H, fall = rho * self.at(k.pump.shutoff_pressure) * turns**2, rho * self.at(k.pump.c)

        def branches(P: float) -> list[float]:
            return [
                is_there * (-A * c.mu + math.sqrt((A * c.mu) ** 2 + 4.0 * B * c.rho * P)) / (2.0 * B * c.rho)
                for A, B, is_there in zip(a, b, there, strict=True)
            ]

        def open_end(P: float) -> float:
            V = sum(branches(P))
            return H - (fall + self.at(k.b_jacket) * c.rho) * V**2 - self.at(k.a_jacket) * c.mu * V - P

        found = branches(brentq(open_end, 0.0, H, xtol=1e-9))
        return found[0], found[1]

    def tube(self, flow: float, c: Scalar) -> float:
        """Coolant film [W/(m2 K)]: laminar constant and entrance, ht's Gnielinski, the 2013 transition between."""
        tube = self.plant.core.tube
        D, length = self.at(tube.Dh), self.at(tube.tube.length)
        Re = c.rho * flow / self.at(self.plant.core.flow_area) * D / c.mu
        Gz = min(Re, 2300.0) * c.Pr * D / length
        laminar = self.at(tube.Nu_laminar) + 0.0668 * Gz / (1.0 + 0.04 * Gz ** (2.0 / 3.0))
        turbulent_Re = max(Re, 4000.0)
        fd = (0.790 * math.log(turbulent_Re) - 1.64) ** -2
        turbulent = ht.turbulent_Gnielinski(Re=turbulent_Re, Pr=c.Pr, fd=fd)
        share = min(max((Re - 2300.0) / 1700.0, 0.0), 1.0)
        return (laminar + share * (turbulent - laminar)) * c.k / D

    # --- the balance ---

    def condenser(self) -> float:
        """Heat of the condensers with the air conditioning full on [W]: the only coolers ahead of this vehicle."""
        coolers = self.plant.airway.upstream.coolers
        assert all(one.cools is CooledStream.CONDENSER and one.conductance is None for one in coolers)
        return sum(self.at(one.heat) for one in coolers if one.heat is not None)

    def balance(self, T: float) -> tuple[float, float, float]:
        """Surplus [W], heat of the radiator [W] and lift [-] at an engine outlet of T [K]."""
        plant, core, valve = self.plant, self.plant.core, self.plant.valve
        lift = min(max((T - self.at(valve.start)) / (self.at(valve.full) - self.at(valve.start)), 0.0), 1.0)
        c = self.coolant(T)
        radiator, heater = self.flows(lift, c)
        ambient = self.at(self.conditions.ambient)
        tube = 1.0 / (self.tube(radiator, c) * self.at(core.A_tube))
        C_coolant = c.rho * radiator * c.cp
        hot = self.hot if self.hot else ambient + 0.5 * (T - ambient)
        for _ in range(HOT_STEPS):
            C_air, UA_air = self.air_side(hot)
            R = 1.0 / UA_air + self.at(core.R_wall) + self.at(core.R_fouling) + tube
            C_min, C_max = sorted((C_air, C_coolant))
            eps = ht.effectiveness_from_NTU(NTU=1.0 / (R * C_min), Cr=C_min / C_max, subtype="crossflow")
            per_kelvin = eps * C_min
            r = self.at(plant.airway.recirculation) / (1.0 + self.ram / 10.0)
            warm = min(max((ambient - 288.15) / 10.0, 0.0), 1.0)  # from 15 to 25 degC the air conditioning comes on
            ahead = self.condenser() * warm / C_air
            e = per_kelvin / C_air
            T_air = ((1.0 - r) * ambient + r * e * T + ahead) / (1.0 - r + r * e)
            hot = T_air + e * (T - T_air)
        self.hot = hot
        Q = per_kelvin * (T - T_air)
        C_heater, hose = c.rho * heater * c.cp, self.at(plant.heater_hose_conductance)
        surface = self.at(plant.surface_conductance) * self.wind + hose * C_heater / (C_heater + hose)
        return self.heat(T) - surface * (T - ambient) - Q, Q, lift

    def solve(self) -> tuple[float, float, float]:
        """Engine outlet [K], heat of the radiator [W], lift [-]."""
        T = brentq(lambda x: self.balance(x)[0], self.at(self.conditions.ambient) + 1.0, 373.1, xtol=1e-6)
        _, Q, lift = self.balance(T)
        return T, Q, lift


def walther(T: float) -> float:
    """Viscosity of a 5W-30 [mm2/s] through 61 at 40 and 10.5 at 100 degC (ASTM D341)."""
    z40, z100 = (math.log10(math.log10(v + 0.7)) for v in (61.0, 10.5))
    B = (z40 - z100) / math.log10(373.15 / 313.15)
    return 10.0**10.0 ** (z100 + B * math.log10(373.15 / T)) - 0.7


def rivals(
    plant: Plant, conditions: Conditions, point: OperatingPoint, which: list[int]
) -> list[tuple[float, float, float]]:
    """Some members, one after the other."""
    return [Rival(plant, conditions, i, float(point.engine_speed[i])).solve() for i in which]


def timed(work: Callable[[], object]) -> float:
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin


@pytest.fixture(scope="module")
def members() -> tuple[Plant, Conditions]:
    return ensemble()


def test_one_operating_point(benchmark) -> None:
    """Budget: 3 ms."""
    case = duty_case()
    plant, conditions = prepare(case), conditions_of((case.duties[HILL],))
    point = benchmark(solve, plant, conditions)
    assert bool(point.solved[0])


def test_ten_thousand_operating_points_against_a_loop_of_brentq(benchmark, members) -> None:
    """Budget: 1 s, and 20 times faster than the loop, in one run."""
    plant, conditions = members
    point = benchmark.pedantic(solve, args=(plant, conditions), rounds=3 if benchmark.enabled else 1)
    assert point.status.shape == (MEMBERS,)
    assert point.solved.all()
    count = RIVALS if benchmark.enabled else 8
    answers: list[tuple[float, float, float]] = []
    which = np.flatnonzero(point.coolant_out < COOLPROP_ENDS)[:count].tolist()
    assert len(which) == count
    seconds = timed(lambda: answers.extend(rivals(plant, conditions, point, which)))
    T, Q, lift = np.array(answers).T
    assert np.abs(T - point.coolant_out[which]).max() < T_TOLERANCE
    assert np.abs(Q / point.radiator_heat[which] - 1.0).max() < HEAT_TOLERANCE
    assert np.abs(lift - point.opening[which]).max() < 0.01
    if benchmark.enabled:
        scaled = seconds * MEMBERS / count
        benchmark.extra_info.update(
            rival_seconds_scaled=scaled, rival_members=count, times_faster=scaled / benchmark.stats.stats.min
        )
        assert scaled / benchmark.stats.stats.min > 20.0
