"""The refill section of a case: what is worked out is what the refill's own functions give for its entries."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case, with_values
from engcalc.case.refilling import JOINTS
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.properties.coolant import Base
from engcalc.studies.check import check
from engcalc.studies.refill import Joint
from engcalc.studies.refill_check import check_refill, is_entered
from engcalc.units import UnitSystem
from engcalc.words.workshop.refill_words import refill_lines, refill_parts, setup_of

LITRE = 1e-3


def case_of(refill: dict[str, Any] | None = None, **more: Any) -> Case:
    coolant = {"base": "ethylene glycol", "concentration": "30 %", "volume": "10 L"}
    tree = {"format": FORMAT, "coolant": coolant, **({} if refill is None else {"refill": refill}), **more}
    found = resolve(CaseText(tree))
    assert isinstance(found, Case), found
    return found


def test_a_case_without_entries_has_no_refill_and_one_with_any_has() -> None:
    assert not is_entered(case_of())
    assert check(case_of(), members=0).refill is None
    entered = case_of({"fill": "vacuum"})
    assert is_entered(entered)
    assert check(entered, members=0).refill is not None


def test_three_ways_of_filling_against_the_mixing_rule_by_hand() -> None:
    # 10 L at 30 % to 50 %: 10 (0.5 - 0.3)/(p - 0.3) = 2.857 L of concentrate, 6.667 L of a 60 % premix; never by 40 %
    case = with_values(case_of({"target": "50 %"}), {"refill.product": np.array([1.0, 0.6, 0.4])})
    found = check_refill(case).refill
    assert found is not None
    assert found.drain[:2] / LITRE == pytest.approx([2.857, 6.667], abs=1e-3)
    assert found.possible.tolist() == [True, True, False]
    for i, product in enumerate((1.0, 0.6, 0.4)):
        alone = check_refill(with_values(case_of({"target": "50 %"}), {"refill.product": np.array([product])})).refill
        assert alone is not None
        assert alone.drain[0] == pytest.approx(found.drain[i])


def test_a_reading_among_the_evidence_is_offered_until_one_is_entered() -> None:
    def spot(what: str, value: str, scale: str) -> dict[str, Any]:
        return {"spots": [{"what": what, "value": value, "instrument": f"{scale}_scale"}]}

    both = {
        "before": spot("freezing_point", "-20 degC", "ethylene"),
        "after": spot("concentration", "50 %", "ethylene"),
    }
    assert check_refill(case_of()).offered is None
    first = check_refill(case_of(evidence={"before": both["before"]})).offered
    assert first is not None
    assert (first.freezing[0], first.scale) == (pytest.approx(253.15), Base.ETHYLENE)
    later = check_refill(case_of(evidence=both)).offered
    assert later is not None
    assert 273.15 - 38.0 < later.freezing[0] <= 273.15 - 36.4  # ASTM D3306, half by volume, at the highest; from memory
    assert check_refill(case_of({"refractometer": "-30 degC"}, evidence=both)).offered is None
    lines = refill_lines(check_refill(case_of(evidence=both)), UnitSystem.SI)
    assert any("first ice at -37 °C on the scale of ethylene glycol" in line for line in lines)


def test_what_is_absent_comes_from_the_case() -> None:
    high = [{"altitude": "0 m"}, {"altitude": "2500 m"}]
    found = check_refill(case_of({}, duties=high, limits={"coolant_limit": "112 degC"}))
    assert found.target[0] == pytest.approx(0.30)
    assert found.hottest[0] == pytest.approx(273.15 + 112.0)
    low = check_refill(case_of({"altitude": "0 m"}, duties=high))
    assert found.protection.boiling_open[0] < low.protection.boiling_open[0]  # the highest duty counts


def test_air_is_missing_released_or_pressed() -> None:
    assert check_refill(case_of({"filled": "5 L"})).missing is None  # nothing was drained
    found = check_refill(
        case_of(
            {
                "drained": "6 L",
                "filled": "5.2 L",
                "level_fall": "30 mm",
                "tank_area": "100 cm2",
                "pressed_fall": "0.1 L",
                "tester": "1 bar",
                "altitude": "0 m",
            }
        )
    )
    assert found.missing is not None
    assert found.released is not None
    assert found.pressed is not None
    assert found.missing[0] / LITRE == pytest.approx(0.8)
    assert found.released[0] / LITRE == pytest.approx(0.3)  # 30 mm over 100 cm2
    assert found.pressed[0] / LITRE == pytest.approx(0.2013, rel=1e-3)  # Boyle: 0.1 (1.01325 + 1)/1


@pytest.mark.parametrize("joint", JOINTS)
def test_every_joint_of_the_form_is_one_of_the_engine(joint: str) -> None:
    assert check_refill(case_of({"opened": joint})).joint is Joint(joint)
    assert len(JOINTS) == len(Joint)


@pytest.mark.parametrize(
    "entered",
    [
        {"fill": "vacuum"},
        {"heater_valve": "electric valve", "bleed_screws": "no"},
        {"heater_valve": "cable or vacuum valve", "rear_heater": "yes"},
    ],
)
def test_every_word_of_the_form_is_a_system_that_has_steps(entered: dict[str, str]) -> None:
    setup = setup_of(case_of(entered))
    assert (setup.fill == "vacuum") is (entered.get("fill") == "vacuum")
    assert setup.rear_heater is ("rear_heater" in entered)
    assert setup.bleed_screws is (False if "bleed_screws" in entered else None)


def test_the_makers_data_come_first_and_no_number_is_missing() -> None:
    found = check_refill(case_of({"refractometer": "-20 degC", "scale": "propylene glycol", "drained": "4 L"}))
    lines = refill_lines(found, UnitSystem.US)
    assert lines[0].startswith("The maker's filling and bleeding procedure")
    assert "nan" not in " ".join(lines)
    assert list(refill_parts(found, UnitSystem.SI)) == ["In the system", "Refill", "Trapped air"]
