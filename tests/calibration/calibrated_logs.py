"""Logs of invented family cars by the generator of ``vehicles.py``, which is not the judge's twin."""

from __future__ import annotations

import numpy as np
from vehicles import _drive, _happened, _log_text, _resolved, _until_stopped


def log_of(seed: int, truth: str) -> bytes:
    """The log of one cold start of one car with this truth."""
    rng = np.random.default_rng([seed, 23])
    ambient = float(rng.uniform(-8.0, 22.0))
    side = "inlet" if rng.random() < 0.4 else "outlet"
    case = _resolved(
        {
            "vehicle": {"class": "family car"},
            "job": {"reason": "screening"},
            "thermostat": {"side": side},
            "evidence": {"before": {"ambient": f"{ambient:.1f} degC"}},
        }
    )
    heater = str(rng.choice(["off", "low", "high"]))
    drive, _ = _drive(rng, case, ambient, heater, True, 0.0)
    s = _until_stopped(_happened(rng, case, truth, drive))
    shown = s.shown[:, 0] + wandering(rng, len(s.time)) + rng.normal(0.0, 0.8, len(s.time))
    return _log_text(rng, s, shown, drive)


def wandering(rng: np.random.Generator, samples: int) -> np.ndarray:
    """What the world differs by from the model [K]: from zero at the start, some 1.5 K, 5 min of memory."""
    keep, out = float(np.exp(-30.0 / 300.0)), np.zeros(samples)
    for i in range(1, samples):
        out[i] = keep * out[i - 1] + rng.normal(0.0, 1.5 * np.sqrt(1.0 - keep**2))
    return out
