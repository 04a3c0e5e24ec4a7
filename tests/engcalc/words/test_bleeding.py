"""The bleeding procedure: what must be said, in which order, with which cautions."""

from __future__ import annotations

from itertools import product

import pytest

from engcalc.case.sections.coolant import Coolant
from engcalc.words.page.cautions import ALL
from engcalc.words.workshop.bleeding import (
    COLOUR,
    COMPATIBILITY,
    FillingMethod,
    HeaterValve,
    SystemAtHand,
    Tank,
    bleed_steps,
)

EVERY = [
    SystemAtHand(tank, screws, fill, valve, electric, rear)
    for tank, screws, fill, valve, electric, rear in product(
        Tank, (True, False, None), FillingMethod, HeaterValve, (True, False), (True, False)
    )
]


def keys(setup: SystemAtHand) -> list[str]:
    return [step.key for step in bleed_steps(setup)]


def text(setup: SystemAtHand) -> str:
    return " ".join(step.text for step in bleed_steps(setup))


def test_the_maker_comes_first_and_the_cold_check_is_made_before_anything_is_opened() -> None:
    for setup in EVERY:
        found = keys(setup)
        assert found[:2] == ["makers_data", "cold"]
        assert found[-3:] == ["cool_down", "strength", "leaks"]
        assert len(set(found)) == len(found)


def test_every_caution_named_exists_and_the_grave_ones_are_always_there() -> None:
    known = {caution.key for caution in ALL}
    for setup in EVERY:
        named = {key for step in bleed_steps(setup) for key in step.cautions}
        assert named <= known
        assert {"hot_cap", "moving_parts", "stop_hot", "exhaust", "poison", "fan_by_itself", "gas_positive"} <= named


def test_tanks_are_the_words_of_the_case_file() -> None:
    options = Coolant.__dataclass_fields__["tank"].type
    assert all(repr(str(tank)) in options.replace('"', "'") for tank in Tank)


@pytest.mark.parametrize(
    ("setup", "words", "absent"),
    [
        (SystemAtHand(fill=FillingMethod.VACUUM), "vacuum that fades is a leak", "Close each bleed point"),
        (SystemAtHand(bleed_screws=True), "Open every bleed screw", "no bleed screws"),
        (SystemAtHand(bleed_screws=False), "no bleed screws", "Open every bleed screw"),
        (SystemAtHand(tank=Tank.OVERFLOW), "full to the neck and the bottle", "surge tank"),
        (SystemAtHand(tank=Tank.NONE), "below the neck", "surge tank"),
        (SystemAtHand(heater_valve=HeaterValve.COMMANDED), "ignition on", "cable or vacuum"),
        (SystemAtHand(electric_pump=True), "bleeding function", "vacuum filler"),
        (SystemAtHand(rear_heater=True), "rear heater", "vacuum filler"),
    ],
)
def test_each_kind_of_system_has_its_own_words(setup: SystemAtHand, words: str, absent: str) -> None:
    assert words in text(setup)
    assert absent not in text(setup)


def test_the_pump_runs_before_the_engine_warms_up_on_a_commanded_pump() -> None:
    found = keys(SystemAtHand(electric_pump=True))
    assert found.index("pump_function") < found.index("warm_up")


def test_chemistry_is_left_to_the_maker() -> None:
    assert "no computation can" in COMPATIBILITY
    assert "vehicle maker says" in COMPATIBILITY
    assert "does not tell" in COLOUR
