"""``heatdocket worksheet`` as an instructor and as a script use it."""

from __future__ import annotations

import csv
import json
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from engcalc.classroom.problem import pose
from engcalc.classroom.topics import TOPICS

from .conftest import Run

CLASS = "name\nAda North\nBen Ost\nCleo West\n"


@pytest.fixture
def class_list(tmp_path: Path) -> Path:
    made = tmp_path / "class.csv"
    made.write_text(CLASS, encoding="utf-8")
    return made


def test_the_topics_are_listed(within: Run) -> None:
    said = within("worksheet", "--list").out.splitlines()
    found = within("worksheet", "--list", "--json").json["topics"]
    assert len(said) == len(found) >= 16
    assert {"topic": "boiling-point", "title": TOPICS["boiling-point"].title} in found


def test_one_sheet_for_a_person(within: Run) -> None:
    said = within("worksheet", "boiling-point", "--seed", 3, "--units", "US", "--symbols", "B").out
    for part in ("psi", "°F", "Hints:", "Key:", "Working", "Likely slips:", "Raoult's law", "ϑ_b"):
        assert part in said


def test_a_line_that_takes_no_number_says_with_nothing(within: Run) -> None:
    said = within("worksheet", "transition-tube").out
    assert "f = (0.790·ln(4000) - 1.64)⁻²: f = 0.04144" in said
    assert "γ = (Re - 2300)/1700" in said


def test_one_number_is_asked_and_a_result_given_in_its_place(within: Run) -> None:
    found = within("worksheet", "fin-efficiency", "--number", "h = ?", "--number", "eta_f = 0.85", "--json").json
    (sheet,), (key,) = found["sheets"], found["keys"]
    assert [one["key"] for one in sheet["wanted"]] == ["h"]
    assert {"key": "eta_f", "value": "0.85"}.items() <= sheet["given"][-1].items()
    assert key["rounds"][-1]["gives"]["value"] == "0.8500"


def test_a_sheet_writes_its_symbols_in_one_way_and_takes_them_so(within: Run) -> None:
    """Below the line where Unicode has all letters, else as they are typed; powers and units above the line."""
    below = within("worksheet", "pump-system").out
    assert "_" not in below
    assert "^" not in below
    assert "Δpₛ/V̇ₛ² with Δpₛ = 40.3 kPa" in below
    typed = within("worksheet", "counterflow").out
    assert "ṁ_h = " in typed
    assert not re.search("[ₕₘᵢ]", typed)
    assert "m2" not in typed
    shown = within("worksheet", "pump-system", "--number", "V̇ₛ = 90").out
    assert "V̇ₛ = 90" in shown


def test_the_same_seed_gives_the_same_bytes_in_another_process(heatdocket: Run, within: Run) -> None:
    arguments = ("worksheet", "counterflow", "--seed", 7, "--json")
    here, there = within(*arguments), heatdocket(*arguments, qt=False, environ={"PYTHONHASHSEED": "5"})
    assert here.out == there.out
    assert within("worksheet", "counterflow", "--seed", 8, "--json").out != here.out


def test_each_name_has_numbers_of_its_own_on_paper_and_as_data(within: Run, class_list: Path, tmp_path: Path) -> None:
    folder = tmp_path / "made" / "here"
    found = within("worksheet", "pump-system", "--seed", 2, "--class", class_list, "-o", folder, "--json").json
    assert {Path(path).name for path in found["files"]} == {
        *("pump-system-2-sheet.pdf", "pump-system-2-key.pdf", "pump-system-2-sheet.json", "pump-system-2-key.json"),
        "pump-system-2-answers.csv",
    }
    sheets = json.loads((folder / "pump-system-2-sheet.json").read_text(encoding="utf-8"))["sheets"]
    assert [sheet["name"] for sheet in sheets] == ["Ada North", "Ben Ost", "Cleo West"]
    assert len({json.dumps(sheet["given"]) for sheet in sheets}) == 3
    assert all("answers" not in sheet and "working" not in sheet for sheet in sheets)
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    within("worksheet", "pump-system", "--seed", 2, "--class", class_list, "-o", folder)
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


