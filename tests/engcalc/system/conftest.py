"""Cases for the coupled system, made the way a person's file is read."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText

BuildCase = Callable[..., Case]


def build(vehicle: str = "family car", duties: list[dict[str, Any]] | None = None, **values: Any) -> Case:
    """A case of a vehicle class; ``radiator__core_height="400 mm"`` sets one field."""
    tree: dict[str, Any] = {"format": FORMAT, "vehicle": {"class": vehicle}}
    for key, value in values.items():
        section, field = key.split("__")
        tree.setdefault(section, {})[field] = value
    if duties is not None:
        tree["duties"] = duties
    case = resolve(CaseText(tree))
    assert not isinstance(case, Faults), case
    return case


@pytest.fixture(scope="session")
def build_case() -> BuildCase:
    """Makes a case from a vehicle class, its duties and single fields."""
    return build
