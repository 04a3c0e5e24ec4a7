"""Sizing: what is needed holds when it is put in, a gain is what a new run gives, and each side can be the one."""

from __future__ import annotations

from dataclasses import replace

import ht
import numpy as np
import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.catalogue import entry, pattern_of
from engcalc.case.conditions import conditions_of
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.errors import Cancelled
from engcalc.quantity_kinds import KINDS
from engcalc.studies.check import check
from engcalc.studies.choice.changes import SystemSide, changes_for
from engcalc.studies.choice.sizing import (
    ConductanceHolds,
    limiting,
    needed_ua,
    options,
    settled,
    size,
    tried,
    worst_duty,
)
from engcalc.studies.choice.tables import parse_table
from engcalc.studies.members import limit_of, member, solve_duties, solve_duty, stacked, varied
from engcalc.system.operating_point import solve
from engcalc.system.plant import prepare
from engcalc.units import to_unit
from engcalc.verdict import Verdict
from engcalc.words.answer.reasons import deciding
from engcalc.words.texts import study_texts

CLIMB = 5


def margin_of(case, duty, point):
    """Limit less settled peak [K]."""
    return limit_of(case, duty, point) - point.peak


@pytest.fixture(scope="module")
def sized(towing):
    return size(towing)


# --- the worked example ------------------------------------------------------------------------------------------


def test_only_the_climb_fails_and_it_is_the_one_that_is_sized(towing, sized):
    verdicts = [duty.verdict for duty in check(towing, members=100).duties]
    assert len(verdicts) >= 10
    assert verdicts[CLIMB] is Verdict.UNDERSIZED
    assert all(v is Verdict.HOLDS for i, v in enumerate(verdicts) if i != CLIMB)
    assert (sized.duty_index, sized.holds, sized.boils) == (CLIMB, False, False)
    assert sized.name == "Climb with trailer, 12 % at 1800 m"


def test_three_changes_together_mend_it_and_spoil_nothing(sized):
    assert sized.together is not None
    assert sized.together.change.name.count(";") == 2
    assert sized.together.holds
    assert sized.together.spoils == ()
    assert sized.limiting.side is SystemSide.AIRFLOW


def test_options_are_ranked_by_gain(sized):
    gains = [o.gain for o in sized.options if o.gain is not None]
    assert gains == sorted(gains, reverse=True)
    assert len(gains) >= 15
    assert gains[-1] < 0.0  # a full shroud holds the ram back at this speed
    for o in sized.options:
        assert o.holds == (o.margin is not None and o.margin >= sized.wanted_margin)


# --- identities --------------------------------------------------------------------------------------------------


def test_the_needed_conductance_put_in_holds_the_limit_with_the_margin(towing, sized):
    needed = sized.needed
    assert needed.reach is ConductanceHolds.FOUND
    plant = prepare(towing)
    point = solve(replace(plant, ua_scale=plant.ua_scale * needed.scale), conditions_of((towing.duties[CLIMB],)))
    assert point.coolant_out[0] == pytest.approx(needed.target, abs=1e-3)
    assert needed.target == pytest.approx(118.0 + 273.15 - 5.0)  # the case's limit less the margin wanted
    assert point.core.UA[0] == pytest.approx(needed.UA, rel=1e-9)
    assert needed.UA / needed.UA_now > 1.2
    others = solve(replace(plant, ua_scale=plant.ua_scale * needed.scale), conditions_of(towing.duties))
    margins = [margin_of(towing, d, member(others, i))[0] for i, d in enumerate(towing.duties)]
    assert min(margins) >= 5.0 - 1e-3


def test_the_needed_conductance_of_a_bench_is_that_of_the_effectiveness_method(cases):
    """Given flows and heat fix it in closed form; ht inverts the exact integral for cross flow."""
    case = cases(
        "bench rig",
        duties=[{"coolant_flow": "12 L/min", "air_velocity": "4 m/s", "ambient": "20 degC"}],
        circuit__extra=[{"name": "immersion heater", "heat": "12 kW"}],
        limits__coolant_limit="80 degC",
        limits__margin="2 K",
    )
    needed = needed_ua(case)
    assert needed.reach is ConductanceHolds.FOUND
    plant = prepare(case)
    point = solve(replace(plant, ua_scale=plant.ua_scale * needed.scale), conditions_of(case.duties))
    hot, cold = point.core.exchange.C_hot[0], point.core.exchange.C_cold[0]
    eps = 12_000.0 / (min(hot, cold) * (80.0 - 2.0 - 20.0))
    NTU = ht.hx.NTU_from_effectiveness(eps, Cr=min(hot, cold) / max(hot, cold), subtype="crossflow")
    closed_form = NTU * min(hot, cold)
    assert needed.UA / closed_form == pytest.approx(1.0, rel=1e-4)  # the search ends at 1e-6


