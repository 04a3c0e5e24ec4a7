"""The repaired van on paper: one sentence and two curves on page one, the records after it, nothing without them."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.diagnosis.repair.before_after import BeforeAfter, compare
from engcalc.studies.check import check
from engcalc.units import UnitSystem
from engcalc.vehicle.run import read_logs
from engcalc.vehicle.warmup_study import study
from reports.build import Options, build
from reports.kinds import Annex, Records, ReportKind
from reports.plots.proof import before_after_chart

FOLDER = Path(worked_examples.__file__).parent
TEXT = read_case(FOLDER / "van-repaired.heatcase.json")
NOW = datetime(2026, 1, 16, 15, 0, tzinfo=UTC)


@cache
def case() -> Case:
    found = resolve(TEXT)
    assert isinstance(found, Case)
    return found


@cache
def records() -> Records:
    found = study(case(), read_logs(case(), FOLDER), members=60, fits=False)
    return Records(found, compare(found))


def both() -> BeforeAfter:
    found = records().both
    assert found is not None
    return found


def pages(with_records: bool, system: UnitSystem = UnitSystem.SI) -> list[str]:
    options = Options(system, records=records() if with_records else None, annex=Annex.FULL)
    pdf = build(check(case(), members=0), TEXT, ReportKind.CUSTOMER, NOW, options).pdf
    read = pypdfium2.PdfDocument(pdf)
    return [" ".join(page.get_textpage().get_text_range().split()) for page in read]


def test_the_two_curves_are_the_records() -> None:
    chart = before_after_chart(both(), UnitSystem.SI)
    for half, series in zip((both().before, both().after), chart.series[1:], strict=True):
        measured = half.study.measured
        assert measured is not None
        assert series.y[[0, -1]] == pytest.approx(measured.T[[0, -1]] - 273.15)
        assert series.x[-1] == pytest.approx(measured.time[-1] / 60.0)
    assert [s.name for s in chart.series[1:]] == ["before", "after"]
    assert chart.series[1].line is not chart.series[2].line  # colour is not the only difference
    assert np.all(chart.bands[0].low <= chart.bands[0].high)


def test_page_one_tells_the_customer_what_changed() -> None:
    first, second, *rest = pages(with_records=True)
    before, after = (round(T - 273.15) for T in (both().change.before, both().change.after))
    assert f"the coolant was at {before} °C before the repair and at {after} °C after it" in second
    assert "Dashed: before. Solid: after." in first
    later = " ".join(rest)
    assert f"That is {round(both().change.after - both().change.before)} K more at the same time" in later
    assert "As found" in later
    assert "After the repair" in later


@pytest.mark.parametrize("lines", [2, 8, 14])
def test_the_curves_shrink_before_they_leave_page_one(lines: int) -> None:
    """A longer complaint leaves less of page one, down to the smallest size that is still read at a glance."""
    longer = TEXT.with_value("job.complaint", "\n".join(f"{i}. It stays cold." for i in range(lines)))
    found = resolve(longer)
    assert isinstance(found, Case)
    pdf = build(check(found, members=0), longer, ReportKind.CUSTOMER, NOW, Options(records=records())).pdf
    first = " ".join(pypdfium2.PdfDocument(pdf)[0].get_textpage().get_text_range().split())
    assert "Dashed: before. Solid: after." in first
    assert f"{lines - 1}. It stays cold." in first


def test_it_follows_the_units_that_were_picked() -> None:
    before, after = (round(1.8 * T - 459.67) for T in (both().change.before, both().change.after))
    assert (
        f"{before} °F before the repair and at {after} °F after it" in pages(with_records=True, system=UnitSystem.US)[1]
    )


def test_without_records_nothing_is_said_of_them() -> None:
    assert "The warm-up" not in " ".join(pages(with_records=False))
