"""The examples that come with the program give the verdicts they are there to show, each for its reason."""

from __future__ import annotations

import pytest

import worked_examples

FOLDER = worked_examples.folder()
EXAMPLES = sorted(FOLDER.rglob("*.heatcase.json"))
SHOWN = {  # by the notes beside the examples: the verdict, and the code of a finding that has to carry it
    "van-no-heat": ("runs_cold", "overcooled"),
    "track-day-car": ("cannot_tell", "over_limit"),
    "bench-exchanger": ("holds", "rig_agrees"),
}


@pytest.mark.parametrize("name", sorted(SHOWN))
def test_an_example_shows_what_it_is_for(within, name):
    verdict, code = SHOWN[name]
    found = within("check", FOLDER / f"{name}.heatcase.json", "--json")
    assert (found.code, found.err) == (0, "")
    assert found.json["verdict"] == verdict
    assert code in {reason["code"] for reason in found.json["reasons"]}


@pytest.mark.parametrize("example", EXAMPLES, ids=[e.name for e in EXAMPLES])
def test_every_duty_of_an_example_closes_its_heat_balance(within, example):
    found = within("check", example, "--json").json
    assert found["warnings"] == []
    for duty in found["duties"]:
        if duty["status"] != "solved":  # left to go on it would boil: it ends before
            assert (duty["verdict"], duty["energy_residual_W"]) == ("holds", None), duty["reason"]
            assert duty["time_to_limit_s"] > 0.0
            continue
        assert abs(duty["energy_residual_W"]) < 1e-6 * max(duty["heat_to_coolant_W"], 1.0)  # the project's own bound


def test_the_vans_reading_agrees_with_its_duties(within):
    """The hand reading alone, and the thermostat as entered, lead to the same verdict by two roads."""
    found = within("check", FOLDER / "van-no-heat.heatcase.json", "--json").json
    assert [reading["verdict"] for reading in found["readings"]] == ["overcooling"]
    by_duty = {duty["name"]: duty["verdict"] for duty in found["duties"]}
    assert "overcooling" in by_duty.values()
    idle = next(duty for name, duty in by_duty.items() if name.startswith("Idle"))
    assert idle != "overcooling"  # at idle in frost the heater takes what there is: no part is at fault


def test_the_rig_lies_within_its_uncertainty(within):
    rig = within("check", FOLDER / "bench-exchanger.heatcase.json", "--json").json["rig"]
    assert len(rig) >= 3
    assert [point["path"] for point in rig if abs(point["e_n"]) > 1.0] == []  # ISO/IEC 17043: at most 1
