"""How sure a duty is: held against plain random draws, the linear law, and inputs frozen one by one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.case.declare import SpreadLaw
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.errors import Cancelled
from engcalc.studies.check import check
from engcalc.studies.duties.duty_model import (
    CLEAR_ERROR,
    ODDS_ERROR,
    Chance,
    coolant_limits,
    first_look,
    for_peaks,
    spread_of,
    sure_enough,
    with_duties,
)
from engcalc.studies.spread.spread_study import PREDICTION, InputShare, duty_spread
from engcalc.studies.spread.uncertainty import UA_factor_at, draw, ensemble, uncertain_inputs
from engcalc.words.sizing.spread_words import (
    INTERVAL_HEAD,
    SHARE_HEAD,
    input_name,
    interval_rows,
    share_rows,
    spread_sentences,
)

BASE = {
    "format": "heatdocket-case/1",
    "vehicle": {"class": "family car"},
    "duties": [{"name": "Hill", "vehicle_speed": "80 km/h", "grade": "6 %", "ambient": "30 degC"}],
}


def case_of(tree=BASE) -> Case:
    case = resolve(CaseText(tree))
    assert isinstance(case, Case), case
    return case


@pytest.fixture(scope="module")
def track() -> Case:
    case = resolve(read_case(worked_examples.folder() / "track-day-car.heatcase.json"))
    assert isinstance(case, Case)
    return case


@pytest.fixture(scope="module")
def alone(track) -> Case:
    """The track-day car with its lap as the only duty."""
    return with_duties(track, (2,))


@pytest.fixture(scope="module")
def lap(track):
    return duty_spread(track, 2)


def random_peaks(case: Case, points: int) -> tuple[np.ndarray, float]:
    """Peaks [K] of the first duty by plain normal draws, an independent way through the same inputs."""
    rng = np.random.default_rng(11)
    inputs = uncertain_inputs(case)
    values = {u.path: np.clip(u.value + u.uncertainty * rng.standard_normal(points), u.low, u.high) for u in inputs}
    factor = UA_factor_at(rng.standard_normal(points), scaled=False)
    found = spread_of(case, ensemble(case, conditions_of(case.duties), values, factor), coolant_limits(case))
    return found.peak[0], float(found.holds[0].mean())


def test_the_chance_and_the_interval_are_those_of_many_random_draws(alone, lap):
    peaks, held = random_peaks(alone, 12_000)
    error = np.hypot((held * (1.0 - held) / 12_000) ** 0.5, lap.probability_error)
    assert abs(lap.probability - held) < 4.0 * error
    assert lap.peak.deviation == pytest.approx(peaks.std(), rel=0.03)
    assert (lap.peak.low, lap.peak.high) == pytest.approx(tuple(np.quantile(peaks, (0.05, 0.95))), abs=0.8)
    assert lap.probability_error < 0.005


def test_a_check_near_the_wanted_chance_tells_the_number_of_the_study():
    """Plain draws of 200 scatter by two points there; the limit is set where about 95 % of the vehicles hold."""
    peaks, _ = random_peaks(case_of(), 4_000)
    limit = float(np.quantile(peaks, 0.95))
    near = case_of({**BASE, "duties": [{**BASE["duties"][0], "limit": f"{limit - 273.15:.4f} degC"}]})
    (found,), studied = check(near).duties, duty_spread(near, 0)
    assert found.holds_error <= ODDS_ERROR
    assert (found.holds_probability, found.holds_error) == (studied.probability, studied.probability_error)
    of_random_draws = (0.05 * 0.95 / 4_000) ** 0.5
    assert found.holds_probability == pytest.approx(0.95, abs=4.0 * np.hypot(ODDS_ERROR, of_random_draws))


def test_a_check_far_from_it_is_within_its_stated_error_of_the_study(track, lap):
    found = check(track).duties
    assert found[2].holds_error <= CLEAR_ERROR
    assert abs(found[2].holds_probability - lap.probability) < 4.0 * np.hypot(
        found[2].holds_error, lap.probability_error
    )
    assert found[1].holds_probability == 1.0  # a first look of 200 says so, and its error is not 0
    assert found[1].holds_error == pytest.approx((201 * 1 / 202**2 / 200) ** 0.5)


@pytest.mark.parametrize(
    ("probability", "error", "enough"),
    [(0.95, 0.0025, True), (0.95, 0.0026, False), (0.91, 0.0099, True), (0.911, 0.0099, False), (0.5, 0.0101, False)],
)
def test_when_a_chance_is_sure_enough(probability, error, enough):
    assert sure_enough(Chance(probability, error), 0.95) is enough


def test_a_first_look_by_hand():
    seen = first_look(190, 200)
    assert seen.probability == 0.95
    assert seen.error == pytest.approx((191 * 11) ** 0.5 / 202 / 200**0.5)


def test_duties_left_out_take_their_correlations_with_them_and_the_others_move_up():
    ambient = {"value": "30 degC", "uncertainty": "2 K", "correlated": {"duties[1].vehicle_speed": 0.8}}
    second = {"ambient": ambient, "vehicle_speed": {"value": "80 km/h", "uncertainty": "4 km/h"}}
    case = case_of({**BASE, "duties": [BASE["duties"][0], {**BASE["duties"][0], **second}]})
    kept = with_duties(case, (1,))
    assert kept.given["duties[0].ambient"].correlated == {"duties[0].vehicle_speed": 0.8}
    assert with_duties(case, (0,)).given["duties[0].ambient"].correlated == {}
    assert {p.partition(".")[0] for p in kept.given if p.startswith("duties[")} == {"duties[0]"}


def left_by_brute_force(alone: Case, path: str, nodes: int, draws: int) -> float:
    """The variance [K2] left on average when one input is known: it stands still at so many values, the others move."""
    inputs = uncertain_inputs(alone)
    frozen = next(one for one in inputs if one.path == path)
    z = np.linspace(-1.9, 1.9, nodes)
    rng, every = np.random.default_rng(5), nodes * draws
    values = {o.path: np.clip(o.value + o.uncertainty * rng.standard_normal(every), o.low, o.high) for o in inputs}
    values[path] = frozen.value + frozen.uncertainty * np.repeat(z, draws)
    factor = UA_factor_at(rng.standard_normal(every), scaled=False)
    drawn = ensemble(alone, conditions_of(alone.duties), values, factor)
    found = spread_of(alone, drawn, coolant_limits(alone), for_peaks(alone, (0,)))
    variances = found.peak[0].reshape(nodes, draws).var(axis=1)
    weights = np.exp(-0.5 * z**2)
    return float((weights * variances).sum() / weights.sum())


def test_freezing_an_input_takes_the_variance_that_was_said(alone, lap):
    """By brute force: the mean over values of the input of the variance left is what ``left`` says squared."""
    best = lap.measure_next
    assert len(best.paths) == 1
    left = left_by_brute_force(alone, best.paths[0].replace("duties[2]", "duties[0]"), 20, 800)
    fell = 1.0 - left / lap.peak.deviation**2
    assert fell == pytest.approx(best.first, abs=4.0 * best.first_error + 0.05)


def test_freezing_an_input_of_a_lap_in_time_takes_what_was_said_too(alone):
    """Its shares are of fewer draws: their errors are told with them. Every input that is told apart is frozen."""
    two_minutes = replace(alone, duties=(replace(alone.duties[0], duration=np.array([120.0])),))
    found = duty_spread(two_minutes, 0)
    assert found.points <= 2048
    best = found.measure_next
    assert best is not None
    assert best.first > 0.15
    for one in (best, *(s for s in found.shares[:3] if len(s.paths) == 1 and PREDICTION not in s.paths)):
        left = left_by_brute_force(two_minutes, one.paths[0], 12, 400)
        fell = 1.0 - left / found.peak.deviation**2
        assert fell == pytest.approx(one.first, abs=3.0 * one.first_error + 0.05), one.paths
        assert one.first_error < 0.1


def test_shares_are_ordered_the_rest_last_and_alone_is_less_than_with_others(lap):
    totals = [s.total for s in lap.shares if s.paths]
    assert totals == sorted(totals, reverse=True)
    assert lap.shares[-1].paths == ()
    for s in lap.shares:
        assert s.first <= s.total + 4.0 * (s.first_error + s.total_error)
    assert sum(s.first for s in lap.shares) <= 1.0 + 4.0 * sum(s.first_error for s in lap.shares)
    assert any(PREDICTION in s.paths for s in lap.shares)
    assert PREDICTION not in lap.measure_next.paths


def only(uncertainty: str, law: str = "normal", correlated: dict | None = None) -> Case:
    """A case of which only two duties' inputs are uncertain."""
    duty = {**BASE["duties"][0], "ambient": {"value": "30 degC", "uncertainty": uncertainty, "law": law}}
    if correlated:
        duty["ambient"]["correlated"] = correlated
        duty["vehicle_speed"] = {"value": "80 km/h", "uncertainty": "4 km/h"}
    case = case_of({**BASE, "duties": [duty]})
    kept = {
        path: one if path.startswith("duties[0]") else replace(one, uncertainty=0.0) for path, one in case.given.items()
    }
    return replace(case, given=kept)


