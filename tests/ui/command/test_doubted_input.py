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
