"""Warm-ups in words: what was measured is told as measured, what was only simulated as described."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.properties.fuel import Fuel
from engcalc.units import UnitSystem
from engcalc.vehicle.criterion import WarmFacts, WarmupOutcome, WarmVerdict
from engcalc.vehicle.warmup_study import study
from engcalc.words.answer.warmup_words import fuel_sentences, verdict_sentence, warmup_sentences
from engcalc.words.terms.numbers import fuel_amount


def idled(degC: float, fuel: str) -> tuple[str, ...]:
    record = {"ambient": f"{degC} degC", "driving": "idling"}
    case = resolve(
        CaseText({"format": FORMAT, "engine": {"fuel": fuel}, "duties": [{}], "evidence": {"before": record}})
    )
    assert isinstance(case, Case), case
    return warmup_sentences(study(case, {}, members=2, fits=False).records[0], UnitSystem.SI)


def test_what_a_cold_start_takes_more_is_told_where_it_matters() -> None:
    said = idled(-10.0, "petrol")
    told = next(text for text in said if text.startswith("Until 60 °C a cold start takes "))
    assert told.endswith(
        " % more fuel for a rich mixture and late ignition. Most of that heats the exhaust, not the coolant."
    )
    assert any(re.fullmatch(r"In this run the engine takes 0\.\d+ L of fuel\.", text) for text in said)
    for cold in (idled(-10.0, "diesel"), idled(70.0, "petrol")):
        assert any(text.startswith("In this run the engine takes ") for text in cold)
        assert not any("a cold start takes" in text for text in cold)


@pytest.mark.parametrize(
    ("extra", "late", "told"),
    [
        (0.0499, 0.0, None),
        (
            0.0501,
            0.0,
            "Until 60 °C a cold start takes 5 % more fuel for a rich mixture. That leaves unburnt with the exhaust.",
        ),
    ],
)
def test_below_a_twentieth_nothing_is_told(extra: float, late: float, told: str | None) -> None:
    case = resolve(CaseText({"format": FORMAT}))
    assert isinstance(case, Case), case
    record = study(case, {}, members=2, fits=False).records[0]
    taken = np.array([[0.0], [1e7 * (1.0 + extra)]])
    used = replace(
        record.fuel,
        time=np.array([0.0, record.warm_by]),
        taken=taken,
        unburnt=np.array([[0.0], [1e7 * extra]]),
        late=np.array([[0.0], [late]]),
    )
    said = fuel_sentences(replace(record, fuel=used), UnitSystem.SI)
    assert said[1:] == (() if told is None else (told,))


def test_an_amount_of_fuel_is_told_as_it_is_sold() -> None:
    assert fuel_amount(0.7447, Fuel.PETROL, UnitSystem.SI) == "1 L"
    assert fuel_amount(0.8366 * 0.946353, Fuel.DIESEL, UnitSystem.US) == "1 qt"  # US liquid quart, 0.946353 L
    assert fuel_amount(0.25, Fuel.NATURAL_GAS, UnitSystem.SI) == "0.25 kg"


def test_a_record_without_a_curve_is_told_as_described_and_once() -> None:
    case = resolve(read_case(worked_examples.folder() / "van-no-heat.heatcase.json"))
    assert isinstance(case, Case), case
    said = warmup_sentences(study(case, {}, members=30, fits=False).records[0], UnitSystem.SI)
    assert said[0].startswith(
        "Nothing was read over time, so this is computed for the vehicle as described. It settled at "
    )
    assert said[1].startswith("To 60 °C: not in this run (healthy vehicles: ")
    assert not any(text.startswith("As described it settles") for text in said)


@pytest.mark.parametrize(
    ("part", "words"), [(0.3, "only 30 % of healthy vehicles"), (0.0, "hardly any healthy vehicle")]
)
def test_how_many_healthy_vehicles_would_have_been_warm(part: float, words: str) -> None:
    facts = WarmFacts(1200.0, None, 1800.0, part, None, 350.0, 330.0, ())
    assert f"In this run {words} would have been" in verdict_sentence(
        WarmVerdict(None, WarmupOutcome.NOT_IN_THIS_RUN, facts), UnitSystem.SI
    )
