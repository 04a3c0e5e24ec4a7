"""Pictures say what the check says: amounts close, temperatures stand where they belong, curves are the textbook's."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from engcalc.components.exchanger import Arrangement, exchange
from engcalc.units import UnitSystem, to_unit, unit_for
from engcalc.verdict import Finding, FindingCode, FindingLevel, Verdict
from engcalc.words.page.picture_words import EARLY_CAPTION
from reports.plots import balance, exchanger, measured, temperatures
from reports.plots.describe import Chart, Flow, LabelledPoint, Line, Mark, Marker, Plot, Rows, Tone, Words
from reports.plots.lines import AxisQuantity, Grid, Guides, Swept, level_map, line_chart

BTU_PER_KWH = 1000.0 / 0.2930711  # NIST SP 811 (2008), appendix B.9


def duties(examples):
    return [(check, duty) for check in examples.values() for duty in check.duties]


def by_key(flow: Flow):
    return {part.key: part for column in flow.columns for part in column}


def test_oil_in_the_tanks_is_in_the_balance_and_in_what_the_core_gets(oil_in_tanks):
    """Into the coolant as much as out of it, both tanks included; hotter into the core than out of the engine."""
    duty = oil_in_tanks.duties[0]
    flow = balance.heat_balance(duty, UnitSystem.SI)
    parts = by_key(flow)
    assert (parts["hot_tank"].amount, parts["cold_tank"].amount) == (pytest.approx(5.0), pytest.approx(5.0))
    into = sum(parts[key].amount for key in ("metal", "hot_tank", "cold_tank"))
    out = sum(part.amount for part in flow.columns[-1])
    assert into == pytest.approx(out, abs=2.0 * balance.LEAST * parts["fuel"].amount)  # hairs are left out
    row = next(
        r for r in temperatures.temperatures(duty, oil_in_tanks.case, UnitSystem.SI).rows if "radiator" in r.label
    )
    C = float((duty.point.radiator_mass_flow * duty.point.core.flows.coolant.cp)[0])
    assert row.spans[0].high == pytest.approx(float(duty.point.coolant_out[0]) - 273.15 + 5000.0 / C, abs=1e-6)


# ---- heat balance ----------------------------------------------------------------------------------------------------


def test_amounts_are_the_operating_point_s_in_kilowatts(examples):
    fields = {
        "fuel": "fuel_power",
        "brake": "brake_power",
        "exhaust": "heat_exhaust",
        "rest": "heat_rest",
        "metal": "heat_to_metal",
        "extra": "extra_heat",
        "surface": "surface_heat",
        "radiator": "radiator_heat",
        "heater": "heater_heat",
        "hoses": "hose_heat",
    }
    seen = set()
    for _, duty in duties(examples):
        for key, part in by_key(balance.heat_balance(duty, UnitSystem.SI)).items():
            assert part.amount == pytest.approx(getattr(duty.point, fields[key])[0] / 1000.0, rel=1e-9)
            seen.add(key)
    assert seen == set(fields)


def test_what_comes_into_a_part_is_what_it_holds_and_passes_on(examples):
    """Fuel into brake, exhaust, rest, metal; metal and other sources into surface, radiator, heater. Parts too small
    to draw (under a thousandth) are left out, so the sums agree to that."""
    for _, duty in duties(examples):
        flow = balance.heat_balance(duty, UnitSystem.SI)
        parts = by_key(flow)
        whole = max(part.amount for part in parts.values())
        for key, part in parts.items():
            into = sum(link.amount for link in flow.links if link.target == key)
            out = sum(link.amount for link in flow.links if link.source == key)
            assert into == pytest.approx(part.amount, abs=3e-3 * whole) or into == 0.0
            assert out == pytest.approx(part.amount, abs=3e-3 * whole) or out == 0.0
            assert into + out > 0.0, key


def test_heat_in_us_units_is_the_same_heat(examples):
    for _, duty in duties(examples):
        metric, us = (by_key(balance.heat_balance(duty, system)) for system in (UnitSystem.SI, UnitSystem.US))
        for key, part in metric.items():
            assert us[key].amount == pytest.approx(part.amount * BTU_PER_KWH, rel=1e-6)


def test_small_heat_is_told_in_watts():
    assert balance.heat_words(440.4, UnitSystem.SI) == "440 W"
    assert balance.heat_words(123456.0, UnitSystem.SI) == "123 kW"


def test_a_bench_has_no_fuel(examples):
    parts = by_key(balance.heat_balance(examples["bench-exchanger"].duties[0], UnitSystem.SI))
    assert set(parts) == {"extra", "radiator"}


def test_what_has_no_steady_state_is_drawn_at_its_boiling_point_or_not_at_all(boiling):
    duty = boiling.duties[0]
    assert duty.verdict is Verdict.UNDERSIZED
    assert "boiling point" in balance.heat_balance(duty, UnitSystem.SI).words.caption
    assert temperatures.temperatures(duty, boiling.case, UnitSystem.SI) is None
    assert exchanger.resistances(duty, UnitSystem.SI) is None


# ---- temperatures ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("system", list(UnitSystem))
def test_temperatures_stand_at_the_point_s_values(examples, system):
    def T(kelvin):
        return pytest.approx(to_unit(float(kelvin), unit_for("temperature", system), "temperature"), abs=1e-9)

    for check, duty in duties(examples):
        plot = temperatures.temperatures(duty, check.case, system)
        point = duty.point
        spans = {row.label: row.spans[0] for row in plot.rows if row.spans}
        first = spans[
            "Coolant, into and out of the engine"
            if point.fuel_power[0] > 0
            else "Coolant, into and out of the heat source"
        ]
        assert (first.low, first.high) == (T(point.coolant_in[0]), T(point.coolant_out[0]))
        air = spans["Air, into and out of the radiator"]
        assert (air.low, air.high) == (T(point.air_in[0]), T(point.core.T_air_out[0]))
        marks = {mark.tone: mark.at for mark in plot.marks}
        assert marks[Tone.AIR] == T(duty.duty.ambient[0])
        assert marks[Tone.BOILING] == T(point.boiling[0])
        assert marks.get(Tone.LIMIT, T(point.boiling[0])) == T(duty.limit)
        low, high = plot.x.limits
        assert all(low <= v <= high for row in plot.rows for s in row.spans for v in (s.low, s.high))


def test_a_healthy_valve_shows_only_where_it_would_differ(examples):
    label = "Out of the engine with a healthy thermostat"
    van = examples["van-no-heat"]
    for check, duty in duties(examples):
        rows = [row.label for row in temperatures.temperatures(duty, check.case, UnitSystem.SI).rows]
        differs = abs(duty.healthy.coolant_out[0] - duty.point.coolant_out[0]) > 1.0
        assert (label in rows) == differs
    assert any(
        label in [row.label for row in temperatures.temperatures(d, van.case, UnitSystem.SI).rows] for d in van.duties
    )


def test_the_caption_says_on_which_side_of_the_limit_the_coolant_is(examples):
    track = examples["track-day-car"]
    over = [d for d in track.duties if d.margin is not None and d.margin < 0.0]
    assert over
    for duty in over:
        caption = temperatures.temperatures(duty, track.case, UnitSystem.SI).words.caption
        assert f"{-duty.margin:.0f} K above" in caption


def test_margins_show_every_duty_with_spread_and_limit(examples):
    check = examples["track-day-car"]
    plot = temperatures.margins(check, UnitSystem.SI)
    assert [row.label for row in plot.rows] == [duty.name for duty in check.duties]
    for row, duty in zip(plot.rows, check.duties, strict=True):
        assert row.spans[0].low == pytest.approx(duty.spread_low - 273.15)
        assert row.spans[0].high == pytest.approx(duty.spread_high - 273.15)
        assert [dot.at for dot in row.dots] == pytest.approx([duty.point.coolant_out[0] - 273.15, duty.limit - 273.15])


# ---- exchanger -------------------------------------------------------------------------------------------------------


def test_shares_of_resistance_add_up_to_all_of_it(examples):
    for _, duty in duties(examples):
        plot = exchanger.resistances(duty, UnitSystem.SI)
        assert sum(row.spans[0].high for row in plot.rows) == pytest.approx(100.0, rel=1e-9)


def test_the_operating_point_lies_on_its_own_curve(examples):
    """Between the points of the curve by a straight line: 61 of them leave under 0.002."""
    for check, duty in duties(examples):
        plot = exchanger.effectiveness_chart(duty.name, duty.point.core.exchange, check.plant.arrangement)
        own = plot.series[-1]
        for spot in plot.spots:
            assert np.interp(spot.x, own.x, own.y) == pytest.approx(spot.y, abs=2e-3)


def test_curves_are_the_textbook_s():
    """Cr = 0: 1 - exp(-NTU) for every arrangement; counterflow with Cr = 1: NTU/(1 + NTU). Incropera 7e, Table 11.3."""
    passed = exchange(100.0, 200.0, 100.0, 360.0, 300.0, Arrangement.COUNTERFLOW)
    plot = exchanger.effectiveness_chart("x", passed, Arrangement.COUNTERFLOW)
    curves = {series.name: series for series in plot.series[:-1]}
    x = curves["Cᵣ = 0"].x
    assert curves["Cᵣ = 0"].y == pytest.approx(1.0 - np.exp(-x), abs=1e-6)
    assert curves["Cᵣ = 1"].y == pytest.approx(x / (1.0 + x), abs=1e-6)


def test_a_measured_point_stands_beside_the_computed_one(examples):
    point = examples["bench-exchanger"].rig[0]
    at = (point.NTU.measured, point.effectiveness.measured)
    plot = exchanger.effectiveness_chart("Point 1", point.computed.exchange, Arrangement.BOTH_UNMIXED, at)
    assert [(spot.x, spot.y) for spot in plot.spots if spot.words == "measured"] == [at]


# ---- measured --------------------------------------------------------------------------------------------------------


def test_readings_stand_on_the_range_of_a_healthy_vehicle(examples):
    van = examples["van-no-heat"]
    (hose,) = van.elsewhere
    check = replace(van, elsewhere=(replace(hose, expected_high=hose.expected_low + 30.0),))
    plot = measured.readings(check, UnitSystem.SI)
    every = (*check.readings, *check.elsewhere)  # the coolant first, then hoses and vents
    assert len(plot.rows) == len(every) > len(check.readings) > 0
    for row, reading in zip(plot.rows, every, strict=True):
        assert (row.spans[0].low, row.spans[0].high) == pytest.approx(
            (reading.expected_low - 273.15, reading.expected_high - 273.15)
        )
        assert row.dots[0].at == pytest.approx(reading.measured - 273.15)
        ends = {f"{T - 273.15:.0f} °C" for T in (reading.expected_low, reading.expected_high)}
        assert {row.spans[0].low_words, row.spans[0].high_words} - {""} == ends, "one number where both are the same"
    assert measured.readings(examples["bench-exchanger"], UnitSystem.SI) is None


def test_a_hose_that_tells_nothing_stands_only_where_nothing_else_was_read(examples):
    """The valve's side is not known, so that healthy vehicles lie 90 K apart at the upper hose."""
    van = examples["van-no-heat"]
    plot = measured.readings(van, UnitSystem.SI)
    assert [row.label for row in plot.rows] == ["Before, at 35 min, scan tool"]
    assert plot.words.title == "Coolant readings against a healthy vehicle"
    alone = measured.readings(replace(van, readings=(), history=()), UnitSystem.SI)
    assert ["upper radiator hose" in row.label for row in alone.rows] == [True]
    assert alone.words.title == "Readings against a healthy vehicle"