def si_text(path: str, value: float) -> str:
    """A value as a person would type it, with all its digits."""
    kind = entry(pattern_of(path)).input.kind
    unit = KINDS[kind].si
    return f"{to_unit(float(value), unit, kind)!r} {unit}".strip()


def test_a_gain_is_what_the_case_with_the_change_typed_gives_in_the_same_circuit(cases, towing, towing_text, sized):
    for option in sized.options:
        text = towing_text
        for path, value in option.change.values.items():
            text = text.with_value(path, value if isinstance(value, str) else si_text(path, value[0]))
        case = replace(cases.read(text), flows_with=towing.radiator)
        point = solve_duty(case, CLIMB)
        assert point.solved[0]
        assert option.coolant_out == pytest.approx(point.coolant_out[0], abs=1e-5), option.change.name
        margin = margin_of(case, case.duties[CLIMB], point)[0]
        assert option.gain == pytest.approx(margin - sized.margin, abs=1e-5), option.change.name


def test_another_core_is_tried_in_the_circuit_as_it_was_sized(towing, sized):
    """The stated flow came out again with every core: one more pass gained, though pump and hoses are the same."""
    now, drop = sized.point.radiator_mass_flow[0], sized.point.core.coolant_drop.dp[0]
    flows = {}
    for change in ({"radiator.passes": np.array([2.0])}, {"radiator.core_height": 1.2 * towing.radiator.core_height}):
        point = solve_duty(varied(towing, change), CLIMB)
        flows[next(iter(change))] = point.radiator_mass_flow[0] / now, point.core.coolant_drop.dp[0] / drop
    less, more_drop = flows["radiator.passes"]
    assert less < 0.97
    assert 4.0 * less < more_drop < 8.0 * less**2  # twice the length, twice the velocity: from laminar to square law
    more, less_drop = flows["radiator.core_height"]
    assert 1.0 < more < 1.05
    assert less_drop < 0.95
    (again,) = [o for o in sized.options if o.change.name == "one more pass through the same core"]
    assert again.gain is not None
    assert again.gain < 0.0


def test_all_changes_at_once_are_each_change_alone(towing, sized):
    changes = [o.change for o in sized.options]
    for together, change in zip(sized.options, changes, strict=True):
        alone = tried(towing, CLIMB, [change])[0]
        assert alone.gain == pytest.approx(together.gain, abs=1e-5)
        assert alone.spoils == together.spoils


def test_where_nothing_boils_duties_settle_at_their_operating_points(towing):
    point, free = solve_duties(towing), settled(towing)
    assert point.solved.all()
    long = [i for i, duty in enumerate(towing.duties) if duty.duration is None]
    np.testing.assert_allclose(free.coolant_out[long, 0], point.coolant_out[long], atol=1e-5)
    assert not free.boils.any()
    assert not free.beyond.any()


def test_a_duty_with_a_duration_is_sized_by_its_peak(cases):
    """The margin and the peak that sizing starts from are those of the check."""
    pull = {"name": "pull", "brake_power": "60 kW", "vehicle_speed": "60 km/h", "ambient": "40 degC"}
    long, short = (cases("family car", duties=[{**pull, **more}]) for more in ({}, {"duration": "50 s"}))
    now = check(short, members=0).duties[0]
    found = size(short)
    # K; sizing raises the cap's pressure, which moves the upper nodes of the table
    assert found.margin == pytest.approx(now.margin, abs=0.01)
    assert found.coolant_out == pytest.approx(now.peak, abs=0.01)
    assert needed_ua(short).scale < needed_ua(long).scale


# --- duties that boil --------------------------------------------------------------------------------------------


def test_a_duty_that_boils_is_sized_by_where_it_would_settle(cases, towing_text):
    case = cases.read(towing_text.with_value("airflow.fan_count", "1"))
    found = size(case)
    assert found.boils
    assert found.duty_index == CLIMB
    assert found.coolant_out > float(found.point.boiling[0])
    assert not bool(found.point.solved[0])
    fan = next(o for o in found.options if o.change.name.startswith("one more fan"))
    assert fan.gain > 10.0
    assert fan is found.options[0]
    cap = next(o for o in found.options if o.side is SystemSide.CAP)
    assert cap.gain == 0.0  # the coolant's limit lies under boiling: more pressure cools nothing
    # the same change in a case that does not boil: its margin is the difference of real operating points
    two = cases.read(towing_text)
    point = solve_duty(two, CLIMB)
    assert fan.margin == pytest.approx(margin_of(two, two.duties[CLIMB], point)[0], abs=1e-5)


def test_flows_that_fall_short_have_no_needed_conductance(cases, towing_text):
    case = cases.read(towing_text.with_value("airflow.fan_count", "0").with_value("duties[5].vehicle_speed", "20 km/h"))
    needed = needed_ua(case, (CLIMB,))
    assert needed.reach is ConductanceHolds.NONE
    assert needed.UA is None
    assert needed.scale is None


