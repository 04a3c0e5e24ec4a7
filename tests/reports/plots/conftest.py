"""The checks of the three examples, computed once; and a measure of text that depends on no font."""

from __future__ import annotations

import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import SUFFIX, read_case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.studies.checked import Check

EXAMPLES = ("van-no-heat", "track-day-car", "bench-exchanger")
BOILING = (
    CaseText()
    .with_value("vehicle", {"class": "sports car"})
    .with_value("radiator", {"blocked_face": "90 %"})
    .with_value(
        "duties", [{"name": "Too much", "brake_power": "150 kW", "vehicle_speed": "60 km/h", "ambient": "45 degC"}]
    )
)

TANKS = (
    CaseText()
    .with_value("vehicle", {"class": "sports car"})
    .with_value(
        "circuit",
        {
            "extra": [
                {"kind": "oil cooler", "heat": "5 kW", "place": place, "conductance": "600 W/K"}
                for place in ("hot tank", "cold tank")
            ]
        },
    )
    .with_value("duties", [{"name": "Pull", "brake_power": "50 kW", "vehicle_speed": "90 km/h", "ambient": "25 degC"}])
)


def checked(text: CaseText, members: int = 20) -> Check:
    case = resolve(text)
    assert isinstance(case, Case), case
    return check_with_records(case, {}, members=members).check


@pytest.fixture(scope="session")
def oil_in_tanks() -> Check:
    """A car with an oil cooler in either tank of its radiator."""
    return checked(TANKS, members=0)


@pytest.fixture(scope="session")
def examples() -> dict[str, Check]:
    found = {path.name.removesuffix(SUFFIX): path for path in worked_examples.folder().rglob(f"*{SUFFIX}")}
    return {name: checked(read_case(found[name])) for name in EXAMPLES}


@pytest.fixture(scope="session")
def boiling() -> Check:
    """A duty for which there is no steady state below boiling."""
    return checked(BOILING)


@pytest.fixture
def measure():
    """Text 0.62 of its size wide for each letter, bold a little wider."""
    return lambda words, size, bold: len(words) * size * (0.68 if bold else 0.62)