def test_the_readings_are_explained_by_the_marks_that_are_drawn(examples):
    """A ring for a number, a bar for a word; never a mark that is not there."""
    check = examples["van-no-heat"]
    plot = measured.readings(check, UnitSystem.SI)
    assert "ring" in plot.words.caption
    assert "word" not in plot.words.caption
    worded = replace(check, readings=tuple(replace(one, word="middle") for one in check.readings), elsewhere=())
    plot = measured.readings(worded, UnitSystem.SI)
    assert not any(row.dots for row in plot.rows)
    assert "ring" not in plot.words.caption
    assert "what a word stands for" in plot.words.caption
    assert Marker.RING not in {dot.shape for dot in plot.key}


@pytest.mark.parametrize(("over", "told"), [(5.0, True), (20.0, False)])
def test_a_reading_that_was_warm_early_is_not_left_to_be_taken_for_a_fault(examples, over, told):
    """Right of its bar on a green page: the picture says why, as long as a healthy thermostat lets it get there."""
    check = examples["van-no-heat"]
    one = check.readings[0]
    numbers = {"measured": one.expected_high + over, "expected_high": one.expected_high}
    numbers["regulates"] = one.expected_high + 10.0
    agrees = Finding(FindingCode.READING_AGREES, FindingLevel.NOTE, numbers)
    plot = measured.readings(replace(check, readings=(replace(one, findings=(agrees,)),)), UnitSystem.SI)
    assert (EARLY_CAPTION in plot.words.caption) is told
    assert EARLY_CAPTION not in measured.readings(check, UnitSystem.SI).words.caption


