"""Cases for the studies, made the way a person's file is read."""

from __future__ import annotations

from typing import Any

import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText


class Cases:
    """Makes case texts and cases; ``radiator__core_height="400 mm"`` sets one field."""

    @staticmethod
    def text(vehicle: str = "pickup", duties: list[dict[str, Any]] | None = None, **values: Any) -> CaseText:
        """The text of a case of one class."""
        tree: dict[str, Any] = {"format": FORMAT, "vehicle": {"class": vehicle}}
        for key, value in values.items():
            section, field = key.split("__")
            tree.setdefault(section, {})[field] = value
        return CaseText(tree if duties is None else {**tree, "duties": duties})

    @staticmethod
    def read(text: CaseText) -> Case:
        """The case in SI; it must have no fault."""
        case = resolve(text)
        assert not isinstance(case, Faults), case
        return case

    def __call__(self, vehicle: str = "pickup", duties: list[dict[str, Any]] | None = None, **values: Any) -> Case:
        """The case of :meth:`text`."""
        return self.read(self.text(vehicle, duties, **values))


@pytest.fixture(scope="session")
def cases() -> Cases:
    """Makes cases from a vehicle class, its duties and single fields."""
    return Cases()


@pytest.fixture(scope="session")
def towing_text() -> CaseText:
    """The worked example whose hot climb fails."""
    return read_case(worked_examples.folder() / "tow-and-track.heatcase.json")


@pytest.fixture(scope="session")
def towing(towing_text: CaseText) -> Case:
    """The same, in SI."""
    return Cases.read(towing_text)
