"""Warm-ups in words: what was measured is told as measured, what was only simulated as described."""

from __future__ import annotations

import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.units import UnitSystem
from engcalc.vehicle.criterion import WarmFacts, WarmupOutcome, WarmVerdict
from engcalc.vehicle.warmup_study import study
from engcalc.words.warmup_words import verdict_sentence, warmup_sentences


def test_a_record_without_a_curve_is_told_as_described_and_once() -> None:
    case = resolve(read_case(worked_examples.folder() / "van-no-heat.heatcase.json"))
    assert isinstance(case, Case), case
    said = warmup_sentences(study(case, {}, members=30, fits=False).records[0], UnitSystem.SI)
    assert said[0].startswith("Nothing was measured over time. A vehicle as described, computed: it settled at ")
    assert said[1].startswith("To 60 °C: not in this run (healthy vehicles: ")
    assert not any(text.startswith("As described it settles") for text in said)


@pytest.mark.parametrize(
    ("part", "words"), [(0.3, "only 30 % of healthy vehicles"), (0.0, "hardly any healthy vehicle")]
)
def test_how_many_healthy_vehicles_would_have_been_warm(part: float, words: str) -> None:
    facts = WarmFacts(1200.0, None, 1800.0, part, None, 350.0, 330.0, ())
    assert f"and {words} would have been" in verdict_sentence(
        WarmVerdict(None, WarmupOutcome.NOT_IN_THIS_RUN, facts), UnitSystem.SI
    )
