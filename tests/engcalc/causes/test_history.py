"""How causes are told of: shares that are shares, of words that exist. The numbers are ours, no source."""

from __future__ import annotations

import pytest

from engcalc.causes.catalogue import CAUSES
from engcalc.causes.history import AFTER_WORK, LOST_AT, USUAL, WORDS, WORKS, CustomerQuestion, History
from engcalc.causes.record import Cause


@pytest.mark.parametrize("cause", CAUSES.values(), ids=list(CAUSES))
def test_a_history_names_words_that_exist_and_its_answers_sum_to_one(cause: Cause) -> None:
    told = cause.history
    assert set(told.follows) <= set(WORKS) - {"none"}
    assert set(told.loses_at) <= set(LOST_AT)
    for question in CustomerQuestion:
        shares = [told.share(word) for word in WORDS if word[0] is question]
        assert sum(shares) == pytest.approx(1.0, abs=1e-12)
        assert min(shares) >= 0.02, question  # a customer's word never rules a cause out


def test_work_that_a_record_does_not_name_comes_before_it_by_chance() -> None:
    assert USUAL.share((CustomerQuestion.WORK, "pump")) == AFTER_WORK
    assert USUAL.share((CustomerQuestion.WORK, "none")) == pytest.approx(1.0 - 6 * AFTER_WORK)
    assert History(follows={"pump": 0.4}).share((CustomerQuestion.WORK, "none")) == pytest.approx(0.6 - 5 * AFTER_WORK)


def test_a_place_is_told_as_the_record_weighs_it_with_some_told_wrongly() -> None:
    at_pump = History(loses_at={"pump": 1.0})
    assert at_pump.share((CustomerQuestion.LOST_AT, "pump")) == pytest.approx(0.85 + 0.15 / 6)
    assert at_pump.share((CustomerQuestion.LOST_AT, "cabin")) == pytest.approx(0.15 / 6)


@pytest.mark.parametrize(
    ("word", "more", "less"),
    [
        ((CustomerQuestion.ONSET, "sudden"), "fan_not_running", "radiator_restricted"),
        ((CustomerQuestion.ONSET, "creeping"), "heater_core_restricted", "heater_blend_stuck"),
        ((CustomerQuestion.WORK, "coolant"), "low_coolant", "pump_weak"),
        ((CustomerQuestion.WORK, "thermostat"), "thermostat_missing", "radiator_restricted"),
        ((CustomerQuestion.WORK, "pump"), "pump_weak", "face_blocked"),
        ((CustomerQuestion.WORK, "pump"), "pump_impeller_loose", "face_blocked"),
        ((CustomerQuestion.ONSET, "sudden"), "pump_impeller_loose", "radiator_restricted"),
        ((CustomerQuestion.WORK, "radiator"), "fan_reversed", "heater_core_restricted"),
        ((CustomerQuestion.WORK, "heater"), "heater_hoses_swapped", "heater_core_restricted"),
        ((CustomerQuestion.WORK, "engine"), "excess_heat", "face_blocked"),
        ((CustomerQuestion.LOST_AT, "nowhere seen"), "gas_in_coolant", "external_leak"),
        ((CustomerQuestion.LOST_AT, "cap or tank"), "cap_weak", "external_leak"),
        ((CustomerQuestion.LOST_AT, "pump"), "pump_weak", "cap_weak"),
    ],
)
def test_a_word_speaks_for_the_cause_that_is_told_of_so(
    word: tuple[CustomerQuestion, str], more: str, less: str
) -> None:
    assert CAUSES[more].history.share(word) > 1.5 * CAUSES[less].history.share(word)
