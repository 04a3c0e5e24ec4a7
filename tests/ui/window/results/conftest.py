"""Checks of the examples, computed once, and the look in force while a test runs."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtWidgets import QApplication
from told_cases import example_answered

from engcalc.studies.checked import Check
from ui.window import theme

NAMES = ("van-no-heat", "track-day-car", "tow-and-track", "bench-exchanger")


@pytest.fixture(scope="session")
def examples() -> dict[str, Check]:
    return {name: example_answered(name).check for name in NAMES}


@pytest.fixture
def look(qapp: QApplication) -> Iterator[object]:
    """Sets palette and size; afterwards both are as usual again."""
    theme.apply(qapp, theme.Look.LIGHT)
    yield lambda look, percent: theme.apply(qapp, look, percent)
    theme.apply(qapp, theme.Look.LIGHT)
