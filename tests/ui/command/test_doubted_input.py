"""``heatdocket check`` on input that is to be doubted: what is said of it in words, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest


def test_an_uncertainty_of_one_fin_to_the_inch_is_no_inch(within, case_file) -> None:
    """It was taken as a pitch of one inch, ± 25 mm, and turned the verdict."""
    fins = {"value": "10 /in", "uncertainty": "1 /in"}
    found = within("check", case_file(radiator={"fin_pitch": fins}), "--json").json
    assert found["inputs"]["radiator.fin_pitch"]["uncertainty_si"] == pytest.approx(0.000254)
    stated = {"value": "2.54 mm", "uncertainty": "0.254 mm"}
    as_pitch = within("check", case_file(radiator={"fin_pitch": stated}), "--json").json
    odds = [[duty["holds_probability"] for duty in one["duties"]] for one in (found, as_pitch)]
    assert odds[0] == odds[1]


PUBLISHED_CORE = {"tube_height": "5 mm", "fin_height": "19 mm", "core_depth": "44 mm"}


def said(found: Any) -> dict[str, str]:
    """The text of each reason by its code."""
    return {reason["code"]: reason["text"] for reason in found["reasons"]}


@pytest.mark.parametrize(("pitch", "passage"), [("19.7 mm", "14.7 mm"), ("28 mm", "19 mm")])
def test_a_published_tube_pitch_that_is_not_the_sum_is_taken_and_told(within, case_file, pitch, passage) -> None:
    """It could not be entered."""
    answered = within("check", case_file(radiator={**PUBLISHED_CORE, "tube_pitch": pitch}), "--json")
    assert answered.code == 0
    text = said(answered.json)["pitch_differs"]
    assert f"The tube pitch is {pitch}, tube height and fin height together are 24 mm." in text
    assert f"the air passes through {passage}" in text


def test_a_tube_pitch_that_is_the_sum_is_not_spoken_of(within, case_file) -> None:
    core = {**PUBLISHED_CORE, "tube_pitch": "24 mm"}
    assert "pitch_differs" not in said(within("check", case_file(radiator=core), "--json").json)
