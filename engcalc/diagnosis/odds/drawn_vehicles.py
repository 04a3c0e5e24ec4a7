"""Vehicles drawn from odds as they stand, in which what is still to be looked at or driven is predicted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engcalc.diagnosis.members.simulated import Batch
from engcalc.diagnosis.odds.sampler import POSSIBLE, Draws
from engcalc.units import Array


@dataclass(frozen=True, eq=False)
class DrawnVehicles:
    """Vehicles by hypothesis: the batch that runs them, which of whose draws they are, the number of the cause of each
    and its share of the odds, (members,), summing to 1."""

    batch: Batch
    which: Sequence[tuple[Draws, NDArray[np.int64]]]
    cause: NDArray[np.int64]
    weight: Array


def drawn_vehicles(
    draws: Sequence[Draws], p: Array, members: int, least: int, unknowns: int, rng: np.random.Generator
) -> DrawnVehicles:
    """About ``members`` of them, each hypothesis by its odds ``p`` (draws,).

    Every one that is possible has ``least``, so that a rare one counts by its weight and not by chance. ``unknowns`` of
    the vehicle come first in z. Causes are numbered as they first stand in ``draws``.
    """
    keys = list(dict.fromkeys(d.hypothesis.key for d in draws))
    batch = []
    which = []
    cause = []
    weight = []
    for share, d in zip(p.tolist(), draws, strict=True):
        if share < POSSIBLE:
            continue
        n = max(least, round(members * share))
        chosen = rng.choice(len(d.z), n, p=d.weights()).astype(np.int64)
        batch.append((d.hypothesis, _as_run(d, chosen, unknowns)))
        which.append((d, chosen))
        cause.append(np.full(n, keys.index(d.hypothesis.key)))
        weight.append(np.full(n, share / n))
    weights = np.concatenate(weight)
    return DrawnVehicles(batch, which, np.concatenate(cause), weights / weights.sum())


def _as_run(d: Draws, which: NDArray[np.int64], unknowns: int) -> Array:
    """What some draws are run by: a cause without a trace has the healthy vehicle's, and its own severities."""
    if not d.hypothesis.traceless:
        return d.z[which]
    return np.concatenate((d.z[which][:, :unknowns], d.severity_z[which]), axis=1)
