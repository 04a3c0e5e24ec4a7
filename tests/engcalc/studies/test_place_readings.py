"""Readings at hoses and vents: which of them tell something beside healthy vehicles."""

from __future__ import annotations

import pytest

from engcalc.studies.readings import FAR_APART, PlaceReading


def reading(low: float, high: float, healthy: tuple[float, float]) -> PlaceReading:
    middle = 0.5 * (low + high)
    return PlaceReading("evidence.before.spots[0]", "before", "upper_hose", 360.0, middle, middle, low, high, *healthy)


@pytest.mark.parametrize(
    ("low", "high", "healthy", "tells"),
    [
        (285.0, 295.0, (266.0, 356.0), False),  # amid vehicles whose valve sits at either side
        (285.0, 295.0, (280.0, 330.0), True),  # 50 K apart
        (285.0, 295.0, (280.0, 330.1), False),
        (266.0, 276.0, (266.0, 356.0), False),
        (265.9, 275.9, (266.0, 356.0), True),  # it may lie below all of them
        (350.0, 356.1, (266.0, 356.0), True),
    ],
)
def test_a_reading_amid_healthy_vehicles_far_apart_tells_nothing(
    low: float, high: float, healthy: tuple[float, float], tells: bool
) -> None:
    assert FAR_APART == 50.0  # K; our own bound
    assert reading(low, high, healthy).tells is tells
