"""Which record of a case is looked at where none is asked for."""

from __future__ import annotations

from typing import Any

import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.odds.diagnosis import diagnose
from engcalc.errors import InputError
from engcalc.vehicle.run import latest_record

READ = {"ambient": "-5 degC", "spots": [{"what": "coolant", "at": "20 min", "value": "40 degC"}]}
BEGUN = {"ambient": "-5 degC"}  # nothing read or seen in it yet


def case_of(**evidence: Any) -> Case:
    found = resolve(CaseText({"format": FORMAT, "evidence": evidence}))
    assert isinstance(found, Case), found
    return found


@pytest.mark.parametrize(
    ("noted", "told"),
    [
        ({"before": READ}, "before"),
        ({"after": READ}, "after"),
        ({"before": READ, "after": READ}, "after"),
        ({"before": READ, "after": BEGUN}, "before"),
        ({"before": READ, "after": {"seen": {"level_low": True}}}, "after"),
        ({"before": READ, "after": {"codes": ["P0128"]}}, "after"),
        ({"before": READ, "after": {"curve": [[1, "5 degC"]]}}, "after"),
        ({"before": READ, "after": {"log": {"file": "x.csv"}}}, "after"),
        ({}, "before"),
    ],
)
def test_the_latest_record_with_a_reading_counts(noted: dict[str, Any], told: str) -> None:
    assert latest_record(case_of(**noted)) == told


def test_a_case_without_readings_is_told_what_is_needed() -> None:
    with pytest.raises(InputError, match=r"evidence\.before.*readings are needed"):
        diagnose(case_of(), {})
