"""Readings of the coolant taken by hand: how far instruments read off, how sure they are, what came of a reading."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot
from statistics import NormalDist

from engcalc.case.records import Spot
from engcalc.verdict import Finding, Verdict

GAUGE_MIDDLE = (348.15, 378.15)  # K; 75 to 105 degC: a dash gauge stands still in between; common practice


@dataclass(frozen=True)
class Instrument:
    """How far an instrument reads from the coolant (to be taken off the reading), and its standard uncertainty, K."""

    bias: float
    uncertainty: float


# By instrument and, where it matters, surface. All common practice, no source (see the module's docstring).
INSTRUMENTS: Mapping[tuple[str, str], Instrument] = {
    ("immersed", ""): Instrument(0.0, 1.0),
    ("clamp", ""): Instrument(-3.0, 1.0),  # 2 to 4 K low
    ("infrared", "rubber"): Instrument(-6.5, 2.0),  # 3 to 10 K low
    ("infrared", "painted"): Instrument(-2.0, 1.5),
    ("infrared", "none"): Instrument(-6.5, 3.0),  # surface not noted: a hose is likely
    ("scan_tool", ""): Instrument(0.0, 2.0),
    ("dash_gauge", ""): Instrument(0.0, 8.0),
    ("vent_probe", ""): Instrument(0.0, 3.0),
    ("pressure_gauge", ""): Instrument(0.0, 3.0),
    ("ethylene_scale", ""): Instrument(0.0, 2.0), ("propylene_scale", ""): Instrument(0.0, 2.0)}


@dataclass(frozen=True, eq=False)
class ReadingCheck:
    """One reading of the coolant against healthy vehicles of the class; temperatures in K."""

    path: str
    record: str
    what: str
    at: float | None  # s since the start
    as_read: float
    measured: float  # less the instrument's bias
    uncertainty: float  # standard
    expected_healthy: float
    expected_low: float
    expected_high: float
    explained_by_opening: float | None  # -, valve opening that would settle there
    verdict: Verdict | None
    findings: tuple[Finding, ...]

    @property
    def chance_if_healthy(self) -> float:
        """Probability that a healthy vehicle reads so low or lower: its expected range (5 to 95 %) as a normal spread,
        with the instrument's."""
        spread = (self.expected_high - self.expected_low) / (2.0 * NormalDist().inv_cdf(0.95))
        total = hypot(spread, self.uncertainty)
        middle = 0.5 * (self.expected_low + self.expected_high)
        return NormalDist(middle, total).cdf(self.measured) if total > 0.0 else float(self.measured >= middle)


def instrument_of(spot: Spot) -> Instrument | None:
    """Bias and uncertainty of a spot's instrument; None where its reading is refused."""
    if spot.instrument == "infrared" and spot.surface == "bare_metal":
        return None  # reads tens of kelvin low
    found = INSTRUMENTS.get((spot.instrument, spot.surface))
    return found or INSTRUMENTS[(spot.instrument, "")]
