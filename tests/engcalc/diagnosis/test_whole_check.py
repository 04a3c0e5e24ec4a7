"""One verdict from duties, readings, things seen and warm-ups; after a repair that of what stands now."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.whole_check import WholeCheck, check_with_records, joined
from engcalc.studies.check import check
from engcalc.studies.checked import Check
from engcalc.vehicle.criterion import WarmupOutcome
from engcalc.vehicle.run import read_logs
from engcalc.verdict import FindingCode, Verdict
from engcalc.words.answer.answer import headline
from engcalc.words.answer.plainly import plain
from engcalc.words.answer.reasons import reasons

FOLDER = Path(worked_examples.__file__).parent
RUN = {
    "ambient": "2 degC",
    "heater_setting": "low",
    "soak": "10 h",
    "engine_off_phases": "no",
    "start_temperature": "3 degC",
    "schedule": [{"vehicle_speed": "90 km/h", "heater": "low", "duration": "40 min"}],
}
COLD, WARM = (
    {**RUN, "spots": [{"what": "coolant", "at": "38 min", "value": value}]} for value in ("35 degC", "87 degC")
)
OPEN = {"thermostat_open_when_cold": True}


def case_of(tree: Mapping[str, Any]) -> Case:
    found = resolve(CaseText({"format": FORMAT, **tree}))
    assert isinstance(found, Case), found
    return found


def by_hand(before: Mapping[str, Any], after: Mapping[str, Any] | None) -> Case:
    evidence = {"before": before} if after is None else {"before": before, "after": after}
    return case_of({"job": {"reason": "no heat"}, "vehicle": {"class": "delivery van"}, "evidence": evidence})


@cache
def repaired() -> WholeCheck:
    case = resolve(read_case(FOLDER / "van-repaired.heatcase.json"))
    assert isinstance(case, Case)
    return check_with_records(case, read_logs(case, FOLDER), members=40)


def test_after_a_repair_the_verdict_is_of_what_stands_now() -> None:
    found = repaired()
    assert [r.verdict.outcome for r in found.records] == [WarmupOutcome.SETTLED_COLD, WarmupOutcome.IN_TIME]
    assert check(found.check.case, members=0).verdict is Verdict.OVERCOOLING, "what was seen before, by itself"
    assert found.check.verdict is Verdict.HOLDS
    assert FindingCode.SEEN_VALVE_OPEN not in [f.code for f in found.check.findings]
    said = headline(found.check)
    assert said.startswith("Healthy. After the repair: it was warm after")
    before = found.records[0].measured
    assert before is not None
    assert before.settled.temperature is not None
    assert f"Before the repair: it settled at {before.settled.temperature - 273.15:.0f} °C" in said
    assert plain(found.check).lead == "After the repair the engine gets warm as it should."


def test_counting_the_records_in_twice_changes_nothing() -> None:
    found = repaired()
    again = joined(found.check, found.records)
    assert (again.verdict, again.findings, again.readings, again.history) == (
        found.check.verdict,
        found.check.findings,
        found.check.readings,
        found.check.history,
    )


def test_the_record_before_decides_while_none_after_does() -> None:
    found = repaired()
    before = found.records[:1]
    alone = joined(check(found.check.case, members=0), before)
    assert alone.verdict is Verdict.OVERCOOLING
    assert FindingCode.SEEN_VALVE_OPEN in [f.code for f in alone.findings]
    undecided = replace(found.records[1], verdict=replace(found.records[1].verdict, verdict=None))
    assert joined(alone, (*before, undecided)).verdict is Verdict.OVERCOOLING


def read(case: Case) -> Check:
    """The check with its readings, against a few healthy vehicles."""
    return check_with_records(case, {}, members=8).check


def test_a_warm_reading_after_overtakes_a_cold_one_before() -> None:
    cold = read(by_hand({**COLD, "seen": OPEN}, None))
    assert (cold.verdict, len(cold.readings), cold.history) == (Verdict.OVERCOOLING, 1, ())
    found = read(by_hand({**COLD, "seen": OPEN}, WARM))
    assert found.verdict is not Verdict.OVERCOOLING
    assert ([r.record for r in found.readings], [r.record for r in found.history]) == (["after"], ["before"])
    assert "87 °C" in headline(found)
    told = [r.text for r in reasons(found) if r.text.startswith("Before the repair: ")]
    assert len(told) == 1
    assert "35 °C" in told[0]


@pytest.mark.parametrize("after", [COLD, {**WARM, "seen": OPEN}], ids=["still cold", "still seen open"])
def test_a_fault_that_is_still_there_after_counts(after: Mapping[str, Any]) -> None:
    assert read(by_hand(COLD, after)).verdict is Verdict.OVERCOOLING


def test_without_members_no_warm_up_is_run() -> None:
    case = repaired().check.case
    fast = check_with_records(case, {}, members=0)  # as at each key press
    assert fast.records == ()
    assert fast.check.unfinished, "what the logs say is not known yet"
    assert not repaired().check.unfinished
    for spots in (COLD, WARM):
        quick = check_with_records(by_hand(spots, None), {}, members=0).check
        assert quick.unfinished, "what was read is held against nothing yet"
        assert quick.readings == ()
    bare = replace(case.evidence, before=None, after=None)
    assert not check_with_records(replace(case, evidence=bare), {}, members=0).check.unfinished
