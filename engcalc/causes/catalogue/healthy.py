"""No fault at all."""

from __future__ import annotations

from engcalc.causes.record import Cause

HEALTHY = Cause(
    key="healthy",
    place=10,
    label="No fault that these readings would show",
    per_cent={
        "screening": 92.0,
        "no heat": 12.0,
        "slow warm-up": 18.0,
        "hot at idle": 8.0,
        "hot at speed": 8.0,
        "loss of coolant": 8.0,
    },
    note="A small engine idling in frost with the heater on stays cold without any fault.",
)
