"""From text to SI or to every fault at once."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.case.case import Case, value_at, with_values
from engcalc.case.catalogue import catalogue, describe, entry, json_schema
from engcalc.case.declare import Basis, FileShape
from engcalc.case.file import case_bytes, parse_case
from engcalc.case.presets import CLASSES
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText, Number
from engcalc.case.whole import pitch_agrees, pitch_stands_alone
from engcalc.components.core import prepare
from engcalc.quantity_kinds import KINDS
from engcalc.system.plant import core_geometry
from engcalc.units import parse

WHOLE = {"what": "coolant", "value": "88 degC", "instrument": "scan_tool"}  # a reading


def case_of(**sections: Any) -> Case:
    found = resolve(CaseText({"format": FORMAT, **sections}))
    assert isinstance(found, Case), found
    return found


def faults_of(**sections: Any) -> dict[str, str]:
    found = resolve(CaseText({"format": FORMAT, **sections}))
    assert isinstance(found, Faults)
    return {f.path: f"{f.given} | {f.wanted}" for f in found.faults}


def test_an_empty_case_and_every_class_resolve() -> None:
    for name in CLASSES:
        case = case_of(vehicle={"class": name})
        assert case.vehicle.class_ == name
        assert len(case.duties) >= 1


def test_every_default_lies_in_its_limits_and_every_usual_range_too() -> None:
    for e in catalogue():
        declared = e.input
        if declared.shape is not FileShape.NUMBER:
            continue
        assert declared.limits is not None or declared.derived or declared.kind == "count", e.path
        if declared.limits is None:
            continue
        low, high = (parse(x, declared.kind).si for x in declared.limits)
        for text in (*(declared.usual or ()), *((declared.default,) if declared.default else ())):
            assert low <= parse(text, declared.kind).si <= high, (e.path, text)


def test_classes_name_only_known_inputs_with_values_in_their_limits() -> None:
    for name, values in CLASSES.items():
        assert {entry(path).path for path in values} == set(values), name


def test_all_faults_come_at_once_each_with_its_path() -> None:
    found = faults_of(
        vehicle={"mass": "1,234 kg", "class": "spaceship"},
        coolant={"concentration": "101 %"},
        radiator={"core_height": "0 mm", "core_width": "-3 mm", "blocked_face": "50"},
        duties=[{"ambient": "400 degC"}, {"brake_power": "9**9**9 m", "grade": True}],
        evidence={"before": {"spots": [{"what": "coolant"}, WHOLE], "curve": [[3]], "seen": {"level_low": "perhaps"}}},
    )
    assert set(found) == {
        "vehicle.class",
        "vehicle.mass",
        "coolant.concentration",
        "radiator.core_height",
        "radiator.core_width",
        "radiator.blocked_face",
        "duties[0].ambient",
        "duties[1].brake_power",
        "duties[1].grade",
        "evidence.before.spots[0].value",
        "evidence.before.curve[0]",
        "evidence.before.seen.level_low",
    }
    assert "did you mean 50 %" in found["radiator.blocked_face"]
    assert found["duties[0].ambient"].startswith("400 degC | -60 degC to 70 degC")


def test_a_difference_where_a_temperature_belongs_is_a_fault() -> None:
    assert "not a difference" in faults_of(duties=[{"ambient": "5 delta degC"}])["duties[0].ambient"]


def test_unknown_keys_are_kept_and_reported() -> None:
    text = CaseText({"format": FORMAT, "engine": {"sparkle": "much"}, "vehicles": {}})
    found = resolve(text)
    assert isinstance(found, Case)
    assert any("engine.sparkle" in w for w in found.warnings)
    assert any(w.startswith("vehicles:") for w in found.warnings)
    assert parse_case(case_bytes(text)).tree == text.tree


def test_the_basis_of_every_number_is_told() -> None:
    case = case_of(
        vehicle={"class": "delivery van"},
        engine={"rated_power": {"value": "90 kW", "uncertainty": "3 kW", "basis": "measured"}, "displacement": "2 L"},
    )
    power, volume, speed = (case.given[f"engine.{k}"] for k in ("rated_power", "displacement", "rated_speed"))
    assert (power.basis, power.uncertainty, power.typed) == (Basis.MEASURED, 3000.0, True)
    assert (volume.basis, volume.uncertainty) == (Basis.ENTERED, 0.0)
    assert speed.basis is Basis.TYPICAL
    assert "delivery van" in speed.source
    assert speed.uncertainty == pytest.approx(0.05 * 3600 / 60)  # the declared spread of 5 %


def test_an_uncertainty_in_per_cent_is_a_share_except_for_shares() -> None:
    case = case_of(
        engine={"rated_power": {"value": "90 kW", "uncertainty": "10 %"}},
        coolant={"concentration": {"value": "50 %", "uncertainty": "5 %"}},
    )
    assert case.given["engine.rated_power"].uncertainty == pytest.approx(9000.0)
    assert case.given["coolant.concentration"].uncertainty == pytest.approx(0.05)


def test_an_unknown_rating_widens_the_class_value() -> None:
    stated, unknown = case_of(), case_of(thermostat={"rating": "unknown"})
    ratio = unknown.given["thermostat.rating"].uncertainty / stated.given["thermostat.rating"].uncertainty
    assert ratio == pytest.approx(3.0)
    assert "unknown" in unknown.given["thermostat.rating"].source


@pytest.mark.parametrize("value", ["10 /in", "2.54 mm"])
@pytest.mark.parametrize("size", ["1 /in", "0.254 mm", "10 %"])
def test_an_uncertainty_of_fins_to_the_inch_is_that_of_their_pitch(value: str, size: str) -> None:
    case = case_of(radiator={"fin_pitch": {"value": value, "uncertainty": size}})
    assert case.given["radiator.fin_pitch"].uncertainty == pytest.approx(0.254e-3, rel=1e-9)  # d(L/n) = L/n^2 dn


def test_fin_pitch_reads_as_pitch_and_as_density() -> None:
    density, pitch = (case_of(radiator={"fin_pitch": t}).radiator.fin_pitch[0] for t in ("18 /in", "1.41111111 mm"))
    assert density == pytest.approx(pitch, rel=1e-8)


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ({"tube_pitch": "10 mm", "tube_height": "2 mm"}, (10, 2, 8)),
        ({"tube_pitch": "10 mm"}, (10, 1.8, 8.2)),
        ({"fin_height": "8.5 mm"}, (10.3, 1.8, 8.5)),
        ({"fin_height": "8 mm", "tube_height": "2 mm"}, (10, 2, 8)),
        ({"fin_height": "8 mm", "tube_pitch": "10 mm"}, (10, 2, 8)),
    ],
)
def test_tube_pitch_tube_height_and_fin_height_follow_from_one_another(typed: Any, expected: Any) -> None:
    core = case_of(radiator=typed).radiator
    found = [1e3 * float(x[0]) for x in (core.tube_pitch, core.tube_height, core.fin_height)]
    assert found == pytest.approx(list(expected), rel=1e-9)


@pytest.mark.parametrize("pitch", ["19.7 mm", "24 mm", "28 mm"])
def test_a_tube_pitch_may_be_entered_beside_both_heights(pitch: str) -> None:
    core = {"tube_pitch": pitch, "tube_height": "5 mm", "fin_height": "19 mm"}
    case = case_of(radiator=core)
    assert [float(x[0]) for x in (case.radiator.tube_pitch, case.radiator.tube_height, case.radiator.fin_height)] == [
        pytest.approx(parse(text, "small length").si) for text in core.values()
    ]
    assert pitch_stands_alone(case.given)
    assert not pitch_stands_alone(case_of(radiator={"tube_pitch": pitch}).given)


@pytest.mark.parametrize(
    ("pitch", "agrees"), [(9.897e-3, False), (9.905e-3, True), (10.097e-3, True), (10.105e-3, False)]
)
def test_a_pitch_agrees_with_the_heights_within_a_hundredth_of_it(pitch: float, agrees: bool) -> None:
    core = case_of(radiator={"tube_pitch": f"{1e3 * pitch} mm", "tube_height": "2 mm", "fin_height": "8 mm"}).radiator
    assert bool(pitch_agrees(core)[0]) is agrees


@pytest.mark.parametrize(
    ("core", "path"),
    [
        ({"tube_pitch": "5.17 mm", "tube_height": "5 mm", "fin_height": "19 mm"}, "radiator.tube_pitch"),
        ({"tube_pitch": "2 mm", "tube_height": "1.9 mm"}, "radiator.fin_height"),
    ],
)
def test_tubes_without_room_for_a_fin_between_them_are_a_fault(core: dict[str, str], path: str) -> None:
    found = faults_of(radiator=core)
    assert [p for p in found if p in ("radiator.tube_pitch", "radiator.fin_height")] == [path]
    assert "two fin thicknesses" in found[path]
    assert "radiator.tube_pitch" not in faults_of(radiator={"tube_height": "40 mm"})


@pytest.mark.parametrize("tube_width", ["24 mm", "24.0012 mm", "24.0023 mm"])
def test_a_tube_as_wide_as_the_core_is_deep_but_for_rounding_is_computed(tube_width: str) -> None:
    """The case once allowed more than the core's own rule, which then failed without naming a field."""
    core = case_of(radiator={"core_depth": "24 mm", "tube_width": tube_width}).radiator
    assert prepare(core_geometry(core)).tube.tube.width[0] == pytest.approx(parse(tube_width, "small length").si)


