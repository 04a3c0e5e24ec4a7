"""The times to temperature of one record as a table: measured, as described, healthy and fitted. No Qt."""

from __future__ import annotations

import numpy as np

from engcalc.system.in_time.warmed import crossing
from engcalc.units import UnitSystem
from engcalc.vehicle.warmup_study import BAND, TIMES_TO, RecordStudy
from engcalc.words.terms.numbers import minutes, temperature
from engcalc.words.texts import view_texts
from ui.window.results.table import TableText

HEADS = ("Reached", "Measured", "As described", view_texts.HEALTHY_VEHICLES_5_TO_95, "Fitted")
NEVER = "never"


def times_table(record: RecordStudy, system: UnitSystem) -> TableText:
    """One row for each temperature; times in minutes from the engine's start."""
    return TableText(HEADS, tuple(_row(record, T, system) for T in TIMES_TO), words_columns=1)


def _row(record: RecordStudy, T: float, system: UnitSystem) -> tuple[str, ...]:
    measured = "–" if record.measured is None else _minutes(record.measured.time_to[T])
    fitted = record.fitted
    low, high = np.quantile(record.band.times_to[T], (BAND[0], BAND[-1]), method="higher")
    return (
        temperature(T, system),
        measured,
        _about(float(record.nominal.time_to(T)[0])),
        NEVER if not np.isfinite(low) else f"{_about(float(low))} to {_about(float(high))}",
        "–" if fitted is None else _about(crossing(fitted.warmup.time, fitted.sensor, T)),
    )


def _about(seconds: float) -> str:
    """A computed time: no more digits than it deserves."""
    return minutes(seconds) if np.isfinite(seconds) else NEVER


def _minutes(seconds: float | None) -> str:
    return NEVER if seconds is None or not np.isfinite(seconds) else f"{seconds / 60.0:.1f} min"