def test_a_cold_duty_holds_with_any_conductance(towing):
    needed = needed_ua(towing, (0,))
    assert needed.reach is ConductanceHolds.ANY
    assert needed.UA is None


def test_the_worst_duty_asks_for_most(towing):
    each = [needed_ua(towing, (i,)) for i in range(len(towing.duties))]
    found = [n for n in each if n.scale is not None]
    assert needed_ua(towing).duty_index == max(found, key=lambda n: n.scale).duty_index == CLIMB
    assert worst_duty(towing) == CLIMB


# --- which side limits -------------------------------------------------------------------------------------------

HOT = {
    "name": "hill",
    "vehicle_speed": "60 km/h",
    "grade": "10 %",
    "trailer_mass": "2000 kg",
    "ambient": "38 degC",
    "fan": "on",
}
LIMITED = [
    (SystemSide.AIRFLOW, {"airflow__fan_count": "0"}, HOT),
    (SystemSide.AIRFLOW, {"radiator__blocked_face": "60 %"}, HOT),
    (SystemSide.VALVE, {"thermostat__maximum_opening": "4 %"}, HOT),
    (SystemSide.AIRFLOW, {"airflow__fan_drive": "none"}, {**HOT, "vehicle_speed": "40 km/h"}),
    (SystemSide.PUMP, {"circuit__aeration": "25 %"}, HOT),
    (SystemSide.COOLANT, {"radiator__fouling": "0.01 m2 K/W"}, HOT),
    (SystemSide.HEAT, {"circuit__extra": [{"name": "brake cooler", "heat": "60 kW"}]}, HOT),
    (
        SystemSide.CAP,
        {
            "coolant__cap_pressure": "0 bar",
            "coolant__base": "water",
            "coolant__concentration": "0 %",
            "airflow__fan_count": "6",
            "airflow__opening_area": "1 m2",
            "airflow__exit_area": "2 m2",
            "radiator__fouling": "0 m2 K/W",
            "thermostat__rating": "60 degC",
        },
        {**HOT, "grade": "2 %", "altitude": "2500 m", "trailer_mass": "0 kg"},
    ),
]


@pytest.mark.parametrize(("side", "values", "duty"), LIMITED, ids=[f"{i} {row[0]}" for i, row in enumerate(LIMITED)])
def test_the_side_that_is_at_fault_limits(cases, side, values, duty):
    found = limiting(options(cases(duties=[duty], **values), 0))
    assert found.side is side
    assert found.gains[side] == max(found.gains.values())


def test_a_small_core_with_plenty_of_air_limits_on_the_air_side(cases):
    case = cases(duties=[{**HOT, "air_velocity": "8 m/s"}], radiator__core_height="200 mm")
    found = limiting(options(case, 0))
    assert found.side in (SystemSide.AIR, SystemSide.HEAT)
    gains = found.gains
    assert gains[SystemSide.AIR] > max(gains[SystemSide.PUMP], gains[SystemSide.COOLANT], gains[SystemSide.AIRFLOW])


def test_a_valve_that_is_fully_open_is_not_offered_a_cooler_one(towing):
    names = [c.name for c in changes_for(towing, CLIMB, SystemSide.AIR, valve_holds=False)]
    assert not any("thermostat rated" in name for name in names)
    held = [c.name for c in changes_for(towing, CLIMB, SystemSide.AIR, valve_holds=True)]
    assert any("thermostat rated" in name for name in held)


# --- what cannot be built, what spoils, the user's parts -----------------------------------------------------------


def test_what_the_catalogue_does_not_accept_is_said_and_stands_last(cases):
    case = cases(duties=[HOT], radiator__core_width="3.9 m", radiator__core_height="3.9 m")
    found = options(case, 0)
    wide = next(o for o in found if "wider" in o.change.name)
    assert (wide.feasible, wide.gain, wide.coolant_out, wide.holds) == (False, None, None, False)
    assert [f.path for f in wide.why_not] == ["radiator.core_width"]
    assert all(not o.feasible for o in found[-2:])


def test_dimensions_that_do_not_fit_are_said(cases):
    case = cases(duties=[HOT], radiator__tube_width="18 mm", radiator__tube_rows="2", radiator__core_depth="40 mm")
    parts = parse_table("name,core_depth\nflat one,20 mm\n")
    flat = next(o for o in options(case, 0, parts) if o.change.from_table)
    assert not flat.feasible
    assert flat.why_not[0].path == "radiator.tube_width"


