"""Heater core: effectiveness-NTU from one rated point, and the vent and cabin temperatures that follow.

The rated point (heat, coolant flow, air flow, coolant in over air in) gives an effectiveness and by its inverse the
conductance UA. Away from it the two films change with their flows:

    1/UA = R [s_air (m_air,rated/m_air)^0.6 + (1 - s_air)(m_coolant,rated/m_coolant)^0.15]

0.6 lies within the 0.5 to 0.7 of finned surfaces (Kays & London, Compact Heat Exchangers, 3rd edition, chapter 10).

In the flat tubes of a heater core coolant flows laminar: Reynolds numbers of 500 to 700 at a rated 10 L/min. Developed
laminar flow has one Nusselt number at every flow (Shah & London, Laminar Flow Forced Convection in Ducts, 1978); the
entrance adds what Hausen (1943) gives for it. 0.15 keeps UA within 10 % of that from a tenth of the rated flow to twice
as much, in smooth tubes of 1.2 to 1.8 mm (``test_heater``). So less flow hardly lowers UA: it cools the return instead.
The same film holds 26 to 55 % of the rated resistance of a family car's core, the air the rest. Dimples are left out.

Arrays: float64, members on the last axis, all broadcast.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engcalc.case.sections import Sections
from engcalc.components.cabin import PreparedCabin, prepare_cabin, steady_cabin
from engcalc.components.exchanger import Attainable, NTU_from_effectiveness, multipass
from engcalc.properties.coolant import Base, CoolantMixture
from engcalc.units import Array

AIR_EXPONENT = 0.6  # -; finned surfaces, Kays & London chapter 10: 0.5 to 0.7
COOLANT_EXPONENT = 0.15  # -; laminar flat tube with its entrance, Shah & London 1978 and Hausen 1943
AIR_SHARE = 0.6  # of the rated thermal resistance on the air side; by that film in 22 to 28 tubes, own estimate
RATED_AIR_DENSITY = 1.2  # kg/m3; air of 20 degC at sea level, at which rated air flows are stated; common practice
RATED_AIR_CP = 1006.0  # J/(kg K); dry air at 20 degC, CoolProp 1006.1
RATED_COOLANT_T = 358.15  # K; 85 degC, at which a rated coolant flow is taken by volume; common practice
HIGHEST_NTU = 6.0  # -; size of a core whose rated point asks for more than any size gives
AUXILIARY_RISE = 80.0  # K, by which an auxiliary heater warms its air at most: it limits itself; common practice
_CREEPS = 1e-6  # W/K; air that carries less counts as standing
_STANDING = 1e-9  # -; a flow below this share of the rated one counts as standing


@dataclass(frozen=True, eq=False)
class PreparedHeater:
    """Everything of a heater that no duty changes."""

    UA_rated: Array  # W/K; 0 for no heater
    rated_air: Array  # kg/s
    rated_coolant: Array  # kg/s
    rated_possible: NDArray[np.bool_]  # False: the rated point asks for more than any core gives
    rated_effectiveness: Array  # -
    blower_flow: Array  # m3/s on high
    fresh_air_share: Array  # -
    blend: Array  # -
    auxiliary_heat: Array  # W
    cabin: PreparedCabin


@dataclass(frozen=True, eq=False)
class HeaterFlows:
    """What comes to the heater; arrays over the members."""

    coolant_mass_flow: Array  # kg/s through the core, what the heater valve lets pass
    coolant_cp: Array  # J/(kg K)
    T_coolant_in: Array  # K
    ambient: Array  # K
    air_density: Array  # kg/m3, of the air that the blower takes in
    air_cp: Array  # J/(kg K)
    air_share: Array  # -, of the blower's high flow; 0 is heater off


@dataclass(frozen=True, eq=False)
class HeaterResult:
    """What the heater does; every intermediate is kept."""

    air_flow: Array  # kg/s, all the blower's air
    core_air_flow: Array  # kg/s, through the core
    UA: Array  # W/K
    NTU: Array  # -
    Cr: Array  # -
    effectiveness: Array  # -
    conductance: Array  # W/K, heat per kelvin between coolant in and core air in
    core_air_in: Array  # K
    heat: Array  # W, from the coolant
    auxiliary: Array  # W
    coolant_out: Array  # K
    vent: Array  # K, after blend and auxiliary heat; the cabin's temperature with the blower off
    cabin: Array  # K, steady


def prepare_heater(case: Sections) -> PreparedHeater:
    """The heater of a case, its conductance from the rated point."""
    h = case.heater
    mix = CoolantMixture(Base(case.coolant.base), case.coolant.concentration)
    hot = mix.state(np.full(1, RATED_COOLANT_T))
    air = h.rated_air_flow * RATED_AIR_DENSITY
    coolant = h.rated_coolant_flow * hot.rho
    C_air = air * RATED_AIR_CP
    C_coolant = coolant * hot.cp
    C_min = np.minimum(C_air, C_coolant)
    C_max = np.maximum(C_air, C_coolant)
    eps = h.rated_output / (C_min * h.rated_inlet_difference)
    NTU, possible = _rated_size(eps, C_min / C_max, C_coolant < C_air)
    return PreparedHeater(
        UA_rated=np.where(possible, NTU, HIGHEST_NTU) * C_min,
        rated_air=air,
        rated_coolant=coolant,
        rated_possible=possible,
        rated_effectiveness=eps,
        blower_flow=h.blower_flow,
        fresh_air_share=h.fresh_air_share,
        blend=h.blend,
        auxiliary_heat=h.auxiliary_heat,
        cabin=prepare_cabin(case),
    )


def _rated_size(eps: Array, Cr: Array, coolant_is_min: NDArray[np.bool_]) -> tuple[Array, NDArray[np.bool_]]:
    """NTU [-] of the rated point, and whether a heater can have it.

    One heater stands in many members of an ensemble, with another radiator or in another duty: each is sized once.
    """
    asked = np.stack(np.broadcast_arrays(eps, Cr, coolant_is_min)).astype(np.float64)
    each, place = np.unique(asked, axis=1, return_inverse=True)
    size = NTU_from_effectiveness(each[0], each[1], coolant_is_min=each[2] > 0.0)
    possible = (size.status == Attainable.YES) & (size.NTU <= HIGHEST_NTU)
    return size.NTU[place.ravel()], possible[place.ravel()]


def heater_conductance(heater: PreparedHeater, core_air: Array, coolant: Array) -> Array:
    """UA [W/K] at a core air flow and a coolant flow [kg/s] >= 0; 0 where one of them stands."""
    air_ratio = np.maximum(core_air / heater.rated_air, _STANDING)
    coolant_ratio = np.maximum(coolant / heater.rated_coolant, _STANDING)
    relative = AIR_SHARE * air_ratio**-AIR_EXPONENT + (1.0 - AIR_SHARE) * coolant_ratio**-COOLANT_EXPONENT
    return np.asarray(np.where((core_air > 0.0) & (coolant > 0.0), heater.UA_rated / relative, 0.0))


def auxiliary_given(heater: PreparedHeater, C_air: Array, share: float = 1.0) -> Array:
    """Heat [W] of the auxiliary heater run at a share of its power: no more than the blower's air [W/K] can take."""
    return np.asarray(np.minimum(share * heater.auxiliary_heat, AUXILIARY_RISE * C_air))