def test_a_tube_wider_than_the_core_is_deep_is_a_fault_of_its_field() -> None:
    assert "radiator.tube_width" in faults_of(radiator={"core_depth": "24 mm", "tube_width": "24.0025 mm"})


def test_part_of_a_makers_point_is_a_fault_that_names_the_rest() -> None:
    found = faults_of(radiator={"rated_heat": "60 kW", "rated_coolant_flow": "100 L/min"})
    assert set(found) == {"radiator.rated_air_velocity", "radiator.rated_inlet_difference"}


def test_a_reading_of_pressure_takes_a_pressure() -> None:
    case = case_of(evidence={"before": {"spots": [{"what": "pressure", "value": "15 psig"}]}})
    assert case.evidence.before is not None
    assert case.evidence.before.spots[0].value[0] == pytest.approx(103421.4, rel=1e-6)
    assert "evidence.before.spots[0].value" in faults_of(
        evidence={"before": {"spots": [{"what": "pressure", "value": "88 degC"}]}}
    )


def test_default_duties_take_weather_and_heater_from_the_reading() -> None:
    case = case_of(job={"reason": "no heat"}, evidence={"before": {"ambient": "-8 degC", "heater_setting": "high"}})
    assert all(d.ambient[0] == pytest.approx(265.15) and d.heater == "high" for d in case.duties)


