"""Readings elsewhere than of the coolant: hoses and air from the vents, beside what healthy vehicles show there.

They decide nothing by themselves: the odds weigh them. What the model may be wrong by at a place widens what is
expected of a healthy vehicle there.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from engcalc.case.case import Case
from engcalc.case.instruments import instrument_of
from engcalc.case.reading_words import WORDS
from engcalc.case.records import Spot
from engcalc.diagnosis.evidence.observations import PLACES
from engcalc.diagnosis.evidence.readings import WayDriven, ways_driven
from engcalc.diagnosis.members.simulated import Stop
from engcalc.logs.record import LogRecord
from engcalc.studies.readings import PlaceReading
from engcalc.vehicle.run import records, runs_of

SHOWN_PLACES = ("upper_hose", "lower_hose", "heater_inlet_hose", "heater_outlet_hose", "vent", "cabin")
_NINE_IN_TEN = 1.645  # standard deviations: 5 to 95 %


def check_places(
    case: Case, logs: Mapping[str, LogRecord], members: int, seed: int, cancelled: Stop = None
) -> tuple[PlaceReading, ...]:
    """Every such reading of every record beside ``members`` healthy vehicles of the class. Raises Cancelled."""
    found: list[PlaceReading] = []
    for name, record in records(case).items():
        spots = [(i, spot) for i, spot in enumerate(record.spots) if is_shown(spot)]
        if spots:
            ways = ways_driven(case, runs_of(case, name, logs), members, seed, cancelled)
            found += [_place_reading(ways, name, spot, f"evidence.{name}.spots[{i}]") for i, spot in spots]
    return tuple(found)


def is_shown(spot: Spot) -> bool:
    """Whether a reading is of such a place, by an instrument that is believed there."""
    return spot.what in SHOWN_PLACES and instrument_of(spot) is not None


def _place_reading(ways: tuple[WayDriven, ...], record: str, spot: Spot, path: str) -> PlaceReading:
    place = PLACES[spot.what]
    instrument = instrument_of(spot)
    if instrument is None:
        raise AssertionError("a reading that is refused is not shown")
    at = None if spot.at is None else float(spot.at[0])
    ends = [_expected(way, spot.what, at, place.error) for way in ways]
    as_read = float(spot.value[0])
    u = instrument.uncertainty if spot.uncertainty is None else float(spot.uncertainty[0])
    low = as_read - instrument.bias - _NINE_IN_TEN * u
    high = as_read - instrument.bias + _NINE_IN_TEN * u
    if spot.word is not None:
        band = WORDS[spot.instrument][spot.word]
        low = band.low - instrument.bias
        high = band.high - instrument.bias
    return PlaceReading(
        path=path,
        record=record,
        what=spot.what,
        at=at,
        as_read=as_read,
        measured=as_read - instrument.bias,
        low=low,
        high=high,
        expected_low=min(low for low, _ in ends),
        expected_high=max(high for _, high in ends),
        word=spot.word,
    )


def _expected(way: WayDriven, what: str, at: float | None, error: float) -> tuple[float, float]:
    """Where nine in ten healthy vehicles would be [K]; a reading without a time stands at the end of the run."""
    end = float(way.shown.time[-1])
    time = end if at is None else min(at, end)
    shown = PLACES[what].predict(way.shown, np.array([time]))[0]
    low, middle, high = (float(x) for x in np.quantile(shown, (0.05, 0.5, 0.95)))
    further = _NINE_IN_TEN * error
    below = float(np.hypot(middle - low, further))
    above = float(np.hypot(high - middle, further))
    return middle - below, middle + above