def test_the_users_parts_stand_in_the_ranking_and_what_they_spoil_is_named(towing):
    parts = parse_table(
        "name,core_width,fan_drive,opening_area\nwide core,1000 mm,,\nno fan but a large mouth,720 mm,none,0.9 m2\n"
    )
    found = {o.change.name: o for o in options(towing, CLIMB, parts)}
    assert found["wide core"].holds
    assert found["wide core"].side is SystemSide.AIR
    assert not found["no fan but a large mouth"].holds
    gains = [o.gain for o in options(towing, CLIMB, parts) if o.gain is not None]
    assert gains == sorted(gains, reverse=True)


def test_a_change_that_mends_one_duty_and_breaks_another_names_it(cases):
    duties = [HOT, {"name": "stopped", "ambient": "38 degC", "brake_power": "25 kW", "fan": "auto"}]
    case = cases(duties=duties)
    assert settled(case).margin[1, 0] > 0.0
    broken = next(
        o
        for o in options(case, 0, parse_table("name,fan_drive,core_height\ntall,none,900 mm\n"))
        if o.change.from_table
    )
    assert broken.spoils == ("stopped",)


def test_a_case_of_three_unlike_members_settles_as_three_cases(cases):
    unlike = [
        cases(duties=[HOT]),
        cases(duties=[{**HOT, "ambient": "-20 degC"}]),
        cases(duties=[HOT], radiator__blocked_face="80 %"),
    ]
    whole = settled(stacked(unlike), 3)
    assert whole.boils[0].tolist() == [False, False, True]
    for k, case in enumerate(unlike):
        one = settled(case)
        assert whole.margin[0, k] == pytest.approx(one.margin[0, 0], abs=1e-5)
        assert whole.beyond[0, k] == one.beyond[0, 0]


@pytest.mark.fresh
def test_sizing_tells_its_progress_and_can_be_cancelled(towing):
    told: list[float] = []
    size(towing, progress=told.append)
    assert told[0] == 0.0
    assert told[-1] == 1.0
    assert told == sorted(told)
    with pytest.raises(Cancelled):
        size(towing, cancelled=lambda: True)


def test_a_change_leaves_the_case_untouched(towing):
    before = float(towing.radiator.core_depth[0])
    varied(towing, {"radiator.core_depth": np.array([0.05])})
    size(towing)
    assert float(towing.radiator.core_depth[0]) == before


def test_another_core_keeps_the_factor_of_the_makers_point(cases):
    """The point was the old core's: scaling the new one to it as well would leave no gain at all."""
    point = {
        "radiator__rated_heat": "60 kW",
        "radiator__rated_coolant_flow": "120 L/min",
        "radiator__rated_air_velocity": "5 m/s",
        "radiator__rated_inlet_difference": "60 K",
    }
    duties = [{"brake_power": "80 kW", "vehicle_speed": "60 km/h", "ambient": "40 degC"}]
    gains = [
        max(o.gain for o in options(cases("family car", duties=duties, **more)) if "wider" in o.change.name)
        for more in ({}, point)
    ]
    assert gains[0] > 1.0
    assert gains[1] > 0.5 * gains[0]


@pytest.mark.parametrize(("speed", "hinder"), [("120 km/h", True), ("10 km/h", False)])
def test_a_further_fan_where_fans_stand_in_the_airs_way_says_so(speed: str, hinder: bool) -> None:
    """At motorway speed the ram drives more air than a fan can: common practice, no source."""
    duty = {"name": "Hot hill", "ambient": "45 degC", "vehicle_speed": speed, "grade": "9 %"}
    tree = {"format": "heatdocket-case/1", "vehicle": {"class": "family car"}, "duties": [duty]}
    case = resolve(CaseText(tree))
    assert isinstance(case, Case)
    cautions = {option.change.name: option.change.caution for option in options(case)}
    for name in ("one more fan of the same kind", "a fan of 25 % more flow"):
        assert (cautions[name] == study_texts.IN_THE_WAY) is hinder


def test_a_duty_that_begins_boiling_is_not_the_one_to_mend():
    """ "No radiator of any size holds the way back" was said of a duty that only began where one that boiled ended."""
    text = read_case(worked_examples.folder() / "track-day-car.heatcase.json").with_value(
        "coolant.cap_pressure", "0.3 bar"
    )
    lap = {"name": "Lap", "ambient": "30 degC", "vehicle_speed": "95 km/h", "wheel_power": "150 kW"}
    lap |= {"engine_speed": "5600 rpm", "duration": "3 min", "start": "warm"}
    back = {"name": "Way back", "ambient": "30 degC", "vehicle_speed": "30 km/h", "duration": "3 min", "start": "above"}
    case = resolve(CaseText({**text.tree, "duties": [lap, back]}))
    assert isinstance(case, Case), case
    checked = check(case)
    assert [duty.boils for duty in checked.duties] == [True, True]
    assert worst_duty(case) == deciding(checked).index == 0
    found = size(case)
    assert (found.name, found.needed.name) == ("Lap", "Lap")
