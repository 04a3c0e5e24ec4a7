"""What limits a hot duty: the air, its flow, the coolant, or heat that the engine stored in what ran before it."""

from __future__ import annotations

import numpy as np

from engcalc.system.state import OperatingPoint
from engcalc.verdict import Finding, FindingCode, FindingLevel

HOTTER = 1.0  # K; by which a peak is more than settled
LARGE_NTU = 2.0  # -; above it a core already takes most of what its air can carry: more air is what would help


def what_limits(point: OperatingPoint, limit: float, peak: float | None = None) -> Finding | None:
    """Where a hot duty is short: heat handed and given off at the limit [W], and where the resistance lies.

    At the limit the radiator gives off what it does now in proportion to coolant over air in: the least that it does
    where the coolant settles below the limit, for hotter the thermostat opens further. None where it gives none.
    ``peak`` [K] is what a duty gets to in its time, where that counts: where it is hotter than the duty would settle,
    and the radiator could give off more at the limit than it gets, stored heat is what makes it hot.
    """
    heat = float(point.radiator_heat[0])
    air_in = float(point.air_in[0])
    out = float(point.coolant_out[0])
    if heat <= 0.0 or out - air_in < 1.0:
        return None
    shares = {name: float(np.ravel(share)[0]) for name, share in point.core.shares.items()}
    NTU = float(np.ravel(point.core.NTU)[0])
    short_of_air = NTU > LARGE_NTU and _air_is_less(point)
    handed = heat + max(float(point.energy_residual[0]), 0.0)
    given_at_limit = heat * (limit - air_in) / (out - air_in)
    stored = peak is not None and peak > out + HOTTER and given_at_limit > handed
    core_side = "airflow" if short_of_air else "air side" if shares["air"] >= 0.5 else "coolant side"
    return Finding(
        FindingCode.WHAT_LIMITS,
        FindingLevel.NOTE,
        {
            "handed": handed,
            "given_at_limit": given_at_limit,
            "air_share": shares["air"],
            "coolant_share": shares["coolant"],
            "NTU": NTU,
            "air_in": air_in,
            "air_velocity": float(point.air_velocity[0]),
            "radiator_flow": float(point.radiator_mass_flow[0]),
            "effectiveness": float(np.ravel(point.core.effectiveness)[0]),
        },
        {"limiting": "stored" if stored else core_side},
    )


def _air_is_less(point: OperatingPoint) -> bool:
    """Whether the air takes up less heat per kelvin than the coolant gives."""
    streams = point.core.exchange
    return bool(np.ravel(streams.C_cold < streams.C_hot)[0])
