"""Warm-ups of one vehicle over its visits: taken as measured, and what has changed from the first to the last."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.outcomes import Outcome
from engcalc.units import UnitSystem
from engcalc.vehicle.earlier import (
    LIKE_START,
    EarlierVisit,
    LeftOpen,
    MeasuredRun,
    opening_drift,
    spots_read,
    time_drift,
)
from engcalc.vehicle.warmup_study import TIMES_TO
from engcalc.words.diagnosis.history_words import LEAST_DRIFT, NO_OTHER_VISIT, NO_RUN, history_lines, history_table
from reports.plots.earlier import MOST_RUNS, earlier_runs, openings_over_visits, times_over_visits

COLD = 268.15  # K


def visit(job: int, *times: float | None, start: float = COLD, ambient: float = COLD) -> EarlierVisit:
    """A visit whose run reached the three temperatures after these times [s]."""
    time = np.array([0.0, 600.0, 1200.0])
    to = dict(zip(TIMES_TO, times, strict=True))
    run = MeasuredRun("before", time, np.array([start, 320.0, 350.0]), ambient, to)
    return EarlierVisit(job, f"2026-01-{job:02d}", (run,), None)


def test_the_highest_temperature_that_both_reached_counts():
    found = time_drift((visit(1, 300.0, 400.0, 500.0), visit(2, 330.0, 460.0, None)))
    assert (found.longer, found.goal) == (60.0, TIMES_TO[1])


def test_the_first_and_the_last_are_set_side_by_side():
    found = time_drift((visit(1, 300.0, 400.0, 500.0), visit(2, 900.0, 950.0, 999.0), visit(3, 290.0, 390.0, 490.0)))
    assert found.longer == pytest.approx(-10.0)


@pytest.mark.parametrize(("apart", "alike"), [(LIKE_START, True), (LIKE_START + 0.01, False)])
@pytest.mark.parametrize("what", ["start", "ambient"])
def test_starts_that_are_not_alike_are_not_set_side_by_side(apart, alike, what):
    last = visit(2, 330.0, 460.0, 570.0, **{what: COLD + apart})
    assert (time_drift((visit(1, 300.0, 400.0, 500.0), last)) is not None) is alike


def test_one_run_and_runs_that_share_nothing_tell_no_drift():
    assert time_drift((visit(1, 300.0, 400.0, 500.0),)) is None
    assert time_drift((visit(1, 300.0, None, None), visit(2, None, None, None))) is None


@pytest.mark.parametrize(
    ("longer", "said"),
    [
        (LEAST_DRIFT, "takes 1 min longer to 80 °C"),
        (-LEAST_DRIFT, "takes 1 min sooner to 80 °C"),
        (LEAST_DRIFT - 1.0, "has not changed by a minute"),
    ],
)
def test_what_has_changed_is_said(longer, said):
    lines = history_lines((visit(1, 300.0, 400.0, 500.0), visit(2, 300.0, 400.0, 500.0 + longer)), UnitSystem.SI)
    assert said in lines[-1]


def test_a_visit_without_a_curve_and_the_only_visit_say_so():
    lines = history_lines((EarlierVisit(1, "", (), None),), UnitSystem.SI)
    assert lines == [f"Job 1: {NO_RUN}.", NO_OTHER_VISIT]
    assert (
        "the case of job 2"
        in history_lines((EarlierVisit(2, "", (), None, "the case of job 2 is bad"),), UnitSystem.SI)[0]
    )


RECORD = {
    "ambient": "5 degC",
    "spots": [
        {"what": "upper_hose", "value": "warm", "instrument": "hand"},
        {"value": "62 degC", "at": "20 min", "instrument": "scan_tool"},
        {"value": "48 degC", "at": "9 min", "instrument": "scan_tool"},
        {"what": "pressure", "value": "1 bar", "instrument": "pressure_gauge"},
    ],
}


def test_what_was_typed_from_hand_is_told_of_each_visit_in_the_order_of_time():
    """A visit without a log had nothing to say, though somebody had read and typed it."""
    case = resolve(
        CaseText({"format": FORMAT, "evidence": {"before": RECORD, "after": {"spots": [{"value": "88 degC"}]}}})
    )
    spots = spots_read(case)
    assert [spot.at for spot in spots[:2]] == [540.0, 1200.0]
    lines = history_lines((EarlierVisit(3, "2026-02-01", (), None, spots=spots),), UnitSystem.US)
    assert lines[:2] == [
        "Job 3, 2026-02-01: as found: coolant 118.4 °F after 9 min; coolant 143.6 °F after 20 min; "
        "upper radiator hose, by hand: warm; pressure in the system 14.5 psi.",
        "Job 3, 2026-02-01: after the repair: coolant 190.4 °F.",
    ]


def test_the_picture_holds_the_newest_runs_the_newest_first():
    assert earlier_runs((EarlierVisit(1, "", (), None),), UnitSystem.SI) is None
    chart = earlier_runs(tuple(visit(job, 300.0, 400.0, 500.0) for job in range(1, MOST_RUNS + 3)), UnitSystem.US)
    names = [series.name for series in chart.series]
    assert len(names) == MOST_RUNS
    assert names[0].startswith(f"2026-01-{MOST_RUNS + 2:02d}")


# ---- what the valve leaves open -------------------------------------------------------------------------------------


def fitted(job: int, z: float, doubt: float = 0.6, *times: float | None) -> EarlierVisit:
    """A visit whose record was fitted: the logarithm's number and its error."""
    found = visit(job, *(times or (300.0, 400.0, 500.0)))
    left = LeftOpen(0.001, 0.004 * (1.0 + z), 0.02, z, doubt)
    return replace(found, runs=(replace(found.runs[0], left_open=left),))


