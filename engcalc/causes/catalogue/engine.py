"""The engine as the source of the heat."""

from __future__ import annotations

import numpy as np

from engcalc.causes.history import History
from engcalc.causes.record import CaseChange, Cause, SeverityPrior
from engcalc.units import Array

RATED_MOST = 0.75  # -; of the fuel's heat that can go to the coolant at the rated point; common practice, no source
IDLE_MOST = 0.9  # -; the same at idle


def _more_when_rated(here: Array, s: Array) -> Array:
    return np.minimum(here * s, RATED_MOST)


def _more_at_idle(here: Array, s: Array) -> Array:
    return np.minimum(here * s, IDLE_MOST)


EXCESS_HEAT = Cause(
    key="excess_heat",
    place=320,
    label="The engine gives off more heat than it should",
    per_cent={"hot at idle": 1.0, "hot at speed": 3.0},
    severity=SeverityPrior("heat into the coolant, times", "number", median=1.6, spread=0.25, low=1.15, high=3.0),
    changes=(
        CaseChange("engine.coolant_share_rated", _more_when_rated),
        CaseChange("engine.coolant_share_idle", _more_at_idle),
    ),
    history=History(sudden=0.3, follows={"engine": 0.15}),
    checks=("radiator_hose_pair_hot",),
)
