"""Readings of the coolant taken by hand: what came of each. How far instruments read off stands with the case."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from statistics import NormalDist

from engcalc.verdict import Finding, Verdict


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
    word: str | None = None  # in which it was read: ``as_read`` and ``measured`` are then what the word stands for
    middle_by: float | None = (
        None  # s; from when on the slow ones too keep a gauge in its middle, None: not in this run
    )

    @property
    def chance_if_healthy(self) -> float:
        """Probability that a healthy vehicle reads so low or lower: its expected range (5 to 95 %) as a normal spread,
        with the instrument's."""
        spread = (self.expected_high - self.expected_low) / (2.0 * NormalDist().inv_cdf(0.95))
        total = hypot(spread, self.uncertainty)
        middle = 0.5 * (self.expected_low + self.expected_high)
        if total > 0.0:
            return NormalDist(middle, total).cdf(self.measured)
        return float(self.measured >= middle)


FAR_APART = 50.0  # K; healthy vehicles that lie further apart at a place leave little to be told there; our own bound


@dataclass(frozen=True)
class PlaceReading:
    """A reading elsewhere than of the coolant beside healthy vehicles of the class; temperatures in K.

    ``low`` and ``high`` are where it may lie: 5 and 95 % about a number, the band of a word (infinite at an open end).
    """

    path: str
    record: str
    what: str
    at: float | None  # s since the start
    as_read: float
    measured: float  # less the instrument's bias
    low: float
    high: float
    expected_low: float
    expected_high: float
    word: str | None = None

    @property
    def tells(self) -> bool:
        """Whether it says something beside healthy vehicles: it lies off them, or they lie near one another."""
        within = self.expected_low <= self.low and self.high <= self.expected_high
        return not within or self.expected_high - self.expected_low <= FAR_APART