def test_rig_points_show_measured_over_computed(examples):
    check = examples["bench-exchanger"]
    plot = measured.rig(check)
    heats = [row for row in plot.rows if row.label.endswith("heat from the coolant")]
    assert len(heats) == len(check.rig) > 0
    for row, point in zip(heats, check.rig, strict=True):
        ratio = 100.0 * (point.heat_hot.measured / point.heat_hot.computed - 1.0)
        half = 200.0 * point.heat_hot.uncertainty / point.heat_hot.computed
        assert row.dots[0].at == pytest.approx(ratio)
        assert (row.spans[0].low, row.spans[0].high) == pytest.approx((ratio - half, ratio + half))
    assert measured.rig(examples["van-no-heat"]) is None


def test_rig_points_stand_on_the_chart_with_their_uncertainty(examples):
    check = examples["bench-exchanger"]
    plot = exchanger.rig_effectiveness(check)
    measured_points, computed = plot.series[-2:]
    assert measured_points.y == pytest.approx([p.effectiveness.measured for p in check.rig])
    assert measured_points.y_error == pytest.approx([2.0 * p.effectiveness.uncertainty for p in check.rig])
    assert computed.x == pytest.approx([p.NTU.computed for p in check.rig])
    assert plot.x.limits[1] > computed.x.max()
    assert exchanger.rig_effectiveness(examples["van-no-heat"]) is None


