"""Checks of the examples, computed once, and the look in force while a test runs."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtWidgets import QApplication

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import SUFFIX, read_case
from engcalc.case.resolve import resolve
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.studies.checked import Check
from engcalc.vehicle.run import read_logs
from ui.window import theme

EXAMPLES = ("van-no-heat", "track-day-car", "tow-and-track", "bench-exchanger")


@pytest.fixture(scope="session")
def examples() -> dict[str, Check]:
    found = {path.name.removesuffix(SUFFIX): path for path in worked_examples.folder().rglob(f"*{SUFFIX}")}
    checks = {}
    for name in EXAMPLES:
        case = resolve(read_case(found[name]))
        assert isinstance(case, Case), case
        checks[name] = check_with_records(case, read_logs(case, found[name].parent), members=20).check
    return checks


@pytest.fixture
def look(qapp: QApplication) -> Iterator[object]:
    """Sets palette and size; afterwards both are as usual again."""
    theme.apply(qapp, theme.Look.LIGHT)
    yield lambda look, percent: theme.apply(qapp, look, percent)
    theme.apply(qapp, theme.Look.LIGHT)