def test_one_rectangular_input_reaches_no_further_than_its_law():
    case = only("2 K", "rectangular")
    assert case.given["duties[0].ambient"].law is SpreadLaw.RECTANGULAR
    drawn = draw(case, conditions_of(case.duties), 400, 1).conditions.ambient
    half = 2.0 * 3.0**0.5
    assert drawn.min() == pytest.approx(303.15 - half, abs=0.02)
    assert drawn.max() == pytest.approx(303.15 + half, abs=0.02)
    assert drawn.std() == pytest.approx(2.0, rel=0.01)


def test_correlated_inputs_are_drawn_together_and_counted_in_the_linear_law():
    apart, with_other = only("2 K"), only("2 K", correlated={"duties[0].vehicle_speed": 0.8})
    drawn = draw(with_other, conditions_of(with_other.duties), 400, 1).conditions
    assert np.corrcoef(drawn.ambient, drawn.vehicle_speed)[0, 1] == pytest.approx(0.8, abs=0.05)
    assert np.ptp(draw(apart, conditions_of(apart.duties), 50, 1).conditions.vehicle_speed) == 0.0
    found = duty_spread(with_other, 0)
    together = next(s for s in found.shares if len(s.paths) == 2)
    assert set(together.paths) == {"duties[0].ambient", "duties[0].vehicle_speed"}


