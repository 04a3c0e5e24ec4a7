"""Do the odds mean what they say? Claims of the program held against what the jobs turned out to be.

A claim is the cause that the program named first for a job, with its probability, kept before the truth was known. Of
claims between 70 and 80 % some 75 % should come true. The interval is Wilson's for a share (E. B. Wilson, J. Am. Stat.
Assoc. 22 (1927) 209); the logarithmic score is that of I. J. Good (J. R. Stat. Soc. B 14 (1952) 107), in nats, held
against that of the shipped base rates for the same vehicles.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import log, sqrt

CONFIDENCE_Z = 1.959964  # -; standard normal at 97.5 %, for an interval of 95 %; any table of the normal distribution
FEW = 20  # outcomes under which nothing is to be concluded; common practice, no source
LEAST_PROBABILITY = 1e-3  # -; what a cause counts with that was given less, or was held impossible; else one job is all
BANDS = (0.0, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
"""Bounds of the bands in which claims are counted; a claim on a bound belongs to the band above it."""


@dataclass(frozen=True)
class Claim:
    """What the program gave for one job, and what it turned out to be. Probabilities by cause, each summing to 1;
    ``shipped`` are the shipped base rates for the same vehicle."""

    job: int
    odds: Mapping[str, float]
    shipped: Mapping[str, float]
    truth: str

    @property
    def named(self) -> str:
        """The cause that was named first."""
        return max(self.odds, key=lambda key: self.odds[key])

    @property
    def came_true(self) -> bool:
        """Whether it was that cause."""
        return self.named == self.truth


@dataclass(frozen=True)
class ClaimBand:
    """Claims from ``low`` to under ``high``: how many, how many came true, what was claimed in the mean; the 95 %
    interval of the share that comes true."""

    low: float
    high: float
    claims: int
    true: int
    claimed: float
    interval: tuple[float, float]

    @property
    def agrees(self) -> bool:
        """Whether what was claimed lies in the interval."""
        return self.interval[0] <= self.claimed <= self.interval[1]


@dataclass(frozen=True)
class MissedClaim:
    """A claim that did not come true: the job, what was named with its probability, what it was with its own."""

    job: int
    named: str
    probability: float
    truth: str
    truth_probability: float


@dataclass(frozen=True)
class Honesty:
    """All claims against all outcomes.

    ``score`` and ``shipped_score`` are mean log probabilities [nats] of what it turned out to be, 0 at best; ``gain``
    is by how much the odds are ahead of the shipped base rates, ``gain_error`` its standard error. Scores are 0 without
    claims. ``few``: too few outcomes to conclude anything. Misses stand with the most confident first.
    """

    claims: int
    true: int
    claimed: float
    interval: tuple[float, float]
    bands: tuple[ClaimBand, ...]
    score: float
    shipped_score: float
    gain: float
    gain_error: float
    misses: tuple[MissedClaim, ...]
    few: bool


def wilson(true: int, claims: int) -> tuple[float, float]:
    """The 95 % interval of a share of which ``true`` of ``claims`` were seen; 0 to 1 without claims.

    centre = (p + z²/2n) / (1 + z²/n), half width = z sqrt(p(1-p)/n + z²/4n²) / (1 + z²/n): Wilson 1927.
    """
    if claims == 0:
        return 0.0, 1.0
    share = true / claims
    z2 = CONFIDENCE_Z**2
    scale = 1.0 + z2 / claims
    centre = (share + 0.5 * z2 / claims) / scale
    variance = share * (1.0 - share) / claims + 0.25 * z2 / claims**2
    half = CONFIDENCE_Z * sqrt(variance) / scale
    return max(centre - half, 0.0), min(centre + half, 1.0)


def honesty(claims: Sequence[Claim]) -> Honesty:
    """Hold claims against outcomes; one claim a job."""
    n = len(claims)
    true = sum(claim.came_true for claim in claims)
    given = [_log(claim.odds, claim.truth) for claim in claims]
    shipped = [_log(claim.shipped, claim.truth) for claim in claims]
    gains = [a - b for a, b in zip(given, shipped, strict=True)]
    bands = tuple(_band(low, high, claims) for low, high in pairwise(BANDS))
    return Honesty(
        claims=n,
        true=true,
        claimed=_mean([claim.odds[claim.named] for claim in claims]),
        interval=wilson(true, n),
        bands=bands,
        score=_mean(given),
        shipped_score=_mean(shipped),
        gain=_mean(gains),
        gain_error=_error(gains),
        misses=_misses(claims),
        few=n < FEW,
    )


def _band(low: float, high: float, claims: Sequence[Claim]) -> ClaimBand:
    last = high == BANDS[-1]
    inside = [c for c in claims if low <= c.odds[c.named] < high or (last and c.odds[c.named] >= high)]
    true = sum(claim.came_true for claim in inside)
    claimed = _mean([claim.odds[claim.named] for claim in inside])
    return ClaimBand(low, high, len(inside), true, claimed, wilson(true, len(inside)))


def _misses(claims: Sequence[Claim]) -> tuple[MissedClaim, ...]:
    found = [
        MissedClaim(c.job, c.named, c.odds[c.named], c.truth, c.odds.get(c.truth, 0.0))
        for c in claims
        if not c.came_true
    ]
    return tuple(sorted(found, key=lambda miss: (-miss.probability, miss.job)))


def _log(probabilities: Mapping[str, float], truth: str) -> float:
    return log(max(probabilities.get(truth, 0.0), LEAST_PROBABILITY))


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values) if values else 0.0


def _error(values: Sequence[float]) -> float:
    """Standard error of the mean; 0 of fewer than two values."""
    n = len(values)
    if n < 2:
        return 0.0
    mean = _mean(values)
    return sqrt(sum((value - mean) ** 2 for value in values) / (n - 1) / n)
