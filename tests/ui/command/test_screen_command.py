"""``heatdocket screen`` on real and invented logs: ranks, table, JSON, the job book's vehicles."""

from __future__ import annotations

import csv
import json
import shutil
from pathlib import Path

import fake_judges
import pytest

from engcalc.case.file import read_case
from ui.command.main import INPUT_AT_FAULT, RESULT
from ui.screening import run

ROOT = Path(__file__).parents[3]
EXAMPLES = ROOT / "worked_examples"


@pytest.fixture
def fleet(tmp_path: Path) -> Path:
    """The van before its repair and after it, as two vehicles, and a file that is no log."""
    folder = tmp_path / "fleet"
    folder.mkdir()
    shutil.copy(EXAMPLES / "van-before.csv", folder / "cold van.csv")
    shutil.copy(EXAMPLES / "van-after.csv", folder / "=warm van.csv")
    (folder / "bad.csv").write_text("nothing")
    return folder


def test_the_faulty_vehicle_comes_first_and_one_bad_log_stops_nothing(within, fleet, tmp_path):
    van = tmp_path / "van.heatcase.json"
    van.write_text(
        '{"format": "heatdocket-case/1", "vehicle": {"class": "delivery van"}, "engine": {"fuel": "diesel"}}'
    )
    out = tmp_path / "out"
    found = within("screen", fleet, "-o", out, "--case", van, "--json")
    assert found.code == RESULT
    assert [one["vehicle"] for one in found.json["vehicles"]] == ["cold van", "=warm van"]
    first, second = found.json["vehicles"]
    assert first["look_first"]
    assert first["leading_fault"] == "thermostat_stuck_open"
    assert first["fault_probability"] > 0.9
    assert second["fault_probability"] < 0.5
    assert first["deviation_K"] < -20.0
    assert [one["name"] for one in found.json["not_judged"]] == ["bad.csv"]
    assert found.json["complete"]
    assert found.err.splitlines()[-1].startswith("3 of 3 logs")
    rows = list(csv.reader((out / "screening.csv").read_text("utf-8-sig").splitlines()))
    assert [row[1] for row in rows] == ["vehicle", "cold van", "'=warm van"]
    assert json.loads((out / "screening.json").read_text("utf-8"))["vehicles"] == found.json["vehicles"]
    assert (out / "screening.pdf").read_bytes().startswith(b"%PDF")
    again = within("screen", fleet, "-o", out, "--case", van)
    assert "3 logs: 0 judged now, 3 known from an earlier run." in again.out
    (case,) = within("screen", fleet, "-o", out, "--case", van, "--lay-out", "1", "--json").json["cases"]
    assert Path(case).parent.name == "1-cold_van"
    assert (Path(case).parent / "log.csv").read_bytes() == (EXAMPLES / "van-before.csv").read_bytes()
    assert read_case(Path(case)).typed("vehicle.class") == "delivery van"
    assert "Look at these first (1 of 2):\n   1  cold van: runs cold; odds of a fault" in again.out


def test_a_book_names_the_vehicles_of_its_logs(within, tmp_path, monkeypatch):
    monkeypatch.setattr(run.ScreeningRun.go, "__defaults__", (None, fake_judges.quick, None))
    book = tmp_path / "shop.jobbook"
    within("book", book, "import", EXAMPLES)
    found = within("screen", "--book", book, "-o", tmp_path / "out", "--workers", "1", "--json").json
    logs = {one["vehicle"]: one["logs"] for one in found["vehicles"]}
    tables = {"double-pipe": 1, "lap": 1, "two-turbo-fans": 1}
    assert logs == {"EX 123 (vehicle 4)": 2, **tables}  # tables too: only the real judge refuses them
    named = within("screen", EXAMPLES / "van-after.csv", "--book", book, "-o", tmp_path / "out", "--json").json
    assert [one["vehicle"] for one in named["vehicles"]] == ["EX 123 (vehicle 4)"]
    assert named["judged_before"] == 1
    plain = within("screen", EXAMPLES / "van-after.csv", "-o", tmp_path / "out", "--json").json
    assert [one["vehicle"] for one in plain["vehicles"]] == ["van-after"]
    assert plain["judged_before"] == 0  # by other base rates and as another vehicle


def test_what_is_at_fault_is_told(within, tmp_path):
    empty = tmp_path / "empty"
    empty.mkdir()
    assert "at least one log" in within("screen", empty, "-o", tmp_path / "out").err
    assert within("screen", "-o", tmp_path / "out").code == INPUT_AT_FAULT
    assert "no such file or folder" in within("screen", tmp_path / "none", "-o", tmp_path / "out").err
    (tmp_path / "file").write_text("x")
    assert "cannot be made" in within("screen", EXAMPLES / "van-after.csv", "-o", tmp_path / "file").err
    no_book = within("screen", "--book", tmp_path / "none.jobbook", "-o", tmp_path / "out", "--json")
    assert no_book.code == INPUT_AT_FAULT
    assert "there is no job book" in no_book.json["faults"][0]["wanted"]
