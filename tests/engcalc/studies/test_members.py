"""Ensembles are put together and taken apart without changing any number."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np
import pytest

from engcalc.errors import Cancelled
from engcalc.studies.members import (
    chunks,
    faults_of,
    joined,
    member,
    part,
    signature,
    solve_duties,
    solve_duty,
    stacked,
    varied,
)
from engcalc.system.state import STATUSES, Status

HILL = {
    "name": "hill",
    "vehicle_speed": "60 km/h",
    "grade": "12 %",
    "trailer_mass": "2500 kg",
    "ambient": "35 degC",
    "fan": "on",
}


def same(a: Any, b: Any, rtol: float = 1e-9) -> None:
    """Two results agree in every number, to the convergence of two separate solutions."""
    if isinstance(a, np.ndarray):
        b = np.broadcast_to(b, a.shape) if b.size < a.size else b
        a = np.broadcast_to(a, b.shape)
        finite = np.isfinite(a)
        assert np.array_equal(finite, np.isfinite(b))
        np.testing.assert_allclose(np.where(finite, b, 0.0), np.where(finite, a, 0.0), rtol=rtol, atol=1e-5)
    elif is_dataclass(a):
        for f in fields(a):
            same(getattr(a, f.name), getattr(b, f.name), rtol)


def test_three_unlike_members_one_of_them_boiling_are_three_single_runs(cases):
    unlike = [
        cases(duties=[HILL]),
        cases(duties=[HILL | {"ambient": "-10 degC", "vehicle_speed": "30 km/h"}], radiator__blocked_face="20 %"),
        cases(duties=[HILL | {"altitude": "2500 m"}], radiator__blocked_face="70 %", coolant__concentration="30 %"),
    ]
    whole = solve_duty(stacked(unlike), 0)
    singles = [solve_duty(case, 0) for case in unlike]
    statuses = [STATUSES[int(s.status[0])] for s in singles]
    assert statuses == [Status.SOLVED, Status.SOLVED, Status.BOILS]
    for k, single in enumerate(singles):
        for f in fields(single):
            if f.name not in ("core", "energy_residual"):
                same(getattr(single, f.name), getattr(member(whole, k), f.name), 1e-7)


def test_every_duty_of_an_ensemble_stands_duty_by_duty(cases):
    duties = [HILL, {"name": "idle"}, {"name": "fast", "vehicle_speed": "120 km/h"}]
    unlike = [cases(duties=duties), cases(duties=duties, airflow__fan_count="2")]
    point = solve_duties(stacked(unlike), 2)
    assert point.status.shape == (6,)
    for d in range(3):
        for m, case in enumerate(unlike):
            assert point.coolant_out[d * 2 + m] == pytest.approx(solve_duty(case, d).coolant_out[0], abs=1e-6)


def test_a_duty_does_not_depend_on_what_is_solved_beside_it(towing):
    """A neighbour that needs more steps of Newton's method must not move a member that has converged."""
    for fans in (1.0, 2.0, 3.0, 4.0):
        case = varied(towing, {"airflow.fan_count": np.array([fans])})
        whole = solve_duties(case)
        for i in range(len(case.duties)):
            assert whole.air_velocity[i] == pytest.approx(solve_duty(case, i).air_velocity[0], rel=1e-9)


def test_pieces_joined_are_the_whole(towing):
    whole = solve_duties(towing)
    pieces = [part(whole, slice(0, 5)), part(whole, slice(5, 6)), part(whole, slice(6, 12))]
    same(whole, joined(pieces), 0.0)
    assert joined([whole]) is whole


def test_one_member_keeps_every_array_of_one(towing):
    one = member(solve_duties(towing), 5)
    assert one.coolant_out.shape == (1,)
    assert one.core.UA.shape == (1,)


def test_words_and_missing_inputs_keep_cases_apart(cases):
    plain, other = cases(duties=[HILL]), cases(duties=[HILL], airflow__seals="missing")
    powered = cases(duties=[{k: v for k, v in HILL.items() if k != "grade"} | {"brake_power": "80 kW"}])
    assert len({signature(plain), signature(other), signature(powered)}) == 3
    assert signature(plain) == signature(cases(duties=[HILL], radiator__core_height="500 mm"))


def test_what_follows_from_others_moves_along_and_what_is_varied_stays(cases):
    case = cases(duties=[HILL])
    deeper = varied(case, {"radiator.core_depth": np.array([0.06])})
    assert deeper.radiator.tube_width[0] == pytest.approx((0.06 - 0.002) / 2)  # two rows, 2 mm between them
    narrow = varied(case, {"radiator.fin_height": np.array([0.006])})
    assert narrow.radiator.fin_height[0] == 0.006
    assert narrow.radiator.tube_pitch[0] == pytest.approx(0.006 + float(case.radiator.tube_height[0]))
    assert not faults_of(narrow)
    thick = varied(case, {"radiator.tube_wall": np.array([0.001])})
    assert [f.path for f in faults_of(thick)] == ["radiator.tube_height"]


def test_chunks_cover_all_and_tell_how_far_they_are():
    told: list[float] = []
    pieces = list(chunks(25, told.append, None, 10))
    assert [range(25)[piece] for piece in pieces] == [range(10), range(10, 20), range(20, 25)]
    assert told == [0.4, 0.8, 1.0]


def test_chunks_stop_when_nobody_waits():
    with pytest.raises(Cancelled, match="cancelled"):
        list(chunks(25, None, lambda: True))
