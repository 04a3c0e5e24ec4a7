"""Problems of two streams: whichever five numbers are known, the other three come back."""

from __future__ import annotations

from functools import cache
from itertools import combinations

import ht
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.errors import InputError
from engcalc.studies.bench.check import check_bench
from engcalc.studies.bench.problem import ProblemStatus
from engcalc.studies.rig import with_possible_points

STATED = {"fluid": "stated properties", "specific_heat": "4000 J/(kg K)"}
C_HOT, C_COLD, UA, T_HOT, T_COLD = 400.0, 640.0, 500.0, 80.0, 20.0


@cache
def whole(word: str = "S&T"):
    """All eight numbers of one exchanger, by ht: rating from flows, conductance and inlets."""
    eps = ht.effectiveness_from_NTU(UA / C_HOT, C_HOT / C_COLD, word, n_shell_tube=1 if word == "S&T" else None)
    Q = eps * C_HOT * (T_HOT - T_COLD)
    return {
        "hot_flow": (C_HOT / 4000.0, "kg/s"),
        "hot_in": (T_HOT, "degC"),
        "hot_out": (T_HOT - Q / C_HOT, "degC"),
        "cold_flow": (C_COLD / 4000.0, "kg/s"),
        "cold_in": (T_COLD, "degC"),
        "cold_out": (T_COLD + Q / C_COLD, "degC"),
        "heat": (Q, "W"),
        "conductance": (UA, "W/K"),
    }


def answers(problems, arrangement="shell and tube 1-2", hot=STATED, cold=STATED):
    tree = {
        "format": FORMAT,
        "vehicle": {"class": "bench rig"},
        "hot_stream": hot,
        "cold_stream": cold,
        "exchanger": {"arrangement": arrangement},
        "problems": problems,
    }
    case = resolve(CaseText(tree))
    assert isinstance(case, Case), case
    found = check_bench(case)
    assert found is not None
    return case, found.problems


def settles(unknown: tuple[str, ...]) -> bool:
    """Whether the three laws hold the three unknowns: each balance has one of its own, and the transfer law one."""
    hot, cold = {"hot_flow", "hot_in", "hot_out"}, {"cold_flow", "cold_in", "cold_out"}
    left = set(unknown)
    return bool(left & (hot | {"heat"})) and bool(left & (cold | {"heat"})) and not (left <= hot or left <= cold)


UNKNOWN = [three for three in combinations(whole(), 3) if settles(three)]


def test_whatever_is_unknown_comes_back():
    problems = [
        {name: f"{value:.12g} {unit}" for name, (value, unit) in whole().items() if name not in unknown}
        for unknown in UNKNOWN
    ]
    _, found = answers(problems)
    solved = 0
    for unknown, answer in zip(UNKNOWN, found, strict=True):
        if answer.status is ProblemStatus.TOO_LITTLE and "conductance" in unknown:
            continue  # with no conductance known the transfer law only gives that: the balances must settle the rest
        assert answer.status is ProblemStatus.SOLVED, unknown
        solved += 1
        for name in unknown:
            value, unit = whole()[name]
            zero = 273.15 if unit == "degC" else 0.0
            assert answer.numbers[name] == pytest.approx(value + zero, rel=1e-6), unknown
    assert solved >= 30


def test_both_roads_agree():
    """Q = UA F LMTD with F from another library (Fakheri's closed form)."""
    problem = {name: f"{v} {u}" for name, (v, u) in whole().items() if name not in ("heat", "hot_out", "cold_out")}
    _, (answer,) = answers([problem])
    n = answer.numbers
    F = ht.F_LMTD_Fakheri(Tci=n["cold_in"], Tco=n["cold_out"], Thi=n["hot_in"], Tho=n["hot_out"], shells=1)
    assert pytest.approx(F, rel=1e-9) == answer.F
    assert n["heat"] == pytest.approx(n["conductance"] * F * answer.mean_difference, rel=1e-9)


def test_specific_heats_belong_to_the_mean_temperature():
    """Engine oil from 110 degC: its specific heat is that of the mean that comes out, not of the inlet."""
    problem = {
        "hot_flow": "0.1 kg/s",
        "hot_in": "110 degC",
        "cold_flow": "0.2 kg/s",
        "cold_in": "20 degC",
        "conductance": "100 W/K",
    }
    _, (answer,) = answers([problem], "counterflow", {"fluid": "engine oil"}, {"fluid": "water"})
    n = answer.numbers
    mean = 0.5 * (n["hot_in"] + n["hot_out"])
    cp = 2161.0 + (mean - 360.0) / 10.0 * 45.0  # J/(kg K); between the rows of 360 and 370 K of the table
    assert 360.0 < mean < 370.0
    assert n["heat"] == pytest.approx(0.1 * cp * (n["hot_in"] - n["hot_out"]), rel=1e-6)
    assert [one.correction for one in answer.rounds] == sorted((one.correction for one in answer.rounds), reverse=True)


def test_what_cannot_be_says_so():
    impossible = {
        "hot_flow": "0.1 kg/s",
        "hot_in": "80 degC",
        "hot_out": "30 degC",
        "cold_flow": "0.1 kg/s",
        "cold_in": "20 degC",
    }
    case, (answer,) = answers([impossible], "parallel flow")
    assert answer.status is ProblemStatus.IMPOSSIBLE
    with pytest.raises(InputError, match=r"problems\[0\].*no exchanger of this arrangement"):
        with_possible_points(case)


def test_four_or_six_numbers_are_refused():
    five = {name: f"{v} {u}" for name, (v, u) in list(whole().items())[:5]}
    four, six = dict(list(five.items())[:4]), {**five, "heat": "10 kW"}
    tree = {
        "format": FORMAT,
        "hot_stream": STATED,
        "cold_stream": STATED,
        "exchanger": {"arrangement": "counterflow"},
        "problems": [four, five, six],
    }
    found = resolve(CaseText(tree))
    assert isinstance(found, Faults)
    assert [fault.path for fault in found.faults] == ["problems[0]", "problems[2]"]


@pytest.mark.parametrize("side", ["hot", "cold"])
def test_a_stream_that_stands_still_is_said_at_its_flow(side):
    """It was a division by zero, and told as properties that the fluid does not have."""
    problem = {"hot_flow": "0.1 kg/s", "cold_flow": "0.1 kg/s", "hot_in": "90 degC", "cold_in": "20 degC"}
    tree = {
        "format": FORMAT,
        "hot_stream": STATED,
        "cold_stream": STATED,
        "exchanger": {"arrangement": "counterflow"},
        "problems": [{**problem, "conductance": "300 W/K", f"{side}_flow": "0 kg/s"}],
    }
    found = resolve(CaseText(tree))
    assert isinstance(found, Faults)
    (fault,) = found.faults
    assert fault.path == f"problems[0].{side}_flow"
    assert "more than 0 would do" in str(fault)
