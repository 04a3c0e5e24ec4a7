"""Points measured on the core: both streams' flows and temperatures, and the conductance that follows from them."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass

import numpy as np

from engcalc.case.case import Case
from engcalc.components.core import CoreFlows, PreparedCore, evaluate
from engcalc.components.exchanger import Arrangement, Attainable, conductance_from_effectiveness
from engcalc.properties.air import air_state, pressure_at_altitude
from engcalc.properties.any_fluid import StateOf
from engcalc.properties.coolant import CoolantMixture
from engcalc.properties.fluid import Fluid
from engcalc.units import Array

MEASURED = ("hot_flow", "hot_in", "hot_out", "cold_flow", "cold_in", "cold_out")


@dataclass(frozen=True, eq=False)
class MeasuredSetup:
    """What a measured point is worked out with: coolant, arrangement, air pressure [Pa]."""

    coolant: CoolantMixture
    arrangement: Arrangement
    pressure: Array

    def streams(self, x: Mapping[str, Array], volumes: Set[str]) -> MeasuredStreams:
        """Both streams of a point: coolant is the hot one, air the cold one."""
        return MeasuredStreams.of(self.coolant.state, lambda T: air_state(T, self.pressure, np.zeros(1)), x, volumes)


@dataclass(frozen=True, eq=False)
class MeasuredStreams:
    """Both streams of a measured point: what flows, what it can carry, and the heat that it gives off or takes up."""

    hot: Array  # kg/s
    cold: Array  # kg/s
    hot_mean: Fluid  # at the mean of its temperatures
    cold_mean: Fluid  # at the mean of its own
    rho_in: Array  # kg/m3, of the cold stream as it enters
    C_hot: Array  # W/K
    C_cold: Array  # W/K
    heat_hot: Array  # W
    heat_cold: Array  # W
    heat_most: Array  # W, that any exchanger passes on at these flows and inlets: Cmin times the inlets' difference
    rho_hot_in: Array  # kg/m3, of the hot stream as it enters
    V_hot: Array | None  # m3/s, where the hot flow was given by volume
    V_cold: Array | None  # m3/s, where the cold flow was

    @classmethod
    def of(cls, hot_state: StateOf, cold_state: StateOf, x: Mapping[str, Array], volumes: Set[str]) -> MeasuredStreams:
        """From the measured numbers, named as in ``MEASURED``; ``volumes`` names the flows given by volume."""
        at_inlet = hot_state(x["hot_in"])
        mean = hot_state(0.5 * (x["hot_in"] + x["hot_out"]))
        rho_in = cold_state(x["cold_in"]).rho
        cold_mean = cold_state(0.5 * (x["cold_in"] + x["cold_out"]))
        hot = x["hot_flow"] * (at_inlet.rho if "hot_flow" in volumes else 1.0)
        cold = x["cold_flow"] * (rho_in if "cold_flow" in volumes else 1.0)
        C_hot = np.maximum(hot * mean.cp, 1e-9)
        C_cold = np.maximum(cold * cold_mean.cp, 1e-9)
        return cls(
            hot,
            cold,
            mean,
            cold_mean,
            rho_in,
            C_hot,
            C_cold,
            C_hot * (x["hot_in"] - x["hot_out"]),
            C_cold * (x["cold_out"] - x["cold_in"]),
            np.minimum(C_hot, C_cold) * (x["hot_in"] - x["cold_in"]),
            at_inlet.rho,
            x["hot_flow"] if "hot_flow" in volumes else None,
            x["cold_flow"] if "cold_flow" in volumes else None,
        )

    @property
    def effectiveness(self) -> Array:
        """Mean of both heats over the most that any exchanger passes on [-]."""
        return np.asarray(0.5 * (self.heat_hot + self.heat_cold) / self.heat_most)


@dataclass(frozen=True, eq=False)
class MeasuredPoint:
    """What follows from the measured numbers alone; arrays over whatever the numbers are given for."""

    streams: MeasuredStreams
    flows: CoreFlows
    heat_hot: Array
    heat_cold: Array
    effectiveness: Array
    UA: Array
    NTU: Array
    T_hot_out: Array
    T_cold_out: Array
    possible: bool

    @classmethod
    def of(cls, core: PreparedCore, of: MeasuredSetup, x: Mapping[str, Array], volumes: Set[str]) -> MeasuredPoint:
        """Heats from both sides; effectiveness and UA from their mean."""
        s = of.streams(x, volumes)
        T_film = 0.25 * (x["hot_in"] + x["hot_out"] + x["cold_in"] + x["cold_out"])
        film = air_state(T_film, of.pressure, np.zeros(1))
        eps = s.effectiveness
        size = conductance_from_effectiveness(eps, s.C_hot, s.C_cold, of.arrangement, core.geometry.passes)
        flows = CoreFlows(
            air=Fluid(s.rho_in, film.cp, film.k, film.mu),
            coolant=s.hot_mean,
            air_velocity=s.cold / (s.rho_in * core.face),
            coolant_mass_flow=s.hot,
            T_air_in=x["cold_in"],
            T_coolant_in=x["hot_in"],
        )
        return cls(
            s,
            flows,
            s.heat_hot,
            s.heat_cold,
            eps,
            size.UA,
            size.UA / np.minimum(s.C_hot, s.C_cold),
            x["hot_out"],
            x["cold_out"],
            bool(np.all(size.status == Attainable.YES)),
        )


def setup_of(case: Case, coolant: CoolantMixture, arrangement: Arrangement) -> MeasuredSetup:
    """The setup of a case's points: they are measured at the altitude of its first duty."""
    return MeasuredSetup(coolant, arrangement, pressure_at_altitude(case.duties[0].altitude))


def by_volume(case: Case, path: str) -> set[str]:
    """Which flows of a point were given by volume; they count as they enter."""
    return {name for name in ("hot_flow", "cold_flow") if case.given[f"{path}.{name}"].kind != "mass flow"}


def measured_scale(case: Case, core: PreparedCore, of: MeasuredSetup) -> Array | None:
    """The factor [-] on the conductance from dimensions that the measured points ask for.

    The geometric mean over the points that some conductance explains; None where there is none.
    """
    factors = []
    for i, point in enumerate(case.rig):
        x = {name: getattr(point, name) for name in MEASURED}
        found = MeasuredPoint.of(core, of, x, by_volume(case, f"rig[{i}]"))
        if found.possible:
            factors.append(found.UA / evaluate(core, found.flows, of.arrangement).UA_geometry)
    if not factors:
        return None
    logs = [np.log(f) for f in np.broadcast_arrays(*factors)]
    return np.asarray(np.exp(np.mean(logs, axis=0)))
