"""The working of a measured point: every line comes out, by hand as well, and a planted error is refused."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.studies.check import check
from engcalc.studies.checked import Check
from engcalc.working.chapters import WorkedChapter, worked_with
from engcalc.working.rig_chain import MEASURED_EFFECTIVENESS, RIG_TERMS, SIZE, STREAMS, RigResults, work_point
from engcalc.working.same_digits import with_same_digits
from engcalc.working.shown import Shown, WorkingLine, read

AGREES = 2e-3  # of lines shown to three digits


@cache
def bench() -> Check:
    case = resolve(read_case(worked_examples.folder() / "bench-exchanger.heatcase.json"))
    assert isinstance(case, Case), case
    return check(case, members=0)


def results(index: int) -> RigResults:
    found, entered = bench(), bench().case.rig[index]
    passes = found.plant.core.geometry.passes
    return RigResults(found.rig[index], entered.hot_in, entered.hot_out, entered.cold_in, entered.cold_out, passes)


def lines(index: int) -> dict[str, list[Shown]]:
    found: dict[str, list[Shown]] = {}
    for chapter in work_point(results(index), bench().plant.arrangement):
        assert chapter.failures == ()
        for line in chapter.lines:
            found.setdefault(line.step.symbol, []).append(line)
    return found


@pytest.mark.parametrize("index", range(4))
def test_every_line_of_every_point_comes_out(index: int) -> None:
    found = lines(index)
    assert set(found) == {"m_hot", "C_hot", "C_cold", "Q_hot", "Q_cold", "Q_mean", "b", "C_min", "C_r", "eps", "UA"}
    assert len(found["eps"]) == 2, "as measured, and by the arrangement's formula at the NTU that was found"
    assert found["eps"][0].result == found["eps"][1].result


def test_the_first_point_by_hand() -> None:
    """10 L/min of water, 70.0 to 63.8 degC; 0.1199 kg/s of air, 21.2 to 56.0 degC. Water at 70 degC has 977.8 kg/m3, at
    67 degC 4.188 kJ/(kg K) (Incropera, table A.6); air at about 39 degC 1.007 kJ/(kg K) (table A.4)."""
    hot = 10.0 / 60.0 * 0.9778 * 4188.0
    cold = 0.1199 * 1007.0
    q_hot, q_cold = hot * (70.0 - 63.8), cold * (56.0 - 21.2)
    mean = 0.5 * (q_hot + q_cold)
    by_hand = {
        "m_hot": 10.0 / 60.0 * 0.9778,
        "C_hot": hot,
        "C_cold": cold,
        "Q_hot": q_hot,
        "Q_cold": q_cold,
        "Q_mean": mean,
        "C_min": cold,
        "C_r": cold / hot,
        "eps": mean / (cold * (70.0 - 21.2)),
    }
    found = lines(0)
    for symbol, value in by_hand.items():
        assert float(found[symbol][0].result) == pytest.approx(value, rel=AGREES + 2e-3), symbol  # table's last digit
    UA = read(results(0), RIG_TERMS["UA"])
    NTU = read(results(0), RIG_TERMS["NTU"])
    assert pytest.approx(NTU * cold, rel=2e-3) == UA


@pytest.mark.parametrize("chapter", [STREAMS, MEASURED_EFFECTIVENESS, SIZE], ids=lambda chapter: chapter.title)
def test_a_formula_that_is_wrong_by_a_sign_or_by_one_per_cent_is_not_shown(chapter) -> None:
    shown = [line.step for line in worked_with(chapter, RIG_TERMS, results(0)).lines]
    assert len(shown) >= len(chapter.steps) - 1  # its air was given by mass
    for step in shown:
        for wrong in (f"1.01*({step.formula})", f"-({step.formula})"):
            planted = replace(chapter, steps=(replace(step, formula=wrong),))
            worked = worked_with(planted, RIG_TERMS, results(0))
            assert worked.lines == ()
            assert len(worked.failures) == 1


def test_a_property_keeps_the_zeros_of_its_digits_and_a_reading_has_its_own() -> None:
    """988.0 kg/m3 is known as well as 988.1; 70 degC stays as it was typed."""
    term = {symbol: RIG_TERMS[symbol] for symbol in ("rho_hot", "V_hot", "m_hot")}
    line = WorkingLine("m_hot", "", "rho_hot*V_hot", "", {})
    numbers = SimpleNamespace(streams=SimpleNamespace(V_hot=2e-3, rho_hot_in=988.0, hot=1.976))
    shown = Shown(line, {s: term[s] for s in ("rho_hot", "V_hot")}, term["m_hot"], {}, "")
    (worked,) = with_same_digits([WorkedChapter("", (shown,), ())], numbers)
    assert worked.lines[0].values == {"rho_hot": "988.0", "V_hot": "0.002"}
    assert worked.lines[0].result == "1.976"
