"""Facts seen at the vehicle: which speak by themselves, and which are left to a reading."""

from __future__ import annotations

import pytest

from engcalc.case.case import Case
from engcalc.case.records import SEEN_FACTS
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.studies.check import check
from engcalc.studies.checked import Check
from engcalc.studies.seen import ACTS, HOSE, IN_HAND, seen_findings
from engcalc.verdict import FindingCode, FindingLevel, Verdict
from engcalc.words.answer.answer import headline
from engcalc.words.answer.reasons import reasons


def case_of(before: dict[str, bool], after: dict[str, bool] | None = None, **sections: object) -> Case:
    evidence = {"before": {"seen": before}, **({} if after is None else {"after": {"seen": after}})}
    case = resolve(
        CaseText(
            {
                "format": "heatdocket-case/1",
                "vehicle": {"class": "family car"},
                "evidence": evidence,
                "duties": [{"name": "road", "vehicle_speed": "80 km/h"}],
                **sections,
            }
        )
    )
    assert isinstance(case, Case), case
    return case


def checked(before: dict[str, bool], **sections: object) -> Check:
    return check(case_of(before, **sections), members=0)


def test_every_fact_that_acts_can_be_noted() -> None:
    assert {HOSE, *IN_HAND, *(fact for fact, _ in ACTS)} <= set(SEEN_FACTS)


@pytest.mark.parametrize("fact", IN_HAND)
def test_a_valve_seen_open_is_a_fault_whatever_was_read(fact: str) -> None:
    found = checked({fact: True})
    assert found.verdict is Verdict.OVERCOOLING
    assert headline(found).startswith("Runs cold. The")
    assert checked({fact: False}).verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("side", "severity", "says"),
    [
        ("outlet", FindingLevel.CAUTION, "does not close"),
        ("unknown", FindingLevel.CAUTION, "find out where it sits"),
        ("inlet", FindingLevel.NOTE, "in a healthy engine"),
    ],
)
def test_a_hose_alone_is_told_by_where_the_valve_sits_and_decides_nothing(
    side: str, severity: FindingLevel, says: str
) -> None:
    found = checked({HOSE: True}, thermostat={"side": side})
    assert found.verdict is Verdict.HOLDS
    told = [r for r in reasons(found) if r.code == "seen_hose"]
    assert [r.severity for r in told] == [severity]
    assert says in told[0].text


@pytest.mark.parametrize(("fact", "value"), ACTS)
def test_each_fact_that_asks_for_an_act_is_told_once_and_only_where_it_holds(fact: str, value: bool) -> None:
    for answer in (True, False):
        told = [f.words["fact"] for f in seen_findings(case_of({fact: answer})) if f.code is FindingCode.SEEN]
        assert told == ([fact] if answer is value else [])
    assert any(r.code == "seen" and r.text.endswith(".") for r in reasons(checked({fact: value})))


def test_what_was_mended_is_no_longer_told() -> None:
    assert seen_findings(case_of({"level_low": True}, {"level_low": False})) == ()


def test_a_bench_has_nothing_to_see() -> None:
    assert (
        checked(
            {"thermostat_missing": True},
            vehicle={"class": "bench rig"},
            duties=[{"coolant_flow": "10 L/min", "air_velocity": "3 m/s"}],
        ).verdict
        is Verdict.HOLDS
    )


def test_what_a_reading_calls_upon_is_not_told_twice() -> None:
    before = {
        "ambient": "-12 degC",
        "start_temperature": "-10 degC",
        "heater_setting": "high",
        "driving": "country road",
        "seen": {HOSE: True},
        "spots": [{"value": "41 degC", "at": "40 min"}],
    }
    case = case_of({}, vehicle={"class": "delivery van"}, evidence={"before": before})
    found = check_with_records(case, {}, members=64).check
    assert found.verdict is Verdict.OVERCOOLING
    assert [r.code for r in reasons(found) if "hose got warm" in r.text] == ["reading_low"]
    assert not any(f.code is FindingCode.SEEN_HOSE for f in found.findings)
