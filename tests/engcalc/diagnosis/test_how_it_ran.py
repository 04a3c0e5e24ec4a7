"""How it ran, where nobody noted it: every way carried by its weight, and named beside what health would show."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.odds.sampler import Effort
from engcalc.words.diagnosis.causes import evidence_sentence

SMALL = Effort(prior=48, steps=1, first=16, round=200, rounds=1)
WAYS = ["idling", "town", "country road", "motorway"]


def judged(driving: str, **record: Any) -> Diagnosis:
    spot = {"what": "coolant", "at": "28 min", "value": "90 degC", "instrument": "scan_tool"}
    before = {"ambient": "6 degC", "heater_setting": "unknown", "driving": driving, "spots": [spot], **record}
    found = resolve(CaseText({"format": FORMAT, "job": {"reason": "screening"}, "evidence": {"before": before}}))
    assert isinstance(found, Case), found
    return diagnose(found, {}, effort=SMALL)


@pytest.fixture(scope="module")
def unknown() -> Diagnosis:
    return judged("unknown")


def test_a_healthy_car_that_was_driven_is_healthy_where_nobody_noted_it(unknown: Diagnosis) -> None:
    """28 min at 6 degC, 90 degC read: warm as a driven car is; one that idled would not be."""
    assert unknown.best.fault == "healthy"
    assert unknown.best.probability > 0.9
    assert unknown.probability("low_coolant") < 0.04


def test_each_way_is_named_beside_what_health_would_show(unknown: Diagnosis) -> None:
    (reading,) = (e for e in unknown.evidence if e.item == "spots[0]")
    assert [way for way, _ in reading.healthy_by_way] == WAYS
    shown = np.array([T for _, T in reading.healthy_by_way])
    assert (np.diff(shown) > 0.0).all()  # the harder it is driven the sooner it is warm
    assert shown[0] < reading.expected_healthy < shown[-1]
    said = evidence_sentence(reading, unknown.best.fault)
    assert "nobody noted how it ran" in said
    assert all(word in said for word in ("idling", "in town", "on a country road", "on a motorway"))


def test_the_mean_is_by_the_weights_of_the_ways(unknown: Diagnosis) -> None:
    """One reading alone, left out: the weights are those before any evidence, .2, .4, .25, .15."""
    (reading,) = (e for e in unknown.evidence if e.healthy_by_way)
    by_hand = np.dot([0.2, 0.4, 0.25, 0.15], [T for _, T in reading.healthy_by_way])
    assert reading.expected_healthy == pytest.approx(by_hand, abs=0.7)


def test_where_it_was_noted_there_is_one_way() -> None:
    noted = judged("town")
    assert all(not e.healthy_by_way for e in noted.evidence)
    assert "nobody noted" not in evidence_sentence(noted.evidence[0], noted.best.fault)
