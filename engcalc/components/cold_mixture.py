"""The rich mixture of a cold petrol engine: how much more fuel it takes than its air burns.

Liquid petrol evaporates badly in a cold port and cylinder, so that a control unit injects more of it. Two factors:

    richness = (1 + a(T) (1 - t/30 s)) (1 + w(T) exp(-t/tau(T)))

with a the enrichment after the start and w that of the warm-up, which ends as the control by the oxygen sensor takes
over: the later, the colder. What the air cannot burn leaves as chemical energy with the exhaust: the air limits the
combustion efficiency of a rich mixture (Heywood, Internal Combustion Engine Fundamentals (1988), section 3.5.4, from
memory).

A diesel takes none. Nor do gas fuels: they are gas in a cold engine too (service information on LPG and natural gas,
1988, lemon.leoquadpod.com, "LPG Fuel Systems"). A car on gas that starts on petrol and changes over is not told apart.
E85 counts as petrol; it takes more in frost, of which no number was found.

Valid for port injection with an oxygen sensor. Direct injection of today is stoichiometric within seconds, so that
this is its upper bound; a carburettor's choke stays rich for longer. After a warm start, from 65 degC, there is none.
"""

from __future__ import annotations

import numpy as np

from engcalc.components.engine import CATALYST_AIR
from engcalc.properties.fuel import Fuel
from engcalc.units import Array

ENRICHED = (Fuel.PETROL, Fuel.PETROL_E10, Fuel.ETHANOL_E85)
COOLANT = (253.15, 293.15, 338.15)  # K; -20, 20 and 65 degC: enrichment ends between 60 and 70 degC, from memory
AFTER_START = (0.40, 0.15, 0.0)  # -, at those; printed as 30 to 50 % at -20 and 10 to 20 % at 20 degC, from memory
AFTER_START_TIME = 30.0  # s in which it falls to nothing; 20 to 40 s at 20 degC, from memory
WARM_UP = (0.35, 0.125, 0.0)  # -, at those; 30 to 40 % at -20 and 10 to 15 % at 20 degC, from memory
# In tau the enrichment of the warm-up falls to a third, at 20 degC. A maker's monitor (code P0125, petrol 2.2 L, 1999,
# from below 29 degC) takes it for a fault if the oxygen sensor does not control the mixture by then. With it 90 % of
# what is unburnt in a cold idle comes within 95 s; of 37 cars 90 % of the extra carbon monoxide came within 150 s (Hu,
# Frey, Boroujeni, Atmosphere 14 (2023) 35, abstract).
OPEN_LOOP_TIME = 120.0  # s


def open_loop_time(T_coolant: Array) -> Array:
    """Tau [s] at a coolant temperature [K]: in proportion to the air by which a maker's monitor knows a cold start."""
    temperatures, air = CATALYST_AIR
    return np.asarray(OPEN_LOOP_TIME * np.interp(T_coolant, temperatures, air) / air[-1])


def richness(fuel: Fuel, T_coolant: Array, since_start: Array | float) -> Array:
    """Fuel taken over the fuel that its air burns [-], 1 or more.

    Of an engine with coolant of a temperature [K] and so many seconds after its start; both broadcast. Colder is never
    leaner, later never richer.
    """
    shape = np.broadcast_shapes(np.shape(T_coolant), np.shape(since_start))
    if fuel not in ENRICHED:
        return np.ones(shape)
    fallen = np.maximum(1.0 - np.asarray(since_start) / AFTER_START_TIME, 0.0)
    after_start = np.interp(T_coolant, COOLANT, AFTER_START) * fallen
    warm_up = np.interp(T_coolant, COOLANT, WARM_UP) * np.exp(-np.asarray(since_start) / open_loop_time(T_coolant))
    return np.asarray((1.0 + after_start) * (1.0 + warm_up))
