"""A class's table into points of a case, and out of it again."""

from __future__ import annotations

import pytest

from engcalc.case.rig_table import points_of_table, sides_by_fluid, table_of_points, with_points
from engcalc.case.text import FORMAT, CaseText
from engcalc.errors import InputError
from engcalc.words.answer.input_words import fault_words

HEADS = (
    "group\thot flow [L/min]\thot in [°C]\tu hot in [K]\thot out (°C)\tcold flow [kg/s]\tcold in [°C]\tcold out [°C]"
)
ROW = "red\t5\t60,1\t0.2\t48\t0.08\t15 °C\t30"


def test_heads_name_columns_and_units_in_any_order():
    (point,) = points_of_table(f"{HEADS}\n{ROW}\n")
    assert point == {
        "group": "red",
        "hot_flow": "5 L/min",
        "hot_in": {"value": "60,1 °C", "uncertainty": "0.2 K"},
        "hot_out": "48 °C",
        "cold_flow": "0.08 kg/s",
        "cold_in": "15 °C",
        "cold_out": "30 °C",
    }


@pytest.mark.parametrize("parter", [",", ";", "\t"])
def test_commas_semicolons_and_tabs_part_the_cells(parter):
    text = f"{HEADS}\n{ROW.replace('60,1', '60.1')}".replace("\t", parter)
    assert points_of_table(text)[0]["cold_out"] == "30 °C"


def test_units_may_stand_in_a_row_under_the_heads_and_the_points_may_be_counted():
    """As a spreadsheet has it: the row of units became a point, and 42 cells then had no unit."""
    text = (
        "No.\tTeam\tHot flow\tT_h,in\tTh out\tCold flow\tTc in\tTc out\n"
        "\t\tL/min\t[°C]\t°C\tkg/s\t°C\t°F\n"
        "1\tred\t2\t62,0\t36,5\t0.08\t12,5\t72.3\n"
    )
    assert points_of_table(text) == (
        {
            "group": "red",
            "hot_flow": "2 L/min",
            "hot_in": "62,0 °C",
            "hot_out": "36,5 °C",
            "cold_flow": "0.08 kg/s",
            "cold_in": "12,5 °C",
            "cold_out": "72.3 °F",
        },
    )
    with pytest.raises(InputError, match="a row for each point"):
        points_of_table(text.rpartition("1\t")[0])


def test_a_row_of_numbers_or_of_dashes_is_no_row_of_units():
    assert len(points_of_table(f"{HEADS}\n{ROW}\n{ROW}\n")) == 2
    assert len(points_of_table(f"{HEADS}\n" + "\t".join("-" * 8) + f"\n{ROW}\n")) == 2


def test_an_uncertainty_may_stand_before_its_number():
    heads = HEADS.split("\t")
    heads[2], heads[3] = heads[3], heads[2]
    cells = ROW.split("\t")
    cells[2], cells[3] = cells[3], cells[2]
    (point,) = points_of_table("\t".join(heads) + "\n" + "\t".join(cells))
    assert point["hot_in"] == {"value": "60,1 °C", "uncertainty": "0.2 K"}


def test_out_and_in_again_is_the_same():
    case = with_points(CaseText({"format": FORMAT}), points_of_table(f"{HEADS}\n{ROW}\n"))
    again = with_points(CaseText({"format": FORMAT}), points_of_table(table_of_points(case)))
    assert again == case


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("", "a row of heads"),
        ("hot flow [L/min]\n5", "a column hot in is missing"),
        (f"{HEADS}\tweather\n{ROW}\tfine", "weather"),
        (f"{HEADS}\thot in [K]\n{ROW}\t333", "each of these once"),
        (f"{HEADS}\n{ROW}\tmore\tstill", "8 cells would do"),
        ("x" * 200_001, "at most 200000 characters"),
    ],
)
def test_what_is_wrong_is_named(text, named):
    with pytest.raises(InputError, match=named):
        points_of_table(text)


WITH_OIL = "Group\tOil flow (L/min)\tOil in (°C)\tOil out (°C)\tWater flow (L/min)\tWater in (°C)\tWater out (°C)"


def test_heads_may_name_the_fluids_of_the_rig():
    case = CaseText({"format": FORMAT, "hot_stream": {"fluid": "engine oil"}, "cold_stream": {"fluid": "water"}})
    (point,) = points_of_table(f"{WITH_OIL}\nA\t10\t79\t58\t4\t15\t37", sides_by_fluid(case))
    assert (point["hot_flow"], point["hot_in"], point["cold_out"]) == ("10 L/min", "79 °C", "37 °C")


def test_a_name_that_both_fluids_bear_means_neither():
    water = CaseText({"format": FORMAT, "hot_stream": {"fluid": "water"}, "cold_stream": {"fluid": "water"}})
    glycols = CaseText(
        {"format": FORMAT, "hot_stream": {"fluid": "ethylene glycol"}, "cold_stream": {"fluid": "propylene glycol"}}
    )
    assert sides_by_fluid(water) == {}
    assert sides_by_fluid(glycols) == {"ethylene glycol": "hot", "propylene glycol": "cold"}


def test_heads_that_say_nothing_are_told_together_with_what_would_do_once():
    with pytest.raises(InputError) as told:
        points_of_table(f"{WITH_OIL}\nA\t10\t79\t58\t4\t15\t37")
    (fault,) = told.value.faults
    assert fault.given.startswith("Oil flow (L/min), Oil in (°C), ")
    assert fault.given.endswith("Water out (°C)")
    assert fault_words(fault).startswith("Measured points: “Oil flow (L/min), ")