def test_a_change_of_the_valve_is_told_by_both_fits_errors():
    """Against the normal distribution's table: 1.6449 standard deviations are 95 %."""
    spread = (0.6**2 + 0.8**2) ** 0.5
    found = opening_drift((fitted(1, 0.2), visit(2, 300.0, 400.0, 500.0), fitted(3, 0.2 + 1.6449 * spread, 0.8)))
    assert found.more == pytest.approx(0.95, abs=1e-4)
    assert (found.first.z, found.last.z) == (0.2, 0.2 + 1.6449 * spread)
    assert opening_drift((fitted(1, 0.2), visit(2, 300.0, 400.0, 500.0))) is None


@pytest.mark.parametrize(
    ("last", "said"),
    [(2.0, "passes more than"), (-2.0, "passes less than"), (1.3, "is not shown"), (-1.3, "is not shown")],
)
def test_what_the_valve_does_is_said(last, said):
    assert said in history_lines((fitted(1, 0.0), fitted(2, last)), UnitSystem.SI)[-1]


def test_the_table_has_a_row_for_each_record():
    ended = replace(fitted(2, 0.5, 0.6, 310.0, 405.0, None), outcome=Outcome("low_coolant", "seen", "", "yes"))
    heads, rows = history_table((visit(1, 300.0, 400.0, 500.0, start=335.0), ended), UnitSystem.SI)
    assert len(heads) == len(rows[0]) == len(rows[1])
    assert rows[0][5:] == ("warm at the start", "6.7 min", "8.3 min", "not fitted")
    assert rows[1] == (
        *("2026-01-02 (job 2)", "As found", "The coolant is low", "-5 °C", "-5 °C"),
        *("5.2 min", "6.8 min", "not reached", "0.6 % (0.1 % to 2 %)"),
    )


def test_times_and_openings_are_drawn_over_the_records():
    visits = (fitted(1, 0.0), visit(2, 330.0, None, None), fitted(3, 1.0, 0.6, 360.0, 470.0, None))
    times = times_over_visits(visits, UnitSystem.SI)
    assert [(s.name, s.x.tolist()) for s in times.series] == [("To 60 °C", [1, 2, 3]), ("To 70 °C", [1, 3])]
    assert times.series[0].y.tolist() == pytest.approx([5.0, 5.5, 6.0])  # min
    openings = openings_over_visits(visits, UnitSystem.SI)
    assert openings.series[0].x.tolist() == [1, 3]
    assert openings.x.ticks == times.x.ticks == (1.0, 2.0, 3.0)
    assert openings.series[0].y.tolist() == pytest.approx([0.4, 0.8])  # per cent
    assert openings.bands[0].high.tolist() == pytest.approx([2.0, 2.0])
    assert times_over_visits(visits[1:2], UnitSystem.SI) is None
    assert openings_over_visits(visits[:2], UnitSystem.SI) is None