# ---- lines and maps --------------------------------------------------------------------------------------------------

WORDS = Words("Title", "What to see", "All of it told")


def warm_up(system: UnitSystem) -> Chart:
    t = np.linspace(0.0, 1800.0, 61)
    T = 263.15 + 90.0 * (1.0 - np.exp(-t / 400.0))
    return line_chart(
        WORDS,
        AxisQuantity("Time", "time", zero=True),
        AxisQuantity("Coolant", "temperature"),
        [Swept("healthy", t, T, low=T - 5.0, high=T + 5.0)],
        system,
        Guides(
            along_x=(Mark(600.0, "idle ends", Tone.MUTED),),
            along_y=(Mark(361.15, "opens", Tone.VALVE, Line.DASHED),),
            spots=(LabelledPoint(720.0, 331.15, "read", Tone.INK),),
        ),
    )


def test_a_line_chart_shows_minutes_and_degrees():
    plot = warm_up(UnitSystem.SI)
    assert plot.series[0].x[-1] == pytest.approx(30.0)
    assert plot.series[0].y[0] == pytest.approx(-10.0)
    assert (plot.x.title, plot.y.title) == ("Time, min", "Coolant, °C")
    assert (plot.x_marks[0].at, plot.y_marks[0].at) == pytest.approx((10.0, 88.0))
    assert (plot.spots[0].x, plot.spots[0].y) == pytest.approx((12.0, 58.0))
    assert plot.y.limits[0] <= plot.bands[0].low.min()
    assert plot.bands[0].high.max() <= plot.y.limits[1]