@pytest.mark.parametrize(
    ("extra", "said"),
    [
        ({"law": "bell"}, "normal, rectangular, triangular, lognormal would do"),
        ({"correlated": 3}, "each coefficient between -1 and 1"),
        ({"correlated": {"duties[0].grade": 1.2}}, "each coefficient between -1 and 1"),
        ({"correlated": {"duties[0].snow": 0.5}}, "the path of another input"),
        ({"correlated": {"limits.margin": 0.5}}, "the path of another input"),
    ],
)
def test_a_law_or_a_correlation_that_cannot_be_is_refused_in_words(extra, said):
    ambient = {"value": "30 degC", "uncertainty": "2 K", **extra}
    found = resolve(CaseText({**BASE, "duties": [{**BASE["duties"][0], "ambient": ambient}]}))
    assert not isinstance(found, Case)
    assert said in " ".join(f.wanted for f in found.faults)


def test_three_coefficients_that_cannot_hold_together_are_refused():
    duty = {
        "ambient": {"value": "30 degC", "uncertainty": "2 K", "correlated": {"duties[0].grade": 0.9}},
        "grade": {"value": "6 %", "uncertainty": "0.5 %", "correlated": {"duties[0].vehicle_speed": 0.9}},
        "vehicle_speed": {"value": "80 km/h", "uncertainty": "4 km/h", "correlated": {"duties[0].ambient": -0.9}},
    }
    found = resolve(CaseText({**BASE, "duties": [duty]}))
    assert not isinstance(found, Case)
    assert "hold together" in found.faults[0].wanted


def test_a_lognormal_value_below_zero_is_refused():
    found = resolve(
        CaseText({**BASE, "duties": [{"grade": {"value": "-2 %", "uncertainty": "1 %", "law": "lognormal"}}]})
    )
    assert not isinstance(found, Case)
    assert "a value above 0" in found.faults[0].wanted


def test_a_duty_followed_in_time_has_its_peak(track):
    lap = replace(track.duties[2], duration=np.array([120.0]))
    found = duty_spread(replace(track, duties=(*track.duties[:2], lap)), 2)
    settled = duty_spread(track, 2)
    assert found.peak.low < settled.peak.low


def test_it_is_told_in_words_and_tables(lap):
    said = spread_sentences(lap)
    assert f"{100.0 * lap.probability:.1f} % hold" in said[0]
    assert any(text.startswith("Measure this next: engine: ") for text in said)
    fan = InputShare(("airflow.fan_on",), 0.5, 0.0, 0.5, 0.0, 1.0, 0.0)
    assert input_name(fan) == "air flow: fan on at", "the section is named as in the form"
    assert all(len(row) == len(INTERVAL_HEAD) for row in interval_rows(lap))
    assert [row[0] for row in share_rows(lap)][-1] == "all others together"
    assert all(len(row) == len(SHARE_HEAD) for row in share_rows(lap))


@pytest.mark.fresh
def test_it_can_be_cancelled(track):
    with pytest.raises(Cancelled):
        duty_spread(track, 0, cancelled=lambda: True)