def auxiliary_share(coolant_heater: str, noted: str) -> float:
    """Share of its power at which the auxiliary heater in the air ran in a record that noted which heater ran.

    Where one heater is noted and the coolant's is of that kind, the coolant's it was. All of it if nobody noted.

    >>> [auxiliary_share(*pair) for pair in (("none", "electric"), ("fuel-fired", "fuel-fired"), ("none", "none"))]
    [1.0, 0.0, 0.0]
    """
    return float(noted not in ("none", coolant_heater))


def heater_exchange(heater: PreparedHeater, flows: HeaterFlows) -> HeaterResult:
    """Heat from the coolant, vent and steady cabin temperature (closed form, see ``cabin``); no flow: no heat.

    The auxiliary heater gives no more than the blower's air can take.
    """
    air = heater.blower_flow * flows.air_share * flows.air_density
    core_air = air * heater.blend
    C_core = core_air * flows.air_cp
    C_coolant = flows.coolant_mass_flow * flows.coolant_cp
    UA = heater_conductance(heater, core_air, flows.coolant_mass_flow)
    chain = multipass(UA, C_coolant, C_core)
    G = chain.effectiveness * chain.C_min
    C_air = air * flows.air_cp
    auxiliary = auxiliary_given(heater, C_air)
    x = heater.fresh_air_share
    cabin = steady_cabin(heater.cabin, flows.ambient, flows.T_coolant_in, G, C_air, x, auxiliary)
    air_in = flows.ambient + (1.0 - x) * (cabin - flows.ambient)
    heat = G * (flows.T_coolant_in - air_in)
    blows = C_air > _CREEPS
    vent = np.where(blows, air_in + (heat + auxiliary) / np.where(blows, C_air, 1.0), cabin)
    cooled = heat / np.where(C_coolant > 0.0, C_coolant, 1.0)
    return HeaterResult(
        air_flow=air,
        core_air_flow=core_air,
        UA=UA,
        NTU=chain.NTU,
        Cr=chain.Cr,
        effectiveness=chain.effectiveness,
        conductance=G,
        core_air_in=air_in,
        heat=heat,
        auxiliary=auxiliary,
        coolant_out=flows.T_coolant_in - cooled,
        vent=vent,
        cabin=cabin,
    )