def test_a_map_draws_its_levels_where_the_quantity_has_them():
    """On a plane z = x every level is an upright line at its own value."""
    x, y = np.linspace(0.0, 10.0, 21), np.linspace(0.0, 5.0, 11)
    plot = level_map(
        WORDS,
        AxisQuantity("x", "number"),
        AxisQuantity("y", "number"),
        AxisQuantity("z", "number"),
        Grid(x, y, np.broadcast_to(x, (11, 21))),
        UnitSystem.SI,
    )
    assert [level.at for level in plot.levels] == list(plot.value.ticks[1:-1])
    for level in plot.levels:
        for piece in level.pieces:
            assert piece[:, 0] == pytest.approx(level.at, abs=1e-9)
    assert len(plot.regions) == len(list(pairwise(plot.value.ticks)))
    assert (plot.x.limits, plot.y.limits) == ((0.0, 10.0), (0.0, 5.0))


def test_the_regions_of_a_map_cover_all_of_it():
    x, y = np.linspace(-2.0, 2.0, 41), np.linspace(-2.0, 2.0, 41)
    values = x[None, :] ** 2 + y[:, None] ** 2
    plot = level_map(
        WORDS,
        AxisQuantity("x", "number"),
        AxisQuantity("y", "number"),
        AxisQuantity("z", "number"),
        Grid(x, y, values),
        UnitSystem.SI,
    )
    area = sum(_area(rings[0]) - sum(map(_area, rings[1:])) for region in plot.regions for rings in region.polygons)
    assert area == pytest.approx(16.0, rel=1e-9)


def _area(ring) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return abs(float(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1)))) / 2.0


# ---- words -----------------------------------------------------------------------------------------------------------


def all_plots(examples) -> list[Plot]:
    found: list[Plot | None] = [warm_up(UnitSystem.SI)]
    for check in examples.values():
        found += [
            temperatures.margins(check, UnitSystem.US),
            measured.readings(check, UnitSystem.SI),
            measured.rig(check),
            exchanger.rig_effectiveness(check),
        ]
        for duty in check.duties:
            found += [
                balance.heat_balance(duty, UnitSystem.SI),
                exchanger.resistances(duty, UnitSystem.SI),
                temperatures.temperatures(duty, check.case, UnitSystem.US),
                exchanger.effectiveness_chart(duty.name, duty.point.core.exchange, check.plant.arrangement),
            ]
    return [plot for plot in found if plot is not None]


def test_every_picture_tells_itself_and_holds_no_number_that_is_none(examples):
    for plot in all_plots(examples):
        assert plot.words.title
        assert len(plot.words.alternative) >= len("All of it told")
        assert not re.search(r"\b(nan|inf)\b", plot.words.alternative.lower())
        assert "not known" not in plot.words.alternative
        for axis in (getattr(plot, name, None) for name in ("x", "y")):
            assert axis is None or all(map(math.isfinite, (*axis.limits, *axis.ticks)))


def test_descriptions_cannot_be_changed(examples):
    plot = temperatures.temperatures(examples["van-no-heat"].duties[0], examples["van-no-heat"].case, UnitSystem.SI)
    assert isinstance(plot, Rows)
    with pytest.raises(AttributeError, match="rows"):
        plot.rows = ()
