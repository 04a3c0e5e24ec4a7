"""A cold radiator's content coming back to the engine, by plug flow: an oracle for the warm-up's cells.

The line from the engine's outlet through upper hose, core and lower hose is a queue of small slices that move with the
flow and keep their temperature; metal of the core counts with the coolant in it. The engine is three lumps: hot metal,
coolant, block. Nothing is lost to air. Explicit steps, as small as a slice takes to leave.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
SLICES = 400


@dataclass(frozen=True)
class Engine:
    """Capacities [J/K], conductances to the coolant [W/K], heat into the hot metal [W], temperatures at first [K]."""

    hot: float
    coolant: float
    block: float
    h_hot: float
    h_block: float
    heat: float
    T_hot: float
    T: float
    T_block: float


def returned(engine: Engine, line: float, C_flow: float, T_cold: float, duration: float) -> tuple[Array, Array, Array]:
    """Times [s], engine outlet and return temperature [K] after the valve snaps open at time 0.

    ``line`` [J/K] is the capacity of the whole line, ``C_flow`` [W/K] the coolant's capacity rate in it, everything in
    it at ``T_cold`` [K].
    """
    dt = line / SLICES / C_flow
    queue = deque([T_cold] * SLICES)
    T_hot, T, T_block = engine.T_hot, engine.T, engine.T_block
    steps = int(duration / dt)
    out, back = np.empty(steps), np.empty(steps)
    for k in range(steps):
        arrives = queue.popleft()
        queue.append(T)
        to_coolant, to_block = engine.h_hot * (T_hot - T), engine.h_block * (T - T_block)
        T_hot += dt * (engine.heat - to_coolant) / engine.hot
        T_block += dt * to_block / engine.block
        T += dt * (to_coolant - to_block + C_flow * (arrives - T)) / engine.coolant
        out[k], back[k] = T, arrives
    return dt * np.arange(1, steps + 1), out, back
