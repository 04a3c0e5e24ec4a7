"""The sampler against JCGM 101's worked examples, and what it does to cases."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from engcalc.case.case import Case, value_at, with_values
from engcalc.case.conditions import conditions_of
from engcalc.case.presets import CLASSES
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.case.whole import check_whole
from engcalc.studies.duties.duty_model import solve_drawn
from engcalc.studies.spread.uncertainty import (
    UA_factor,
    draw,
    drawn_values,
    normal_scores,
    scores,
    spread,
    uncertain_inputs,
)


def case_of(class_name: str = "family car", **sections: object) -> Case:
    case = resolve(CaseText({"format": "heatdocket-case/1", "vehicle": {"class": class_name}, **sections}))
    assert isinstance(case, Case), case
    return case


def test_sum_of_four_normal_inputs() -> None:
    # JCGM 101:2008, 9.2.2: u = 2.00, 95 % interval [-3.92, 3.92]. Tolerance: five times the sampling error of a
    # quantile of 20,000 members (the published run has 1e6).
    total = sum(scores(f"x{i}", 20_000, 7) for i in range(4))
    assert total.mean() == pytest.approx(0.0, abs=1e-3)
    assert total.std() == pytest.approx(2.00, rel=0.02)
    assert np.quantile(total, [0.025, 0.975]) == pytest.approx([-3.92, 3.92], abs=0.15)


@pytest.mark.parametrize(
    ("x1", "mean", "sd", "low", "high"),
    [(0.000, 50.0, 50.0, 0.0, 149.8), (0.010, 150.0, 111.8, 0.0, 366.0), (0.050, 2550.0, 502.5, 1593.6, 3548.6)],
)
def test_comparison_loss(x1: float, mean: float, sd: float, low: float, high: float) -> None:
    # JCGM 101:2008, 9.4: dY = X1^2 + X2^2, u = 0.005; means and deviations of its Table 8 (uncorrelated), in 1e-6. The
    # shortest 95 % intervals: exact noncentral chi-square for the first two is [0, q95]; the third published as
    # [1590, 3543]. A first-order propagation gives 0/0, 100/100 and 2500/500: the trap. Tolerance: sampling error.
    y = 1e6 * ((x1 + 0.005 * scores("x1", 50_000, 3)) ** 2 + (0.005 * scores("x2", 50_000, 3)) ** 2)
    assert y.mean() == pytest.approx(mean, rel=0.005)
    assert y.std() == pytest.approx(sd, rel=0.02)
    tail = 0.95 if low == 0.0 else 0.975
    assert np.quantile(y, tail) == pytest.approx(high, rel=0.02)


def test_each_input_takes_every_stratum_once() -> None:
    ranks = np.sort(stats.norm.cdf(scores("engine.displacement", 200, 1)))
    assert ranks == pytest.approx((np.arange(200) + 0.5) / 200)
    assert normal_scores(200) == pytest.approx(stats.norm.ppf((np.arange(200) + 0.5) / 200))


def test_draws_depend_on_seed_and_path_alone() -> None:
    assert np.array_equal(scores("a.b", 50, 1), scores("a.b", 50, 1))
    assert not np.array_equal(scores("a.b", 50, 1), scores("a.b", 50, 2))
    assert not np.array_equal(scores("a.b", 50, 1), scores("a.c", 50, 1))


def test_conductance_factor_spans_the_published_errors() -> None:
    # Ng, Johnson & Watkins (2005): predictions within +24/-10 % of nine measured radiators; taken as two deviations
    factor = UA_factor(10_000, 1, scaled=False)
    assert np.median(factor) == pytest.approx(1.0, abs=1e-3)
    assert np.quantile(factor, [0.02275, 0.97725]) == pytest.approx([1 / 1.25, 1 / 0.90], rel=5e-3)
    assert UA_factor(10_000, 1, scaled=True).std() == pytest.approx(0.05, rel=0.02)


def test_values_stay_within_what_the_catalogue_accepts() -> None:
    case = case_of(thermostat={"closed_leak": {"value": "0.2 %", "uncertainty": "5 %"}})
    drawn = drawn_values(uncertain_inputs(case), 500, 1)["thermostat.closed_leak"]
    assert drawn.min() == 0.0
    assert drawn.max() > 0.05


def test_a_typed_value_without_uncertainty_is_not_drawn() -> None:
    paths = {u.path for u in uncertain_inputs(case_of(engine={"displacement": "1.9 L"}))}
    assert "engine.displacement" not in paths
    assert "engine.rated_power" in paths
    assert not any(p.startswith(("job", "evidence", "rig", "limits")) for p in paths)


def test_derived_values_move_along() -> None:
    case = case_of(thermostat={"rating": {"value": "88 degC", "uncertainty": "3 K"}})
    drawn = draw(case, conditions_of(case.duties), 100, 1).case
    assert drawn.thermostat.start_to_open == pytest.approx(drawn.thermostat.rating)
    assert drawn.thermostat.full_open == pytest.approx(drawn.thermostat.rating + 12.0)


@pytest.mark.parametrize("name", sorted(CLASSES))
def test_every_drawn_member_fits_together(name: str) -> None:
    case = case_of(name)
    drawn = draw(case, conditions_of(case.duties), 300, 5)
    assert list(check_whole(drawn.case)) == []


def test_stated_uncertainties_of_everything_at_once_still_fit_together() -> None:
    lengths = {
        "core_depth": "24 mm",
        "tube_width": "23 mm",
        "tube_height": "1.8 mm",
        "tube_pitch": "9.8 mm",
        "fin_height": "8 mm",
        "louver_length": "7.8 mm",
    }
    core = {k: {"value": v, "uncertainty": "10 %"} for k, v in lengths.items()}
    case = case_of(
        radiator=core,
        thermostat={
            "start_to_open": {"value": "88 degC", "uncertainty": "8 K"},
            "full_open": {"value": "95 degC", "uncertainty": "8 K"},
        },
    )
    assert list(check_whole(draw(case, conditions_of(case.duties), 300, 5).case)) == []


def test_a_tube_pitch_of_its_own_is_drawn_by_itself() -> None:
    core = {"tube_pitch": {"value": "24 mm", "uncertainty": "1 mm"}, "tube_height": "2 mm", "fin_height": "8 mm"}
    drawn = draw(case := case_of(radiator=core), conditions_of(case.duties), 200, 1).case.radiator
    assert drawn.tube_pitch.std() == pytest.approx(1e-3, rel=0.02)
    assert np.ptp(drawn.fin_height) == 0.0


@pytest.mark.parametrize(
    "core",
    [
        {"tube_width": "2 mm"},
        {"tube_wall": {"value": "0.6 mm", "uncertainty": "0.4 mm"}},
        {"fin_thickness": {"value": "1 mm", "uncertainty": "1 mm"}},
    ],
)
def test_a_core_at_the_edge_of_what_can_be_built_stays_buildable(core: dict[str, object]) -> None:
    case = case_of(radiator=core, duties=[{"vehicle_speed": "80 km/h"}])
    drawn = draw(case, conditions_of(case.duties), 200, 1)
    assert list(check_whole(drawn.case)) == []
    assert np.isfinite(solve_drawn(drawn).coolant_out).all()


def test_an_engine_drawn_weaker_than_its_duty_still_gives_what_was_entered() -> None:
    """The class's rated power is uncertain; a power that was entered for a duty is not."""
    case = case_of("tractor", duties=[{"brake_power": "90 kW"}, {"brake_power": "40 kW"}])  # rated 90 kW, turbo
    drawn = draw(case, conditions_of(case.duties), 100, 1)
    assert solve_drawn(drawn).brake_power.reshape(2, 100) == pytest.approx(np.repeat([[90e3], [40e3]], 100, axis=1))
    rated = drawn.case.engine.rated_power.reshape(2, 100)
    assert rated[0].min() == pytest.approx(90e3)
    assert rated[1].std() == pytest.approx(9e3, rel=0.05)  # the duty that does not ask for it all tells nothing


