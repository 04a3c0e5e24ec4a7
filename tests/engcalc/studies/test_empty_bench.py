"""A bench with nothing on it: no number is made up for it, in the check or on paper."""

from __future__ import annotations

from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.studies.check import check

RIG_CLASS = {"format": FORMAT, "job": {"reason": "lesson"}, "vehicle": {"class": "bench rig"}}


def test_nobodys_duty_is_not_worked():
    """The paper of an empty lesson said "the coolant settles at 20 °C, 75 K under the limit"."""
    found = check(resolve(CaseText(RIG_CLASS)), members=0)
    assert found.duties == ()
    assert found.verdict is None


def test_a_duty_that_was_asked_is_worked():
    asked = {"name": "Idle", "coolant_flow": "10 L/min", "air_velocity": "3 m/s", "ambient": "20 degC"}
    assert len(check(resolve(CaseText({**RIG_CLASS, "duties": [asked]})), members=0).duties) == 1
