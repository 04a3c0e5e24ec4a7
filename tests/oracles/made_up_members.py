"""Simulated vehicles with made-up temperatures and states, for tests of what is seen and read in them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import ArrayLike

from engcalc.causes.record import HEALTHY_STATE, VisibleState
from engcalc.diagnosis.members.simulated import Simulated

SERIES = (
    "shown",
    "coolant",
    "upper_hose",
    "lower_hose",
    "heater_in",
    "heater_out",
    "cabin",
    "vent",
    "block",
    "opening",
    "radiator_flow",
    "heater_flow",
    "bypass_flow",
    "fan_speed",
)
TIMES = (0.0, 600.0, 900.0, 1800.0)  # s
AMBIENT = 283.15  # K


def vehicle(degC: Mapping[str, Sequence[ArrayLike]] | None = None, **states: ArrayLike) -> Simulated:
    """Healthy members at 10 degC all over but for what is told: places by their temperatures at TIMES, and states.

    A number counts for all members, an array has one for each.
    """
    told = {**HEALTHY_STATE, **{VisibleState[name]: x for name, x in states.items()}}
    places = {name: [np.asarray(T) + 273.15 for T in temperatures] for name, temperatures in (degC or {}).items()}
    shape = np.broadcast_shapes(
        (1,), *(np.shape(x) for x in [*told.values(), *(T for p in places.values() for T in p)])
    )
    plain = {name: np.full((len(TIMES), *shape), AMBIENT) for name in SERIES}
    read = {name: np.stack([np.broadcast_to(T, shape) for T in temperatures]) for name, temperatures in places.items()}
    marks = {
        "ambient": AMBIENT,
        "start": AMBIENT,
        "preheated": 0.0,
        "rating": 363.15,
        "opens": 361.15,
        "opened": 373.15,
        "fan_wanted": 0.0,
    }
    return Simulated(
        time=np.array(TIMES),
        states={state: np.broadcast_to(np.asarray(x, dtype=float), shape) for state, x in told.items()},
        **{**plain, **read},
        **{name: np.full(shape, T) for name, T in marks.items()},
    )
