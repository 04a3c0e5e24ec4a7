"""Which record's causes a report tells."""

from __future__ import annotations

from typing import Any

import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.errors import InputError
from reports import recorded

NOTED = {"ambient": "-5 degC", "spots": [{"what": "coolant", "at": "20 min", "value": "40 degC"}]}


def case_of(**evidence: Any) -> Case:
    found = resolve(CaseText({"format": FORMAT, "evidence": evidence}))
    assert isinstance(found, Case), found
    return found


@pytest.mark.parametrize(("noted", "asked", "told"), [
    (("before",), None, "before"), (("before", "after"), None, "after"), (("before", "after"), "before", "before"),
    (("after",), None, "after")])
def test_the_latest_record_counts_unless_another_is_asked_for(noted: tuple[str, ...], asked: str | None, told: str,
                                                              monkeypatch: pytest.MonkeyPatch) -> None:
    taken: list[str] = []
    monkeypatch.setattr(recorded, "diagnose", lambda _case, _logs, record: taken.append(record))
    recorded.diagnosed(case_of(**dict.fromkeys(noted, NOTED)), {}, asked)
    assert taken == [told]


def test_a_case_without_readings_is_told_what_is_needed() -> None:
    with pytest.raises(InputError, match="readings are needed"):
        recorded.diagnosed(case_of(), {})