@pytest.mark.parametrize("symbols", ["A", "B"])
@pytest.mark.parametrize("units", ["SI", "US"])
def test_the_paper_says_what_the_data_say(
    within: Run, class_list: Path, tmp_path: Path, units: str, symbols: str
) -> None:
    reader = shutil.which("pdftotext")
    if reader is None:
        pytest.skip("pdftotext (poppler-utils) is not installed")
    options = ("--units", units, "--symbols", symbols)
    within("worksheet", "boiling-point", "--class", class_list, "-o", tmp_path, *options)

    def read(kind: str) -> str:
        path = tmp_path / f"boiling-point-1-{kind}.pdf"
        return subprocess.run([reader, "-layout", path, "-"], capture_output=True, text=True, check=True).stdout

    keys = json.loads((tmp_path / "boiling-point-1-key.json").read_text(encoding="utf-8"))["keys"]
    sheets = json.loads((tmp_path / "boiling-point-1-sheet.json").read_text(encoding="utf-8"))["sheets"]
    sheet_pages, key_text = read("sheet").split("\f"), read("key")
    for page, sheet, key in zip(sheet_pages, sheets, keys, strict=False):
        assert sheet["name"] in page
        for number in (*sheet["given"], *sheet["from_tables"]):
            assert f"{number['value']} {number['unit']}".strip() in page
        for answer in key["answers"]:
            assert answer["value"] in key_text
            assert f"{answer['value']} {answer['unit']}" not in page
        for line in key["working"]:
            assert line["result"] in key_text
            assert line["source"].split("(", maxsplit=1)[0].split(",", maxsplit=1)[0] in key_text
    assert len(sheet_pages) - 1 == 4  # three people, and the hints; poppler ends with a page feed
    assert sheets[0]["hints"][0].split()[0] in sheet_pages[3]
    assert sheets[0]["hints"][0] not in sheet_pages[0]


def answers_of(tmp_path: Path, rows: list[dict[str, Any]]) -> Path:
    path = tmp_path / "answers.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return path


def test_three_planted_slips_are_named(within: Run, class_list: Path, tmp_path: Path) -> None:
    """Made by hand, not by the topics' own slips: gauge for absolute by CoolProp, a diameter halved, minutes kept."""
    from CoolProp.CoolProp import PropsSI

    cap = {n.symbol: n.value for n in pose(TOPICS["boiling-point"], 1, "Ada North").givens}["p_c"]
    gauge = PropsSI("T", "P", cap * 1000.0 / 0.7555, "Q", 0, "Water") - 273.15
    path = answers_of(tmp_path, [{"name": "Ada North", "p": cap, "T_b": round(gauge, 1)}])
    marks = within("worksheet", "boiling-point", "--check", path, "--json").json["marked"][0]["marks"]
    assert [mark["slip"] for mark in marks] == ["gauge for absolute", "gauge for absolute"]

    given = {n.symbol: n.value for n in pose(TOPICS["warm-up"], 1, "Ben Ost").givens}
    key = {asked.symbol: asked.exact for asked in pose(TOPICS["warm-up"], 1, "Ben Ost").asked}
    tau = 1000.0 * given["Cth"] / given["UA_s"]
    path = answers_of(tmp_path, [{"name": "Ben Ost", "tau": f"{tau:.4g}", "t_m": f"{60.0 * key['t_m']:.3g}"}])
    marks = within("worksheet", "warm-up", "--check", path, "--json").json["marked"][0]["marks"]
    assert [(mark["outcome"], mark["slip"]) for mark in marks] == [("right", None), ("slip", "seconds for minutes")]

    tube = pose(TOPICS["turbulent-tube"], 1, "Cleo West")
    path = answers_of(tmp_path, [{"name": "Cleo West", "Re": f"{2.0 * tube.asked[0].exact:.3g}", "h": ""}])
    said = within("worksheet", "turbulent-tube", "--check", path, "--class", class_list).out
    assert "The radius was put where the diameter belongs." in said
    assert "Ada North: 0 of 2 right" in said
    assert "Most often: radius for diameter (1)." in said


