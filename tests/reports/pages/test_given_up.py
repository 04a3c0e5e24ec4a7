"""A report that nobody waits for is given up between its sections, and within the studies that take seconds."""

from __future__ import annotations

import inspect
from datetime import datetime
from typing import Any

import pytest

from engcalc.errors import Cancelled
from engcalc.units import UnitSystem
from reports.build import Options, build, export_report, working_pages
from reports.kinds import Annex, Order, ReportKind
from reports.pages.mending import options_part, sensitivity_part
from reports.pages.spread import spread_tables

pytestmark = pytest.mark.fresh  # a study that is known already asks nobody
FULL = Options(annex=Annex.FULL)


def test_it_is_given_up_between_two_sections(example: Any, moment: datetime) -> None:
    one, asked = example("van-no-heat"), []

    def cancelled() -> bool:
        asked.append(inspect.stack(0)[2].function)
        return len(asked) == 3

    with pytest.raises(Cancelled):
        build(one.check, one.text, ReportKind.CUSTOMER, moment, FULL, cancelled=cancelled)
    assert asked == ["_flowables_of"] * 3


@pytest.mark.parametrize("part", [spread_tables, options_part, sensitivity_part])
def test_its_studies_are_stopped_with_it(part: Any, example: Any, moment: datetime) -> None:
    check = example("tow-and-track").check
    order = Order(check, ReportKind.SIZING, moment, UnitSystem.SI, False, None, None, "test", cancelled=lambda: True)
    with pytest.raises(Cancelled):
        part(order, 400.0)


def test_no_page_is_composed_of_what_nobody_waits_for(example: Any, moment: datetime) -> None:
    one, asked = example("bench-exchanger"), []

    def cancelled() -> bool:
        asked.append(inspect.stack(0)[2].function)
        return asked[-1] == "build"

    with pytest.raises(Cancelled):
        build(one.check, one.text, ReportKind.CUSTOMER, moment, cancelled=cancelled)
    assert asked.index("build") == len(asked) - 1


def test_nothing_is_written_and_no_working_is_made(example: Any, moment: datetime, tmp_path: Any) -> None:
    one, path = example("bench-exchanger"), tmp_path / "report.pdf"
    with pytest.raises(Cancelled):
        export_report(one.check, one.text, ReportKind.LESSON, path, now=moment, cancelled=lambda: True)
    with pytest.raises(Cancelled):
        working_pages(one.check, one.text, moment, UnitSystem.SI, lambda: True)
    assert not path.exists()
