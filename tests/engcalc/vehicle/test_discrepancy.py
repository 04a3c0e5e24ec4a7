"""What the model may be wrong by: written out by hand, and that fits and odds take theirs from the one model."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import exp

import numpy as np
import pytest

from engcalc.diagnosis.evidence.likelihood import Likelihood
from engcalc.diagnosis.evidence.observations import PLACES, Observed, ReadingGroup
from engcalc.diagnosis.evidence.reading_vector import SCALES
from engcalc.units import Array
from engcalc.vehicle import discrepancy as module
from engcalc.vehicle.discrepancy import ABSORBED_BY_A_FIT, Part, ReadAt, discrepancy, noise_of
from engcalc.vehicle.fit import HandReadings, sight_of

CURVE = np.array([60.0, 180.0, 420.0, 1200.0])  # s
HOSE = PLACES["upper_hose"]
HOSE_AT, HOSE_NOISE = 700.0, 2.0  # s, K
TIMES = (*CURVE, HOSE_AT)
SHARES = (1.0, 1.0, 1.0, 1.0, 0.8)
ERRORS = (0.0, 0.0, 0.0, 0.0, 5.0)  # K
ADDED = (3.0, 1.0)  # K, in the first two minutes
READ = ReadAt(np.array(TIMES), np.array(SHARES), np.array(ERRORS))


def quick(i: int, j: int) -> float:
    """3 K grown with 300 s, forgotten with 300 s."""
    grown = [SHARES[k] * 3.0 * (1.0 - exp(-TIMES[k] / 300.0)) for k in (i, j)]
    return grown[0] * grown[1] * exp(-abs(TIMES[i] - TIMES[j]) / 300.0)


def slow(i: int, j: int) -> float:
    """Half as much again: a shift that grows with 600 s, and half of its variance one that comes and goes."""
    x = [TIMES[k] / 600.0 for k in (i, j)]
    grows = (1.0 - exp(-x[0])) * (1.0 - exp(-x[1]))
    passes = x[0] * exp(1.0 - x[0]) * x[1] * exp(1.0 - x[1])
    return 4.5**2 * SHARES[i] * SHARES[j] * (grows + 0.5 * passes)


def load(i: int, j: int) -> float:
    """What each minute added, forgotten with 400 s, beside its neighbour's with a memory of 300 s."""
    total = 0.0
    for u, first in ((60.0, 3.0), (120.0, 1.0)):
        for w, second in ((60.0, 3.0), (120.0, 1.0)):
            if u <= TIMES[i] and w <= TIMES[j]:
                left = first * exp(-(TIMES[i] - u) / 400.0) * second * exp(-(TIMES[j] - w) / 400.0)
                total += SHARES[i] * SHARES[j] * left * exp(-abs(u - w) / 300.0)
    return total


def table(*parts: Callable[[int, int], float]) -> Array:
    """Covariance [K2] of some parts, with each place's own error."""
    n = range(len(TIMES))
    rows = [[sum(part(i, j) for part in parts) + (ERRORS[i] ** 2 if i == j else 0.0) for j in n] for i in n]
    return np.array(rows)


BY_HAND = {Part.QUICK: quick, Part.SLOW: slow, Part.LOAD: load}


@pytest.mark.parametrize(
    "absorbed", [(), ABSORBED_BY_A_FIT, *((part,) for part in Part)], ids=["odds", "fit", *(p.name for p in Part)]
)
def test_each_part_is_that_of_the_text(absorbed: tuple[Part, ...]) -> None:
    left = [of_part for part, of_part in BY_HAND.items() if part not in absorbed]
    assert discrepancy(READ, ADDED, absorbed) == pytest.approx(table(*left), rel=1e-12)


def test_it_is_nothing_at_the_known_start_but_for_the_places_own_error() -> None:
    begin = replace(READ, time=np.zeros(len(TIMES)))
    assert discrepancy(begin, ADDED) == pytest.approx(np.diag(np.square(ERRORS)))


def of_the_fit() -> Array:
    """The covariance by which a fit weighs a curve and a reading by hand."""
    at = ReadAt(np.array([HOSE_AT]), np.array([HOSE.share]), np.array([HOSE.error]))
    sight = sight_of(CURVE, np.full(4, 320.0), HandReadings(at, np.array([310.0]), np.array([HOSE_NOISE])))
    return np.asarray(np.linalg.inv(sight.whiten.T @ sight.whiten))


def of_the_odds(scale: float) -> Array:
    """The covariance by which the odds weigh the same, at one scale of the discrepancy [K]."""
    times = tuple(CURVE.tolist())
    curve = ReadingGroup("curve", "coolant curve", PLACES["sensor"], times, (320.0,) * 4, 1.5)
    hose = ReadingGroup("spots[0]", "upper_hose", HOSE, (HOSE_AT,), (310.0,), HOSE_NOISE)
    vector = Likelihood(Observed((curve, hose), (), (), ADDED)).vector
    inverse = vector.inverse[int(np.argmin(np.abs(SCALES - scale)))]
    return np.asarray(np.linalg.inv(inverse.T @ inverse))


NOISES = np.array([1.5, 1.5, 1.5, 1.5, HOSE_NOISE])  # K


def test_a_fit_takes_the_quick_part_at_its_usual_size() -> None:
    assert of_the_fit() == pytest.approx(table(quick) + np.diag(NOISES**2 + 1.0 / 12.0), rel=1e-9)


@pytest.mark.parametrize("scale", [1.05, 3.3, 9.0])
def test_odds_take_every_part_at_each_scale(scale: float) -> None:
    whole = (scale / 3.0) ** 2 * table(quick, slow, load) + np.diag(NOISES**2 + 1.0 / 12.0)
    assert of_the_odds(scale) == pytest.approx(whole, rel=1e-9)


def test_fit_and_odds_differ_by_what_the_fit_absorbs_and_nothing_else() -> None:
    fitted = of_the_fit() - noise_of(NOISES)
    weighed = (of_the_odds(3.3) - noise_of(NOISES)) / 1.1**2
    absorbed = table(slow, load) - np.diag(np.square(ERRORS))
    assert weighed - fitted == pytest.approx(absorbed, abs=1e-9)


@pytest.mark.parametrize(("name", "value"), [("DISCREPANCY", 4.0), ("CORRELATION", 200.0), ("ROUNDING", 1.0)])
def test_a_number_of_the_model_moves_both(name: str, value: float, monkeypatch: pytest.MonkeyPatch) -> None:
    before = of_the_fit(), of_the_odds(3.3)
    monkeypatch.setattr(module, name, value)
    after = of_the_fit(), of_the_odds(3.3)
    for was, now in zip(before, after, strict=True):
        assert np.abs(now - was).max() > 0.1
