"""The records of the causes: all there, each naming inputs, words and checks that exist."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from engcalc.case.catalogue import entry
from engcalc.causes import catalogue
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.catalogue.fan import ALWAYS, OFF, REVERSED
from engcalc.causes.record import RARE, AboveNothing, Cause, Fitted, NotFitted
from engcalc.components.fan import FanDrive
from engcalc.diagnosis.checks.hand_checks import CHECKS


def test_a_cause_is_found_by_its_own_key_and_all_are_in_the_order_of_their_place() -> None:
    assert all(cause.key == key for key, cause in CAUSES.items())
    places = [cause.place for cause in CAUSES.values()]
    assert places == sorted(places)


@pytest.mark.parametrize("cause", CAUSES.values(), ids=list(CAUSES))
def test_a_record_names_what_exists(cause: Cause) -> None:
    for change in cause.changes:
        assert entry(change.where).input.kind != "word", change.where
    for need in cause.needs:
        options = entry(need.where).input.options
        words = () if isinstance(need, AboveNothing) else need.words
        assert set(words) <= set(options), need
        assert bool(words) is not isinstance(need, AboveNothing), need
    assert set(cause.checks) <= set(CHECKS)
    assert set(cause.per_cent) <= set(RARE)


@pytest.mark.parametrize("cause", CAUSES.values(), ids=list(CAUSES))
def test_a_record_says_what_it_is_in_words_that_go_on_in_a_sentence(cause: Cause) -> None:
    assert cause.label[0].isupper()
    assert not cause.label.endswith(".")
    assert not cause.note or (cause.note[0].isupper() and cause.note.endswith("."))
    assert cause.severity is None or cause.severity.label[0].islower()  # "If so, reads wrong by: 3 K to 60 K."


def test_the_reasons_with_base_rates_are_reasons_of_the_case() -> None:
    assert set(RARE) <= set(entry("job.reason").input.options)


def test_the_electric_fans_of_the_causes_are_those_of_the_fan() -> None:
    electric = {drive.value for drive in FanDrive if drive.electric}
    for cause in (OFF, REVERSED):
        assert [set(need.words) for need in cause.needs if isinstance(need, Fitted)] == [electric]
    switched = {word for need in ALWAYS.needs if isinstance(need, Fitted) for word in need.words}
    assert switched == {*electric, FanDrive.VISCOUS.value}


def test_a_record_that_two_modules_hold_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(catalogue, "_records", lambda: iter((OFF, ALWAYS, OFF)))
    assert list(catalogue._in_order()) == ["fan_not_running", "fan_always_on"]


@pytest.mark.parametrize("same", ["key", "place"])
def test_two_causes_of_one_key_or_place_are_refused(same: str, monkeypatch: pytest.MonkeyPatch) -> None:
    first = CAUSES["cap_weak"]
    second = replace(first, **({"place": 251} if same == "key" else {"key": "cap_missing"}))
    monkeypatch.setattr(catalogue, "_records", lambda: iter((first, second)))
    with pytest.raises(ValueError, match="share a key or a place: cap_weak at 250"):
        catalogue._in_order()


def test_what_a_vehicle_needs_for_a_cause() -> None:
    assert Fitted("airflow.fan_drive", ("electric", "PWM electric")).met("PWM electric")
    assert not Fitted("airflow.fan_drive", ("electric",)).met("fixed")
    assert NotFitted("circuit.pump_drive", ("electric",)).met("belt")
    assert not NotFitted("circuit.pump_drive", ("electric",)).met("electric")
    above = AboveNothing("heater.rated_output")
    assert above.met(np.array([0.0, 1.0]))
    assert not above.met(np.zeros(2))


def test_coolant_beyond_the_reserve_starves_the_heater_and_carries_air() -> None:
    """What is missing beyond what a tank holds and a low heater bears; numbers are common practice, no source."""
    low = CAUSES["low_coolant"]
    acts = {change.where: change.act for change in low.changes}
    assert {change.where for change in low.changes if change.past_reserve} == {
        "circuit.heater_flow",
        "circuit.aeration",
    }
    beyond = np.array([0.0, 0.2])
    assert acts["circuit.heater_flow"](np.ones(2), beyond) == pytest.approx([1.0, np.exp(-5.0 * 0.2)])
    assert acts["circuit.aeration"](np.zeros(2), beyond) == pytest.approx([0.0, 0.4 * 0.2])
    assert acts["coolant.volume"](np.ones(2), beyond) == pytest.approx(1.0 - beyond)  # it is gone all the same


def test_the_reserve_is_between_an_emptied_tank_and_a_third() -> None:
    """Nine in ten vehicles bear 7 to 37 % missing: a tank alone is a tenth; common practice, no source."""
    reserve = CAUSES["low_coolant"].reserve
    assert reserve is not None
    assert reserve.value(np.array([-1.645, 0.0, 1.645])) == pytest.approx([0.076, 0.18, 0.371], abs=0.001)
    assert [key for key, cause in CAUSES.items() if cause.reserve is not None] == ["low_coolant"]