def test_a_case_is_frozen_and_an_ensemble_replaces_by_path() -> None:
    case = case_of(duties=[{"name": "a"}, {"name": "b"}])
    with pytest.raises(ValueError, match="read-only"):
        case.vehicle.mass[0] = 1.0
    wide = with_values(
        case,
        {
            "vehicle.mass": np.array([1.0, 2.0, 3.0]),
            "duties[1].grade": np.array([0.1]),
            "thermostat.kind": "none",
            "vehicle.class": "small car",
        },
    )
    assert value_at(wide, "vehicle.mass").shape == (3,)
    assert (wide.duties[1].grade[0], wide.thermostat.kind, wide.vehicle.class_) == (0.1, "none", "small car")
    assert case.duties[1].grade[0] == 0.0


def test_the_catalogue_and_the_schema_tell_every_input() -> None:
    told = {d["path"] for d in describe()}
    assert told == {e.path for e in catalogue()}
    assert {"duties[].grade", "airflow.upstream[].heat", "evidence.before.spots[].value", "vehicle.class"} <= told
    properties = json_schema()["properties"]
    assert "grade" in properties["duties"]["items"]["properties"]
    for d in describe():
        if d.get("units") is not None:
            assert d["units"] == list(KINDS[d["kind"]].spellings)


JSON = st.recursive(
    st.none() | st.booleans() | st.text(max_size=8) | st.integers(-5, 200).map(lambda i: Number(str(i))),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["value", "basis", "uncertainty", "what", "before", "spots", "grade", "x"]),
            inner,
            max_size=3,
        )
    ),
    max_leaves=12,
)
KEYS = st.sampled_from(
    ["job", "vehicle", "engine", "radiator", "duties", "evidence", "rig", "circuit", "airflow", "other"]
)


