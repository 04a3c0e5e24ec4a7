"""Real parts side by side: what is said of a part is what the check says of the case after it was adopted."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.errors import Cancelled, InputError
from engcalc.studies.check import check
from engcalc.studies.choice import core_search
from engcalc.studies.choice.candidates import bare, chosen_parts, compare_parts, part_duty, with_part
from engcalc.studies.choice.core_builds import Build, Core, Room, Shape
from engcalc.studies.choice.core_search import CoreSearch, Least
from engcalc.studies.choice.least_core import least_core
from engcalc.studies.choice.sizing import options
from engcalc.studies.choice.tables import notes_of, parse_table
from engcalc.studies.members import solve_duties, varied
from engcalc.units import UnitSystem
from engcalc.verdict import Verdict
from engcalc.words.answer.reasons import deciding
from engcalc.words.sizing.candidate_words import (
    HEAD,
    candidate_name,
    comparison_rows,
    comparison_sentences,
    deciding_rows,
    every_duty_table,
    fan_point,
)

TEXT = read_case(worked_examples.folder() / "track-day-car.heatcase.json")
PARTS = parse_table(
    "name;core_height;core_width;core_depth;tube_rows;price [EUR];supplier;core_hight\n"
    "Long;400 mm;650 mm;42 mm;1;310;Shelf 3;9\n"
    "Tall;450 mm;700 mm;48 mm;1;480;;\n"
) + parse_table(
    "name;fan_points;fan_volts;fan_amps;fan_diameter;fan_count\n"
    "Pair;0 m3/h@250 Pa|1500 m3/h@170 Pa|2600 m3/h@20 Pa;13;22;280 mm;2\n"
    "Three;0 m3/h@250 Pa|1500 m3/h@170 Pa|2600 m3/h@20 Pa;13;22;280 mm;3\n"
)


def case_of(text) -> Case:
    case = resolve(text)
    assert isinstance(case, Case), case
    return case


@pytest.fixture(scope="module")
def found():
    return compare_parts(TEXT, PARTS)


def test_each_part_stands_beside_the_case_as_it_is(found):
    assert [c.part.name if c.part else None for c in found.candidates] == [None, "Long", "Tall", "Pair", "Three"]
    first = found.candidates[0]
    own = check(case_of(TEXT))
    assert [d.probability for d in first.duties] == [d.holds_probability for d in own.duties]


def test_what_is_said_of_a_core_is_the_check_of_the_adopted_case_and_the_physics_of_the_changed_part(found):
    tall = found.candidates[2]
    again = check(case_of(tall.text))
    assert [d.duty.peak for d in tall.duties] == pytest.approx([d.peak for d in again.duties], abs=1e-9)
    assert [d.probability for d in tall.duties] == [d.holds_probability for d in again.duties]
    # another road: the case varied in memory, the circuit kept by ``flows_with`` and not by the text
    directly = solve_duties(varied(found.case, PARTS[1].values))
    idle_and_motorway = [d.duty.coolant_out for d in tall.duties][:2]
    assert idle_and_motorway == pytest.approx(list(directly.coolant_out[:2]), abs=0.3)


def test_a_larger_core_holds_more_and_its_drops_are_less(found):
    as_it_is, _, tall = found.candidates[:3]
    lap = len(as_it_is.duties) - 1
    assert tall.duties[lap].probability > as_it_is.duties[lap].probability + 0.5
    assert tall.duties[lap].coolant_drop < as_it_is.duties[lap].coolant_drop
    assert tall.least_probability == min(d.probability for d in tall.duties)


def test_the_fans_point_lies_on_the_makers_curve(found):
    """One fan's flow and pressure at idle, held against the maker's parabola at full speed and standard density."""
    pair = found.candidates[3]
    idle = pair.duties[0]
    fit = pair.part.fan
    assert 0.0 < idle.fan_flow < fit.free_flow
    assert 0.0 < idle.fan_pressure < fit.at_no_flow
    held = check(case_of(pair.text.with_value("duties[0].fan", "on")), members=0).duties[0].point
    flow, pressure = float(held.fan_flow[0]) / 2.0, float(held.fan_pressure[0])
    on_curve = fit.at_no_flow - fit.fall * flow**2
    rho = 1.2 * pressure / on_curve  # the density that the engine used: fan laws, pressure goes with it
    assert 1.0 < rho < 1.25  # kg/m3; warm air near sea level


def test_three_fans_that_do_not_fit_are_never_counted(found):
    three = found.candidates[4]
    assert three.checked is None
    assert three.text is None
    assert [f.path for f in three.why_not] == ["airflow.fan_count"]
    option = next(o for o in options(found.case, 0, PARTS) if o.change.name == "Three")
    assert not option.feasible


def test_columns_beside_are_kept_and_one_that_looks_misspelt_is_told(found):
    assert dict(PARTS[0].beside) == {"price [EUR]": "310", "supplier": "Shelf 3", "core_hight": "9"}
    assert dict(PARTS[1].beside) == {"price [EUR]": "480"}
    assert notes_of(PARTS) == (
        "Column 'core_hight' is shown and not used: no part has such an input. Is core_height meant?",
    )
    said = comparison_sentences(found)
    assert any(" Price [EUR]: 310; supplier: Shelf 3" in text for text in said), "a sentence begins with a capital"
    assert said[-1] == notes_of(PARTS)[0]
    assert not any("310" in text for text in comparison_sentences(bare(found)) if "price" in text)


def test_the_table_has_a_row_for_each_part_that_goes_in_and_duty(found):
    rows = comparison_rows(found)
    assert len(rows) == 4 * 3
    assert all(len(row) == len(HEAD) for row in rows)
    assert {row[0] for row in rows} == {"As it is", "Long", "Tall", "Pair"}
    said = " ".join(comparison_sentences(found))
    assert "Three does not go in: Number of fans:" in said
    assert "The curve through the fan's 3 points misses them by" in said


def test_a_core_with_no_point_of_its_own_keeps_the_factor_of_the_old_one():
    rated = {"rated_heat": "60 kW", "rated_coolant_flow": "120 L/min", "rated_air_velocity": "8 m/s"}
    text = TEXT
    for name, value in {**rated, "rated_inlet_difference": "60 K"}.items():
        text = text.with_value(f"radiator.{name}", value)
    case = case_of(text)
    kept = with_part(text, case, PARTS[0])
    assert float(kept.typed("radiator.ua_scale")) == pytest.approx(
        float(check(case, members=0).plant.ua_scale[0]), rel=1e-5
    )
    own = parse_table(
        "name,core_depth,radiator.rated_heat,radiator.rated_inlet_difference,radiator.rated_coolant_flow,"
        "radiator.rated_air_velocity\n"
        "X,42 mm,80 kW,60 K,120 L/min,8 m/s\n"
    )[0]
    assert with_part(text, case, own).typed("radiator.ua_scale") == ""
    assert with_part(text, case, own).typed("radiator.rated_heat") == "80 kW"


def test_the_old_fans_power_does_not_cut_the_new_fan():
    text = TEXT.with_value("airflow.fan_power", "60 W")
    new = parse_table("name,fan_free_flow\nF,3000 m3/h\n")[0]
    assert with_part(text, case_of(text), new).typed("airflow.fan_power") == ""


def test_a_cooler_ahead_is_put_in_and_one_that_has_no_place_is_told():
    coolers = parse_table(
        "name,airflow.upstream[0].heat,airflow.upstream[0].face_share,airflow.upstream[5].heat\n"
        "C,6 kW,50 %,\n"
        "D,,,6 kW\n"
    )
    found = compare_parts(TEXT, coolers)
    good, bad = found.candidates[1:]
    assert good.checked is not None
    assert good.duties[1].duty.limiting_ambient < found.candidates[0].duties[1].duty.limiting_ambient - 1.0
    assert bad.checked is None
    assert bad.why_not
    tried = {o.change.name: o for o in options(found.case, 0, coolers)}
    assert not tried["D"].feasible


def test_parts_are_chosen_by_name():
    assert [p.name for p in chosen_parts(PARTS, ("tall", "Long"), "--compare")] == ["Tall", "Long"]
    assert chosen_parts(PARTS * 3, (), "x") == (PARTS * 3)[:6]
    with pytest.raises(InputError, match="a name out of the tables"):
        chosen_parts(PARTS, ("Wide",), "--compare")
    with pytest.raises(InputError, match="several parts have this name"):
        chosen_parts(PARTS * 2, ("Tall",), "--compare")
    many = tuple(replace(PARTS[0], name=f"p{i}") for i in range(7))
    with pytest.raises(InputError, match="at most 6"):
        chosen_parts(many, tuple(p.name for p in many), "--compare")


@pytest.mark.fresh
def test_it_can_be_cancelled():
    with pytest.raises(Cancelled):
        compare_parts(TEXT, PARTS, cancelled=lambda: True)


def test_the_search_for_the_least_core_leaves_out_cores_that_the_fans_do_not_fit(monkeypatch):
    for name, values in (("TUBE_WIDTHS", (0.042,)), ("ROWS", (1,)), ("FINS_PER_INCH", (22,)), ("PASSES", (1,))):
        monkeypatch.setattr(core_search, name, values)
    case = case_of(TEXT.with_value("airflow.fan_diameter", "280 mm").with_value("airflow.fan_count", "2"))
    search = CoreSearch(TEXT, case, Room(0.6, 0.75, 0.05), Least.VOLUME)
    build = Build(1, 0.042, 22 / 0.0254, 1, Shape.FULL_WIDTH)
    low, wide = Core(build, 25, 0.25, 0.75), Core(build, 60, 0.6, 0.75)
    assert search.carries_fans([low, wide]).tolist() == [False, True]
    lacks = search.missing([low, wide], {build: np.zeros(3)})
    assert np.isinf(lacks[:, 0]).all()
    assert np.isfinite(lacks[:, 1]).all()
    assert not search.likely([low])[0]
    found = least_core(
        TEXT.with_value("airflow.fan_diameter", "280 mm").with_value("airflow.fan_count", "2"), Room(0.6, 0.75, 0.05)
    )
    assert found.least is not None
    assert found.least.core.height >= 0.28
    assert all(d.verdict is Verdict.HOLDS for d in found.checked.duties)


def test_a_light_leg_that_boils_after_a_heavy_one_boils_and_is_not_told_where_it_would_settle():
    """The light leg alone would settle; in its round it begins at boiling, and the check says so."""
    heavy = {"name": "Straight", "brake_power": "150 kW", "vehicle_speed": "150 km/h", "engine_speed": "6000 rpm"}
    light = {"name": "Bend", "brake_power": "30 kW", "vehicle_speed": "90 km/h", "engine_speed": "4000 rpm"}
    legs = [{**heavy, "duration": "50 s", "start": "round"}, {**light, "duration": "2 s", "start": "above"}]
    compared = compare_parts(TEXT.with_value("duties", legs), ())
    bend = compared.candidates[0].duties[1]
    assert bend.duty.point.solved[0]
    assert bend.duty.boils
    assert comparison_rows(compared)[1][3] == "boils"
    assert "Bend decides: the coolant boils" in comparison_sentences(replace_worst(compared))[0]


def test_a_part_is_told_by_the_duty_that_the_answer_to_its_case_speaks_of():
    """Where all hold, the answer named the idle as hardest; the comparison the track, by chances of 100 and 97 %."""
    track = {"name": "Track", "wheel_power": "74 hp", "vehicle_speed": "140 km/h", "engine_speed": "5600 rpm"}
    text = CaseText(
        {
            "vehicle": {"class": "sports car"},
            "engine": {
                "rated_power": "430 hp",
                "rated_speed": "6600 rpm",
                "displacement": "3 L",
                "aspiration": "turbo",
            },
            "limits": {"coolant_limit": "118 degC"},
            "radiator": {"core_height": "480 mm", "core_width": "740 mm", "core_depth": "42 mm", "fin_pitch": "20 /in"},
            "airflow": {"opening_area": "600 mm x 280 mm", "exit_area": "0.3 m2", "ram_recovery": "85 %"},
            "duties": [{"name": "Idle", "ambient": "35 degC"}, {**track, "ambient": "32 degC"}],
        }
    )
    compared = compare_parts(text, ())
    idle, fast = compared.candidates[0].duties
    assert idle.duty.margin < fast.duty.margin
    assert idle.probability > fast.probability
    hardest = deciding(compared.candidates[0].checked)
    assert f"{hardest.name} decides" in comparison_sentences(compared)[0]


def replace_worst(compared):
    """The comparison with the last duty alone, so that it decides."""
    first = compared.candidates[0]
    return replace(compared, candidates=(replace(first, duties=first.duties[1:]),))


def test_a_core_larger_than_the_room_does_not_go_in_and_is_not_adopted():
    room = {"height": "400 mm", "width": "700 mm", "depth": "60 mm"}
    text = TEXT
    for side, size in room.items():
        text = text.with_value(f"limits.room_{side}", size)
    case = case_of(text)
    high, low = parse_table("name,core_height,core_width\nHigh,401 mm,560 mm\nLow,400 mm,560 mm\n")
    with pytest.raises(InputError, match="400 mm would do"):
        with_part(text, case, high)
    found = compare_parts(text, (high,))
    assert found.candidates[1].checked is None
    assert "High does not go in: Core height:" in comparison_sentences(found)[1]
    assert with_part(text, case, low).typed("radiator.core_height") == "400 mm"
    tried = {o.change.name: o for o in options(case, 0, (high, low))}
    assert (tried["High"].feasible, tried["Low"].feasible) == (False, True)


def test_a_fan_that_switches_is_told_where_it_runs_and_not_by_its_mean():
    """Its point lies on its own parabola, by the fan laws at the air's density; the mean of its cycle does not."""
    checked = check(case_of(TEXT), members=0)
    idle = checked.duties[0]
    assert idle.point.cycles[0]
    one = part_duty(checked, idle)
    fan, count = checked.plant.airway.fan, float(checked.case.airflow.fan_count[0])

    def density(flow: float, pressure: float) -> float:
        """Of the air [kg/m3] with which the point would lie on the fan's curve."""
        stall, free = float(fan.stall_pressure[0]), float(fan.free_flow[0])
        return 1.2 * pressure / (stall * (1.0 - (flow / free) ** 2))

    assert 0.95 < density(one.fan_flow, one.fan_pressure) < 1.2  # warm air near sea level
    mean = float(idle.point.fan_flow[0]) / count, float(idle.point.fan_pressure[0])
    assert not 0.95 < density(*mean) < 1.2
    assert fan_point(one, UnitSystem.SI).endswith(", while it runs")


def test_the_short_tables_say_what_the_long_one_says(found):
    """Of each part the row of the duty that its sentence names; how hot every duty gets, part by part."""
    long, short = comparison_rows(found), deciding_rows(found)
    head, rows = every_duty_table(found)
    built = [candidate for candidate in found.candidates if candidate.duties]
    assert [row[0] for row in short] == list(head[1:]) == [candidate_name(one) for one in built]
    said = comparison_sentences(found)
    for row in short:
        assert row in long
        assert any(f"{row[0]}: " in sentence and f"{row[1]} decides" in sentence for sentence in said)
    assert [row[0] for row in rows] == [duty.name for duty in case_of(TEXT).duties]
    by_part_and_duty = {(row[0], row[1]): f"{row[3]}, {row[4]}" for row in long}
    cells = {(part, row[0]): cell for row in rows for part, cell in zip(head[1:], row[1:], strict=True)}
    assert cells == by_part_and_duty