def test_power_at_the_wheels_is_drawn_with_the_drivelines_efficiency() -> None:
    duty = {"wheel_power": {"value": "50 kW", "uncertainty": "2 kW"}}
    case = case_of("pickup", duties=[{"ambient": "20 degC"}, duty])
    drawn = draw(case, conditions_of(case.duties), 200, 1)
    power = drawn.conditions.brake_power.reshape(2, 200)
    assert np.isnan(power[0]).all()
    wheel = power[1] * drawn.case.vehicle.driveline_efficiency.reshape(2, 200)[1]
    assert (wheel.mean(), wheel.std()) == (pytest.approx(50e3, rel=1e-3), pytest.approx(2e3, rel=0.02))


def test_the_uncertainty_of_one_duty_stays_in_that_duty() -> None:
    case = case_of(
        duties=[
            {"name": "a", "ambient": "20 degC"},
            {"name": "b", "ambient": {"value": "20 degC", "uncertainty": "4 K"}},
        ]
    )
    ambient = draw(case, conditions_of(case.duties), 100, 1).conditions.ambient.reshape(2, 100)
    assert np.ptp(ambient[0]) == 0.0
    assert ambient[1].std() == pytest.approx(4.0, rel=0.02)


def test_members_of_an_ensemble_are_single_cases() -> None:
    case = case_of(duties=[{"name": "a"}, {"name": "b", "vehicle_speed": "110 km/h", "grade": "5 %"}])
    drawn = draw(case, conditions_of(case.duties), 3, 2)
    together = solve_drawn(drawn)
    for i in range(6):
        values = {
            p: np.broadcast_to(value_at(drawn.case, p), (6,))[i : i + 1]
            for p in drawn.case.given
            if isinstance(value_at(drawn.case, p), np.ndarray) and not p.startswith("duties")
        }
        one = replace(
            drawn,
            case=with_values(case, values),
            UA_factor=drawn.UA_factor[i : i + 1],
            conditions=drawn.conditions.replace(
                **{
                    k: np.broadcast_to(getattr(drawn.conditions, k), (6,))[i : i + 1]
                    for k in type(drawn.conditions).__dataclass_fields__
                }
            ),
        )
        assert solve_drawn(one).coolant_out[0] == pytest.approx(together.coolant_out[i], abs=1e-5)


def test_spread_counts_members_that_boil_as_not_holding() -> None:
    case = case_of(
        duties=[
            {"name": "idle"},
            {"name": "flat out", "brake_power": "85 kW", "vehicle_speed": "20 km/h", "ambient": "45 degC"},
        ]
    )
    drawn = draw(case, conditions_of(case.duties), 60, 1)
    found = spread(drawn, np.full(2, 388.15), solve_drawn)
    assert found.holds_probability[0] > 0.95
    assert found.holds_probability[1] < 0.05
    assert found.solved[1] < 1.0
    assert np.all(found.low <= found.high)
