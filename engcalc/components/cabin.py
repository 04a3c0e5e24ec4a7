"""Cabin: the steady temperature at which what the heater brings equals what leaves.

Fresh air comes in at ambient and leaves at cabin temperature; recirculated air goes round. With theta for the cabin
over ambient, Theta for the coolant over ambient, G [W/K] heat of the heater per kelvin between coolant and core air,
x the share of fresh air and C [W/K] the capacity rate of the blower's air:

    G [Theta - (1 - x) theta] + Q_aux = (UA + x C) theta,  so  theta = (G Theta + Q_aux)/(UA + x C + (1 - x) G)

First-law balance of a mixed room; ISO 13790 (2008), section 9, has the same terms.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engcalc.case.sections import Sections
from engcalc.units import Array

_NO_LOSS = 1e-9  # W/K; a cabin that loses less than this stays at ambient where nothing heats it
HIGHEST_OVER_AMBIENT = 80.0  # K; an auxiliary heater in a cabin without loss is answered as this


@dataclass(frozen=True, eq=False)
class PreparedCabin:
    """What of a cabin no duty changes."""

    heat_loss: Array  # W/K
    volume: Array  # m3
    target: Array  # K


def prepare_cabin(case: Sections) -> PreparedCabin:
    """The cabin of a case."""
    return PreparedCabin(case.cabin.heat_loss, case.cabin.volume, case.cabin.target)


def steady_cabin(
    cabin: PreparedCabin,
    ambient: Array,
    T_coolant: Array,
    conductance: Array,
    capacity: Array,
    fresh_share: Array,
    auxiliary: Array,
) -> Array:
    """Cabin temperature [K] that stays.

    ambient, T_coolant [K]; ``conductance`` G [W/K] heat per kelvin between coolant and core air; ``capacity`` C [W/K]
    of the blower's air; ``fresh_share`` x [-]; ``auxiliary`` Q_aux [W] into the air. All broadcast over the members.
    """
    brought = conductance * (T_coolant - ambient) + auxiliary
    leaves = cabin.heat_loss + fresh_share * capacity + (1.0 - fresh_share) * conductance
    theta = brought / np.maximum(leaves, _NO_LOSS)
    most = np.maximum(T_coolant - ambient, HIGHEST_OVER_AMBIENT)
    return np.asarray(ambient + np.minimum(theta, most))