def faults(run: Run, *arguments: object) -> list[dict[str, str]]:
    answered = run("worksheet", *arguments, "--json")
    assert answered.code == 2
    return list(answered.json["faults"])


def test_bad_input_is_named(within: Run, class_list: Path, tmp_path: Path) -> None:
    assert faults(within, "weather")[0]["given"] == "weather"
    assert "counterflow" in faults(within)[0]["wanted"]
    empty = tmp_path / "empty.csv"
    empty.write_text("name\n", encoding="utf-8")
    assert faults(within, "counterflow", "--class", empty)[0]["given"] == "a list without names"
    assert faults(within, "counterflow", "--class", tmp_path / "none.csv")[0]["given"].endswith("none.csv")
    latin = tmp_path / "latin.csv"
    latin.write_bytes("name\nJörg\n".encode("latin-1"))
    assert "UTF-8" in faults(within, "counterflow", "--class", latin)[0]["wanted"]
    path = answers_of(tmp_path, [{"name": "Nobody", "q": "5", "T_c_out": "5"}])
    assert faults(within, "counterflow", "--check", path, "--class", class_list)[0]["given"] == "Nobody"
    path = answers_of(tmp_path, [{"name": "Ada North", "q": "many", "T_c_out": "a few"}])
    assert [fault["given"] for fault in faults(within, "counterflow", "--check", path)] == ["many", "a few"]
    assert faults(within, "counterflow", "-o", class_list / "below")[0]["given"].endswith("below")


def test_the_table_of_answers_is_headed_by_the_symbols_of_its_sheets_and_read_back(within: Run, tmp_path: Path) -> None:
    within("worksheet", "shell-and-tube", "--seed", "5", "--symbols", "B", "-o", tmp_path)
    table = tmp_path / "shell-and-tube-5-answers.csv"
    head, row = table.read_text(encoding="utf-8-sig").splitlines()
    assert (head, row) == ("name,sheet,Q\u0307 [W],ϑ_c_out [°C]", ",shell-and-tube-5,,")
    exact = [f"{one.exact:.4g}" for one in pose(TOPICS["shell-and-tube"], 5, "").asked]
    table.write_text(f"{head}\n,shell-and-tube-5,{','.join(exact)}\n", encoding="utf-8-sig")
    told = within("worksheet", "shell-and-tube", "--seed", "5", "--symbols", "B", "--check", table, "--json").json
    assert [mark["outcome"] for mark in told["marked"][0]["marks"]] == ["right", "right"]


def test_answers_to_another_sheet_are_refused_and_nobody_is_marked_wrong_for_it(within: Run, tmp_path: Path) -> None:
    """The seed was left out, so it was 1: a whole class had "0 of 2 right" by the key of other sheets."""
    asked = pose(TOPICS["counterflow"], 7, "Ada North").asked
    right = {one.symbol: f"{one.exact:.4g}" for one in asked}
    path = answers_of(tmp_path, [{"name": "Ada North", "sheet": "counterflow-7", **right}])
    [fault] = faults(within, "counterflow", "--check", path)
    assert fault["given"] == "counterflow-7"
    assert "counterflow-1" in fault["wanted"]
    assert faults(within, "parallel-flow", "--seed", "7", "--check", path)[0]["given"] == "counterflow-7"
    marks = within("worksheet", "counterflow", "--seed", "7", "--check", path, "--json").json["marked"][0]["marks"]
    assert [mark["outcome"] for mark in marks] == ["right", "right"]
