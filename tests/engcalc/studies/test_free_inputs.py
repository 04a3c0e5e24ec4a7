"""What may move beside the least core: taken where it helps, given back as far as every duty holds."""

from __future__ import annotations

from dataclasses import replace

import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.studies.check import check
from engcalc.studies.choice import core_search as module
from engcalc.studies.choice.core_builds import Room, with_core
from engcalc.studies.choice.free_inputs import FREE, STEPS, FreedInput, free_inputs, given_back, with_freed
from engcalc.studies.choice.least_core import least_core
from engcalc.studies.choice.sizing import settled
from engcalc.verdict import Verdict
from engcalc.words.sizing.least_core_words import least_core_sentences

TEXT = read_case(worked_examples.folder() / "track-day-car.heatcase.json")
ROOM = Room(0.60, 0.75, 0.05)
BOUNDS = {"free_opening": "0.4 m2", "free_exit": "0.5 m2"}


def case_of(text) -> Case:
    case = resolve(text)
    assert isinstance(case, Case), case
    return case


def freeing(**bounds):
    text = TEXT
    for name, bound in bounds.items():
        text = text.with_value(f"limits.{name}", bound)
    return text


@pytest.fixture(scope="module")
def few_builds():
    patch = pytest.MonkeyPatch()
    patch.setattr(module, "TUBE_WIDTHS", (0.042,))
    patch.setattr(module, "ROWS", (1,))
    patch.setattr(module, "PASSES", (1,))
    patch.setattr(module, "FINS_PER_INCH", (22,))
    yield
    patch.undo()


@pytest.fixture(scope="module")
def fixed(few_builds):
    return least_core(TEXT, ROOM)


@pytest.fixture(scope="module")
def freed(few_builds):
    return least_core(freeing(**BOUNDS), ROOM)


def test_nothing_is_free_where_no_bound_is_stated():
    assert free_inputs(case_of(TEXT)) == ()


@pytest.mark.parametrize("name", FREE)
def test_a_bound_is_used_where_it_helps_and_not_where_it_harms(name):
    """More air, more coolant flow and less glycol help a lap that is too hot; the other way they harm (first
    principles). A cap of more pressure lifts the boiling point and leaves the coolant's temperature as it is."""
    better = {"free_exit": "1 m2", "free_opening": "0.6 m2", "free_fan": "9000 m3/h", "free_pump": "2.2"}
    worse = {"free_exit": "0.02 m2", "free_opening": "0.02 m2", "free_fan": "50 m3/h", "free_pump": "0.3"}
    better |= {"free_cap": "2 bar", "free_mixture": "20 %"}
    worse |= {"free_cap": "0.1 bar", "free_mixture": "70 %"}
    (helped,) = free_inputs(case_of(freeing(**{name: better[name]})))
    assert helped.path == FREE[name]
    assert helped.taken in (helped.before, helped.bound)
    assert helped.moved == (name != "free_cap")
    (harmed,) = free_inputs(case_of(freeing(**{name: worse[name]})))
    assert not harmed.moved


def test_a_bound_helps_as_well_a_lap_that_is_too_hot_for_its_margin_to_be_told():
    """More air helps the lap that boils whatever the opening (first principles); a slower pump does not."""
    text = freeing(free_opening="0.6 m2", free_exit="1 m2", free_pump="0.3")
    text = text.with_value("duties[2].brake_power", "300 hp")
    case = case_of(text)
    assert settled(case).beyond[2, 0]
    assert {one.path: one.moved for one in free_inputs(case)} == {
        "airflow.exit_area": True,
        "airflow.opening_area": True,
        "circuit.pump_ratio": False,
    }


@pytest.mark.parametrize("needed", [0.0, 0.3, 0.5, 1.0])
def test_each_is_given_back_to_the_first_step_that_holds(needed):
    """A plant of two inputs that holds where their shares together reach what is needed, by hand: the first is given
    back to nothing where the second alone does, the second then as far as it may."""
    free = (FreedInput("a", 1.0, 3.0, 3.0), FreedInput("b", 4.0, 2.0, 2.0))

    def holds(tried):
        shares = [(one.taken - one.before) / (one.bound - one.before) for one in tried]
        return sum(shares) >= needed - 1e-12

    first, second = given_back(free, holds)
    assert not first.moved
    steps = next(k for k in range(STEPS + 1) if k / STEPS >= needed - 1e-12)
    assert second.taken == pytest.approx(4.0 - 2.0 * steps / STEPS)
    kept = given_back(free, lambda tried: all(one.taken == one.bound for one in tried))
    assert kept == free


def test_free_ducts_make_the_core_smaller_and_the_written_case_holds(fixed, freed):
    assert freed.least.volume < fixed.least.volume
    assert any(one.moved for one in freed.freed)
    assert all(duty.verdict is Verdict.HOLDS for duty in check(case_of(freed.text)).duties)
    for one in freed.freed:
        assert min(one.before, one.bound) <= one.taken <= max(one.before, one.bound)
    told = " ".join(least_core_sentences(freed))
    assert "It goes with open area" in told
    assert "All else stays as it is." in told


def test_one_step_nearer_to_the_case_no_longer_holds(freed):
    """Of what was given back last nothing more can be given back: by its own check."""
    moved = [one for one in freed.freed if one.moved]
    last = moved[-1]
    nearer = replace(last, taken=last.taken - (last.bound - last.before) / STEPS)
    text = with_freed(TEXT, [nearer if one is last else one for one in freed.freed])
    duties = check(case_of(with_core(text, case_of(text), freed.least.core))).duties
    assert not all(duty.verdict is Verdict.HOLDS for duty in duties)
