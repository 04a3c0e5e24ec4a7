"""What the conditions say of a field is what the duty's own declaration says of it, and each field is only there."""

from __future__ import annotations

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.catalogue import DeclaredInput, members
from engcalc.case.conditions import (
    BY_ROW,
    MEANINGS,
    TYPED_NUMBERS,
    Conditions,
    conditions_of,
    joined_conditions,
    only_given,
    table_of,
    whole_run,
)
from engcalc.case.records import Duty
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.quantity_kinds import KINDS

DECLARED = {leaf.attribute: leaf for leaf in members(Duty) if isinstance(leaf, DeclaredInput)}
SI_UNITS = {
    "W": "watt",
    "kg/s": "kilogram/second",
    "rev/s": "turn/second",
    "m/s": "meter/second",
    "kg": "kilogram",
    "m2": "meter**2",
    "m3/s": "meter**3/second",
    "m": "meter",
    "K": "kelvin",
    "-": "dimensionless",
}


def duty_of(**typed: str) -> Duty:
    case = resolve(CaseText({"format": FORMAT, "vehicle": {"class": "family car"}, "duties": [typed]}))
    assert isinstance(case, Case), case
    return case.duties[0]


@pytest.mark.parametrize("name", TYPED_NUMBERS)
def test_a_number_of_a_duty_is_absent_here_where_it_may_be_absent_there(name: str) -> None:
    assert MEANINGS[name].may_be_absent == DECLARED[name].optional


@pytest.mark.parametrize("name", TYPED_NUMBERS)
def test_a_number_has_the_unit_in_which_the_duty_holds_it(name: str) -> None:
    assert SI_UNITS[MEANINGS[name].unit] == KINDS[DECLARED[name].input.kind].si_unit


def test_every_word_of_a_choice_has_its_number() -> None:
    for name, meaning in MEANINGS.items():
        if meaning.word is not None:
            assert set(meaning.numbers) == set(DECLARED[meaning.word].input.options), name


def test_what_nobody_says_is_what_an_empty_duty_has() -> None:
    empty, unsaid = conditions_of([duty_of()]), only_given()
    for name in MEANINGS:
        np.testing.assert_array_equal(getattr(empty, name), getattr(unsaid, name), name)


def test_duties_become_members_in_their_order() -> None:
    found = conditions_of([duty_of(vehicle_speed="36 km/h", fan="on"), duty_of(headwind="-18 km/h", heater="high")])
    assert found.count == 2
    assert found.vehicle_speed.tolist() == [10.0, 0.0]
    assert found.headwind.tolist() == [0.0, -5.0]
    assert found.air_speed.tolist() == [10.0, -5.0]
    assert found.fan_mode.tolist() == [1.0, 0.0]
    assert found.heater_air_share.tolist() == [0.0, 1.0]


def test_members_repeat_join_and_are_taken_one_after_another() -> None:
    two = only_given(grade=np.array([0.1, 0.2]))
    assert two.repeated(2).grade.tolist() == [0.1, 0.1, 0.2, 0.2]
    assert two.repeated(2).ambient.shape == (4,)
    both = joined_conditions([two, only_given()])
    assert both.grade.tolist() == [0.1, 0.2, 0.0]
    assert both.taken(np.array([2, 0])).grade.tolist() == [0.0, 0.1]


def test_a_table_has_a_line_for_every_row_and_what_holds_for_the_run_once() -> None:
    rows = [only_given(vehicle_speed=np.array([v]), ambient=np.array([280.0 + v])) for v in (1.0, 2.0)]
    table = table_of(rows, rows[0])
    for name in MEANINGS:
        assert getattr(table, name).shape == ((2, 1) if name in BY_ROW else (1,)), name
    assert table.vehicle_speed[:, 0].tolist() == [1.0, 2.0]
    assert table.ambient.tolist() == [281.0]
    assert np.isnan(whole_run(table).vehicle_speed).all()


def test_another_day_keeps_the_place_and_not_the_wind() -> None:
    here: Conditions = only_given(headwind=np.full(1, 6.0), altitude=np.full(1, 900.0), trailer_mass=np.full(1, 500.0))
    there = here.of_another_day()
    assert (there.headwind[0], there.altitude[0], there.trailer_mass[0]) == (0.0, 900.0, 500.0)


def test_an_engine_that_stands_asks_for_nothing_and_the_vehicle_goes_on() -> None:
    stands = only_given(vehicle_speed=np.full(1, 5.0)).with_engine_standing()
    assert (stands.engine_speed[0], stands.brake_power[0], stands.fuel_flow[0]) == (0.0, 0.0, 0.0)
    assert stands.vehicle_speed[0] == 5.0
    unknown = only_given(engine_speed=np.full(1, 20.0), grade=np.full(1, 0.1)).without_load()
    assert np.isnan(unknown.engine_speed[0])
    assert unknown.grade[0] == 0.0
