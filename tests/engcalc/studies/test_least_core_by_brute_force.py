"""The least core of drawn cars: the same every time, and no smaller core of the grid around it passes."""

from __future__ import annotations

import os

import numpy as np
import pytest

from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.studies.check import check
from engcalc.studies.choice import core_search as module
from engcalc.studies.choice.core_builds import Room, Shape, with_core
from engcalc.studies.choice.core_search import CoreSearch, Least
from engcalc.studies.choice.least_core import least_core, passes

SEEDS = int(os.environ.get("HEATDOCKET_SEEDS", "3"))  # cars; DEVELOPERS.md tells when all twelve were run
AROUND = 3  # faces of each build that are tried one by one, the largest that are smaller than the least


@pytest.fixture(autouse=True)
def few_builds(monkeypatch):
    """Builds that differ in fins and passes."""
    monkeypatch.setattr(module, "TUBE_WIDTHS", (0.032,))
    monkeypatch.setattr(module, "ROWS", (1,))
    monkeypatch.setattr(module, "FINS_PER_INCH", (18, 22))
    monkeypatch.setattr(module, "PASSES", (1, 2))


def drawn_car(seed: int) -> CaseText:
    """A car with one hard duty, settled at speed."""
    rng = np.random.default_rng(seed)
    tree = {
        "format": FORMAT,
        "vehicle": {"class": "sports car"},
        "engine": {"displacement": f"{rng.uniform(1.6, 3.0):.1f} L", "rated_power": f"{rng.uniform(150, 240):.0f} kW"},
        "limits": {"margin": "4 K", "confidence": f"{rng.choice([80, 90, 95])} %", "coolant_limit": "115 degC"},
        "duties": [
            {
                "name": "Lap",
                "brake_power": f"{rng.uniform(45, 70):.0f} kW",
                "engine_speed": "5000 rpm",
                "vehicle_speed": f"{rng.uniform(100, 150):.0f} km/h",
                "ambient": f"{rng.uniform(15, 35):.0f} degC",
            }
        ],
    }
    return CaseText(tree)


@pytest.mark.parametrize("seed", range(SEEDS))
def test_no_core_around_the_least_is_smaller_and_passes(seed):
    text, room = drawn_car(seed), Room(0.55, 0.75, 0.05)
    found = least_core(text, room)
    assert found.least is not None, "the room is wide enough for every one of these cars"
    again = least_core(CaseText(text.tree), room)
    assert (again.least, again.front) == (found.least, found.front)
    case = resolve(text)
    search, before = CoreSearch(text, case, room, Least.VOLUME), check(case)
    assert passes(check(resolve(found.text)), before)
    for build in search.builds():
        sizes = [search.core(build, n) for n in range(build.passes, search.most_tubes + 1)]
        smaller = [core for core in sizes if core.volume < found.least.volume * (1.0 - 1e-9)]
        for core in smaller[-AROUND:]:
            assert not passes(check(resolve(with_core(text, case, core))), before), core


@pytest.mark.parametrize("tubes", [20, 33])
def test_draws_of_the_search_tell_the_chance_that_a_check_of_the_written_case_tells(tubes):
    """The search drew a core that nobody had typed as one that is typical of the class: 7 points off where 1.6 is the
    standard error of 600 draws."""
    text = drawn_car(0)
    search = CoreSearch(text, resolve(text), Room(0.55, 0.75, 0.05), Least.VOLUME)
    build = next(b for b in search.builds() if b.passes == 1 and b.shape is Shape.FULL_WIDTH)
    core = search.core(build, tubes)
    drawn = float(search.probabilities([core], module.MORE_MEMBERS)[0, 0])
    assert drawn == pytest.approx(search.chance(core, 0), abs=0.04)
