"""A fault that the catalogue does not hold: temperatures may then be anything within a wide band of the model's."""

from __future__ import annotations

from engcalc.causes.record import Cause

NOT_IN_LIST = Cause(
    key="not_in_list",
    place=330,
    label="Something that is not in this list",
    per_cent={
        "screening": 0.5,
        "no heat": 4.0,
        "slow warm-up": 4.0,
        "hot at idle": 4.0,
        "hot at speed": 4.0,
        "loss of coolant": 4.0,
    },
    broad=25.0,
)
