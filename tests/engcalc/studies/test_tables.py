"""The user's tables of parts: what is read, and every fault at once with its line."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.errors import FileFault, InputError
from engcalc.studies.choice.tables import parse_table, read_table


def test_units_in_cells_or_headers_keys_or_paths():
    parts = parse_table(
        "# what the shop has\n"
        "name,core_height [mm],radiator.core_depth,tube_rows\n"
        "small, 380, 26 mm,1\n"
        "\n"
        "large, 17 in, 42 mm,2\n"
    )
    assert [(p.name, p.line) for p in parts] == [("small", 3), ("large", 5)]
    assert parts[0].values["radiator.core_height"][0] == pytest.approx(0.38)
    assert parts[1].values["radiator.core_height"][0] == pytest.approx(17 * 0.0254)  # 1 in is 25.4 mm exactly
    assert parts[1].values["radiator.core_depth"][0] == pytest.approx(0.042)
    assert parts[1].values["radiator.tube_rows"][0] == 2.0


def test_other_columns_are_kept_as_they_stand():
    (part,) = parse_table('name,core_height,price [EUR],Note,,Note\nA,400 mm,310,"black, used",x,y\n')
    assert dict(part.beside) == {"price [EUR]": "310", "Note": "black, used", "column 5": "x", "Note (6)": "y"}
    assert part.notes == ()
    assert dict(part.typed) == {"radiator.core_height": "400 mm"}


def test_volts_and_amps_are_a_fans_power():
    (part,) = parse_table("name;fan_volts;fan_amps [A]\nA;13,5 V;20\n")
    assert part.values["airflow.fan_power"][0] == pytest.approx(270.0)
    assert part.typed["airflow.fan_power"] == "270 W"


def test_semicolons_let_a_comma_be_decimal():
    parts = parse_table("name;fan_free_flow (m3/h);fan_drive\nA;2400,5;fixed\n")
    assert parts[0].values["airflow.fan_free_flow"][0] == pytest.approx(2400.5 / 3600)
    assert parts[0].values["airflow.fan_drive"] == "fixed"


def test_an_empty_cell_leaves_the_case_as_it_is_and_a_row_without_a_name_has_its_line():
    parts = parse_table("core_height,core_width\n400 mm,\n,600 mm\n")
    assert [p.name for p in parts] == ["line 2", "line 3"]
    assert list(parts[0].values) == ["radiator.core_height"]


def test_every_fault_is_told_at_once_with_its_line():
    with pytest.raises(InputError) as told:
        parse_table(
            "name,core_height [kg],zap,tube_rows,tube_rows,core_width\nA,1,2,3,3,600\nB,1,2,2.5,3,600 mm,7\n",
            "cores.csv",
        )
    text = str(told.value)
    assert "cores.csv line 1: 'core_height [kg]' was given; one of mm" in text
    assert "cores.csv line 1: 'tube_rows' was given; this input has a column already" in text
    assert "cores.csv line 2, radiator.core_width: '600' was given; a small length needs a unit" in text
    assert "cores.csv line 3: '7 cells' was given; 6 cells" in text
    assert "cores.csv line 3, radiator.tube_rows: '2.5' was given; a whole number would do" in text


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "a line of headers"),
        ("name,core_height\n", "a line of headers"),
        ("name,core_height\nA,\n", "at least one value"),
        ("name\nA\n", "at least one column named as an input"),
        ("core height!,x\n1,2\n", "Column 'core height!' is shown and not used: .* Is core_height meant?"),
        (
            "name,rated_coolant_flow\nA,5 L/min\n",
            "names several inputs; write one of radiator.rated_coolant_flow, heater",
        ),
        ("name,duties[0].ambient\nA,5 degC\n", "no part has such an input"),
        ("name,fan_volts\nA,13\n", "fan_volts and fan_amps give a fan's power together"),
        ("name,fan_volts,fan_amps\nA,13,-2\n", "a number above 0 of A"),
        (
            "name,fan_points,fan_free_flow\nA,0 m3/h@200 Pa|2000 m3/h@0 Pa,2000 m3/h\n",
            "airflow.fan_free_flow follows from the points",
        ),
        ("name,fan_drive [mm]\nA,fixed\n", "no unit would do as the unit"),
        ("name,core_height\nA,9 km\n", "20 mm to 4 m would do"),
    ],
)
def test_what_is_no_table_is_refused_in_words(text, said):
    with pytest.raises(InputError, match=said.replace("[", r"\[")):
        parse_table(text)


def test_a_header_may_be_written_as_the_form_has_it():
    written = parse_table("Name;Core height [mm];Core depth (mm);Tube rows;Passes\nA;360;48;2;2\n")[0]
    assert written.typed == {
        "radiator.core_height": "360 mm",
        "radiator.core_depth": "48 mm",
        "radiator.tube_rows": "2",
        "radiator.passes": "2",
    }
    assert (written.name, written.notes) == ("A", ())


@pytest.mark.parametrize(
    ("column", "meant"), [("rows", "tube_rows"), ("Depth [mm]", "core_depth"), ("width", "core_width")]
)
def test_a_short_name_of_an_input_is_not_passed_over_in_silence(column, meant):
    part = parse_table(f"name,core_height,{column}\nA,360 mm,2\n")[0]
    assert part.notes == (f"Column '{column}' is shown and not used: no part has such an input. Is {meant} meant?",)


@pytest.mark.parametrize("column", ["price", "supplier", "note", "weight", "maker", "in stock"])
def test_what_is_no_input_is_shown_without_a_word(column):
    assert parse_table(f"name,core_height,{column}\nA,360 mm,2\n")[0].notes == ()


def test_a_file_with_a_byte_order_mark_reads(tmp_path):
    path = tmp_path / "cores.csv"
    path.write_bytes("﻿name,core_height\nA,400 mm\n".encode())
    assert read_table(path)[0].name == "A"


def test_files_that_cannot_be_read_are_refused_in_words(tmp_path):
    with pytest.raises(FileFault, match="cannot be read"):
        read_table(tmp_path / "none.csv")
    other = tmp_path / "latin.csv"
    other.write_bytes("name,core_height\nKühler,400 mm\n".encode("latin-1"))
    with pytest.raises(FileFault, match="not UTF-8"):
        read_table(other)
    large = tmp_path / "large.csv"
    large.write_bytes(b"a" * (4 * 1024 * 1024 + 1))
    with pytest.raises(FileFault, match="at most"):
        read_table(large)


def test_too_many_rows_are_refused():
    with pytest.raises(InputError, match="1 to 2000 rows"):
        parse_table("core_height\n" + "400 mm\n" * 2001)


@given(st.text(max_size=200) | st.text(alphabet='nameorhigt_,;"\n\t[]0123456789. mk#', max_size=200))
def test_any_text_is_read_or_refused_in_words(text):
    parts, faults = (), ()
    try:
        parts = parse_table(text)
    except InputError as error:
        faults = error.faults
    assert bool(parts) != bool(faults)
    assert all(fault.wanted for fault in faults)
