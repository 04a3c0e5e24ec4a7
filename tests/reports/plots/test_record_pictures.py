"""Pictures of a record and of what causes would show: the numbers in them are the study's and the diagnosis' own."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.odds.diagnosis import Curve
from engcalc.units import UnitSystem
from engcalc.vehicle.warmup_study import RecordStudy, study
from engcalc.words.diagnosis.causes import cause_label
from reports.plots.causes import curves_chart
from reports.plots.describe import Line
from reports.plots.warmup import MOST_POINTS, places_chart, residual_chart, thinned, warmup_chart

TYPED = {
    "vehicle": {"class": "family car"},
    "duties": [{"name": "Town", "vehicle_speed": "50 km/h", "ambient": "5 degC"}],
    "evidence": {
        "before": {
            "ambient": "5 degC",
            "start_temperature": "5 degC",
            "heater_setting": "high",
            "engine_off_phases": "no",
            "block_heater": "no",
            "auxiliary_heater": "none",
            "schedule": [{"vehicle_speed": "50 km/h", "duration": "12 min"}],
            "spots": [
                {"what": "coolant", "at": "10 min", "value": "77 degC"},
                {"what": "vent", "at": "10 min", "value": "30 degC"},
            ],
            "curve": [[0, "5 degC"], [4, "62 degC"], [8, "75 degC"], [12, "79 degC"]],
        }
    },
}


@pytest.fixture(scope="module")
def case() -> Case:
    found = resolve(CaseText({"format": "heatdocket-case/1", **TYPED}))
    assert isinstance(found, Case), found
    return found


@pytest.fixture(scope="module")
def record(case) -> RecordStudy:
    return study(case, {}, members=24).records[0]


def series(plot, name: str):
    return next(s for s in plot.series if s.name == name)


def test_a_record_stands_over_the_band_of_a_healthy_vehicle(record):
    plot = warmup_chart(record, UnitSystem.SI)
    measured = series(plot, "measured")
    np.testing.assert_allclose(measured.x, [0.0, 4.0, 8.0, 12.0])  # as typed
    np.testing.assert_allclose(measured.y, [5.0, 62.0, 75.0, 79.0])
    band = plot.bands[0]
    np.testing.assert_allclose(band.low, record.band.low - 273.15)
    np.testing.assert_allclose(band.high, record.band.high - 273.15)
    assert np.all(band.low <= band.high)
    hand = series(plot, "single readings")
    assert (hand.x.tolist(), hand.line) == ([10.0], Line.NONE)
    assert hand.y[0] == pytest.approx(77.0), "the vent is no coolant temperature"
    assert "The record stays within it" in plot.words.caption
    short = replace(record, measured=replace(record.measured, ends_outside="below"))
    ends = warmup_chart(short, UnitSystem.SI).words.caption
    assert "The record ends below it, not long or far enough to count." in ends
    cold = replace(record, measured=replace(record.measured, leaves_band=300.0, leaves_below=True))
    assert "leaves it below from 5 min on" in warmup_chart(cold, UnitSystem.SI).words.caption


def test_in_us_units_the_same_curve(record):
    measured = series(warmup_chart(record, UnitSystem.US), "measured")
    np.testing.assert_allclose(measured.y, np.array([5.0, 62.0, 75.0, 79.0]) * 1.8 + 32.0)


def test_what_the_fit_leaves(record):
    plot = residual_chart(record, UnitSystem.SI)
    left = plot.series[0]
    np.testing.assert_allclose(left.y, record.fitted.residual)
    assert float(np.sqrt((left.y**2).mean())) == pytest.approx(record.fitted.rms)
    assert plot.y.limits[0] <= 0.0 <= plot.y.limits[1]


def test_without_a_record_the_described_vehicle_is_drawn_and_nothing_is_left_over(case):
    bare = resolve(CaseText({"format": "heatdocket-case/1", **{k: v for k, v in TYPED.items() if k != "evidence"}}))
    found = study(bare, {}, members=8).records[0]
    assert residual_chart(found, UnitSystem.SI) is None
    plot = warmup_chart(found, UnitSystem.SI)
    described = series(plot, "this vehicle as described")
    np.testing.assert_allclose(described.y, found.nominal.sensor[:, 0] - 273.15)
    assert "How it ran, as simulated: the duty Town, held." in plot.words.caption


def test_the_other_places_are_those_of_the_simulation(record):
    plot = places_chart(record, UnitSystem.SI)
    names = [s.name for s in plot.series]
    assert names == [
        "coolant",
        "upper hose",
        "lower hose",
        "heater hose, inlet",
        "heater hose, outlet",
        "vent",
        "cabin",
    ]
    np.testing.assert_allclose(series(plot, "vent").y, record.nominal.vent[:, 0] - 273.15)


def test_long_series_are_thinned_with_their_ends():
    t = np.arange(10_000.0)
    x, y = thinned(t, 2.0 * t)
    assert x.size == y.size <= MOST_POINTS
    assert (x[0], x[-1]) == (0.0, 9999.0)
    np.testing.assert_array_equal(y, 2.0 * x)


def test_causes_are_drawn_with_their_ranges_over_what_was_measured(case):
    time = np.linspace(0.0, 720.0, 13)
    curves = tuple(
        Curve(fault, time, middle - 4.0, middle, middle + 6.0)
        for fault, middle in (("healthy", 280.0 + time / 10.0), ("thermostat_stuck_open", 280.0 + time / 15.0))
    )
    record = case.evidence.before

    unnamed = replace(curves[1], fault="lower_hose_collapses")
    odds = (("thermostat_stuck_open", 0.6), ("healthy", 0.39), ("lower_hose_collapses", 0.01))
    found = SimpleNamespace(  # what the picture needs of a diagnosis
        case=case,
        record="before",
        causes=[SimpleNamespace(fault=fault, probability=p) for fault, p in odds],
        curves=(*curves[::-1], unnamed),
        measured=(np.array([0.0, 240.0]), np.array([278.15, 298.15])),
    )
    plot = curves_chart(found, record, UnitSystem.SI)
    assert [s.name for s in plot.series] == [cause_label("thermostat_stuck_open"), cause_label("healthy"), "measured"]
    for curve, band in zip(curves[::-1], plot.bands, strict=True):
        np.testing.assert_allclose(band.high - band.low, 10.0)
        np.testing.assert_allclose(band.low, curve.low - 273.15)
    np.testing.assert_allclose(plot.series[-1].x, [0.0, 4.0, 10.0])  # the curve's two, and the reading by hand
    np.testing.assert_allclose(plot.series[-1].y, [5.0, 25.0, 77.0])
