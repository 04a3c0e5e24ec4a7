"""What an earlier record leaves of a vehicle's unknowns: moments against a sample, and how much may have changed."""

from __future__ import annotations

import numpy as np
import pytest

from engcalc.vehicle.own_prior import OwnPrior, Place, changed_since
from engcalc.vehicle.unknowns import Effect, Unknown

MEAN = np.array([0.8, -0.4, 0.2])
COVARIANCE = np.array([[0.3, 0.1, 0.0], [0.1, 0.5, -0.2], [0.0, -0.2, 0.9]])
KEYS = ("heat", "capacity", "sensor")


def unknown(key: str, spread: float = 0.07, *, of_record: bool = False) -> Unknown:
    return Unknown(key, key, spread, Effect.CASE, of_record=of_record)


def prior(changed: float, heat: float = 0.07) -> OwnPrior:
    return OwnPrior(KEYS, (heat, 0.07, 1.0), {"outlet": Place(MEAN, COVARIANCE)}, changed)


HERE = (
    unknown("sensor", 1.0),
    unknown("new"),
    unknown("heat"),
    unknown("capacity"),
    unknown("ambient", of_record=True),
)


def test_the_law_is_that_of_vehicles_that_changed_a_little():
    """Against a sample: vehicles by the earlier record, each then moved as the autoregression of the docstring says."""
    rng = np.random.default_rng(5)
    then = rng.multivariate_normal(MEAN, COVARIANCE, 400_000)
    now = np.sqrt(0.7) * then + np.sqrt(0.3) * rng.standard_normal(then.shape)
    z = prior(0.3).carried(HERE, "outlet").z(rng.standard_normal((400_000, 5)))
    asked = z[:, [2, 3, 0]]  # heat, capacity, sensor
    np.testing.assert_allclose(asked.mean(axis=0), now.mean(axis=0), atol=0.01)  # 4 standard errors
    np.testing.assert_allclose(np.cov(asked.T), np.cov(now.T), atol=0.012)
    others = z[:, [1, 4]]
    np.testing.assert_allclose(others.mean(axis=0), 0.0, atol=0.01)
    np.testing.assert_allclose(np.cov(others.T), np.eye(2), atol=0.012)


def test_where_all_may_have_changed_the_class_is_left():
    found = prior(1.0).carried(HERE, "outlet")
    np.testing.assert_array_equal(found.mean, 0.0)
    np.testing.assert_array_equal(found.root, np.eye(5))
    assert prior(1.0).bits(HERE, "outlet") == 0.0
    assert prior(1.0).narrowest(HERE, "outlet") is None


def test_a_side_that_the_record_does_not_tell_of_stays_as_the_class_has_it():
    np.testing.assert_array_equal(prior(0.2).carried(HERE, "inlet").root, np.eye(5))


def test_of_heat_only_the_vehicles_own_part_is_carried():
    """What nobody noted of the load is the record's: of a spread of 0.14 half is its own, a quarter comes over."""
    now = (unknown("heat", 0.14), unknown("capacity"))
    found = prior(0.0, heat=0.14).carried(now, "outlet")
    np.testing.assert_allclose(found.mean, [0.25 * 0.8, -0.4])
    variance = (found.root**2).sum(axis=1)
    np.testing.assert_allclose(variance, [1.0 - 0.25**2 * 0.7, 0.5])


def test_bits_and_the_narrowest():
    alone = OwnPrior(("capacity",), (0.07,), {"outlet": Place(np.zeros(1), np.full((1, 1), 1 / 16))}, 0.0)
    assert alone.bits((unknown("capacity"),), "outlet") == pytest.approx(2.0)
    which, width = alone.narrowest(HERE, "outlet")
    assert (which.key, width) == ("capacity", pytest.approx(0.25))


@pytest.mark.parametrize(
    ("days", "share"), [(None, 0.6), (0.0, 0.2), (-40.0, 0.2), (365.25, 0.3), (3 * 365.25, 0.5), (40_000.0, 1.0)]
)
def test_how_much_may_have_changed(days, share):
    assert changed_since(days) == pytest.approx(share)