@given(
    st.dictionaries(
        KEYS,
        JSON
        | st.dictionaries(
            st.sampled_from(["class", "mass", "fuel", "core_height", "title", "extra", "upstream", "before"]),
            JSON,
            max_size=3,
        ),
        max_size=4,
    )
)
def test_any_tree_resolves_or_gives_faults_in_words(tree: dict[str, Any]) -> None:
    found = resolve(CaseText({"format": FORMAT, **tree}))
    if isinstance(found, Faults):
        assert found.faults
        assert all(f.wanted for f in found.faults)


def test_sections_that_stand_as_they_stood_are_kept_and_the_answer_is_the_same():
    """A slider asked for all of a case anew with each move, which alone took longer than a frame."""
    text, kept = CaseText({"format": FORMAT, "radiator": {"core_height": "400 mm"}}), {}
    before = resolve(text, kept)
    assert isinstance(before, Case)
    edits = (
        ("radiator.core_height", "410 mm"),
        ("vehicle.class", "delivery van"),  # fills other values everywhere
        ("engine.fuel", "diesel"),
        ("radiator.core_height", "wide"),
        ("radiator.unknown", "1"),
        ("radiator.core_height", "420 mm"),
        ("duties", [{"name": "Hill", "ambient": "40 degC", "speed": "50 km/h", "grade": "6 %"}]),
    )
    for path, value in edits:
        text = text.with_value(path, value)
        by_kept, anew = resolve(text, kept), resolve(text)
        assert type(by_kept) is type(anew), path
        assert by_kept.warnings == anew.warnings
        if isinstance(anew, Case):
            assert by_kept.given == anew.given
            assert repr(by_kept) == repr(anew)
        else:
            assert by_kept.faults == anew.faults
    moved = resolve(text.with_value("radiator.core_height", "421 mm"), kept)
    assert moved.cabin is by_kept.cabin
    assert moved.radiator.core_height[0] == pytest.approx(0.421)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("combustion_gas", "combustion_gas_found"),
        ("Gas found", "combustion_gas_found"),
        ("bubbles", "bubbles_when_running"),
        ("low_level", "level_low"),
        ("fan_run_when_hot", "fan_runs_when_hot"),
        ("fan runs", "fan_motor_runs, fan_runs_always or fan_runs_when_hot"),
        ("belt_drive_pump", "belt_drives_pump"),
        ("leak", "coolant_leak"),
    ],
)
def test_a_mistyped_fact_is_told_with_the_one_that_was_meant(typed, meant):
    case = resolve(CaseText({"format": "heatdocket-case/1", "evidence": {"before": {"seen": {typed: True}}}}))
    assert isinstance(case, Case)
    assert case.warnings == (
        f"evidence.before.seen.{typed}: this fact is not known; it is kept and not used. Did you mean {meant}?",
    )


def test_a_mistyped_key_is_told_with_the_one_that_was_meant_or_with_what_would_do():
    tree = {"format": "heatdocket-case/1", "evidance": {}, "job": {"complain": "hot"}, "zzz": 1}
    tree["engine"] = {"displacement": {"value": "2 L", "uncertanty": "1 %"}}
    case = resolve(CaseText(tree))
    assert isinstance(case, Case)
    told = {warning.split(":")[0]: warning for warning in case.warnings}
    assert told["evidance"].endswith("Did you mean evidence?")
    assert told["job.complain"].endswith("Did you mean complaint?")
    assert told["engine.displacement.uncertanty"].endswith("Did you mean uncertainty?")
    assert told["zzz"].endswith("lists those that would do.")


def spots_of(*spots: Any) -> Any:
    return resolve(CaseText({"format": FORMAT, "evidence": {"before": {"spots": list(spots)}}}))


def test_nothing_is_wrong_with_a_reading_that_is_only_begun():
    """Whoever chooses the gauge before its value has made no mistake: it is noted, and not used."""
    found = spots_of(WHOLE, {"what": "coolant", "instrument": "dash_gauge"}, {"at": "20 min"})
    assert isinstance(found, Case)
    assert [spot.instrument for spot in found.evidence.before.spots] == ["scan_tool"]
    assert found.warnings == tuple(
        f"A reading has no value yet and is not used: evidence.before.spots[{i}]." for i in (1, 2)
    )


def test_a_reading_without_a_value_before_a_whole_one_is_a_fault():
    found = spots_of({"instrument": "dash_gauge"}, WHOLE)
    assert isinstance(found, Faults)
    assert [fault.path for fault in found.faults] == ["evidence.before.spots[0].value"]
