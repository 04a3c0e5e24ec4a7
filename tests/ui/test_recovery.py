"""Unsaved work: kept, found again only when nobody holds it, damaged files passed over."""

from __future__ import annotations

import subprocess
import sys
from datetime import datetime
from pathlib import Path

from engcalc.case.text import FORMAT, CaseText
from ui.recovery import Recovery, default_folder, found

NOON = datetime(2031, 5, 6, 12, 0, 0)
TEXT = CaseText({"format": FORMAT, "radiator": {"core_height": "wrong ½ text"}})
PROJECT = Path(__file__).resolve().parents[2]

CRASH = """
import os, sys
sys.path.insert(0, {project!r})
from datetime import datetime
from pathlib import Path
from engcalc.case.text import FORMAT, CaseText
from ui.recovery import Recovery
Recovery(Path({folder!r})).keep(CaseText({{"format": FORMAT, "job": {{"title": "Half typed"}}}}), Path("a.json"),
                                datetime(2031, 5, 6, 12, 0, 0))
os._exit(9)  # as a crash ends: nothing is cleaned up
"""


def test_work_of_a_running_window_is_not_offered(tmp_path):
    mine = Recovery(tmp_path)
    mine.keep(TEXT, None, NOON)
    assert found(tmp_path) == []
    mine.forget()
    assert list(tmp_path.iterdir()) == []


def test_work_left_by_a_crash_is_found_with_its_place_and_time(tmp_path):
    code = CRASH.format(project=str(PROJECT), folder=str(tmp_path))
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 9
    (work,) = found(tmp_path)
    assert work.text.typed("job.title") == "Half typed"
    assert (work.case_path, work.when) == (Path("a.json"), "2031-05-06T12:00:00")
    work.forget()
    assert found(tmp_path) == []


def test_damaged_files_are_passed_over_and_left(tmp_path):
    for name, content in (
        ("a.json", b"{"),
        ("b.json", b'{"case": 3}'),
        ("c.json", b"\xff"),
        ("d.json", b'{"case": "{}", "path": null, "when": "x"}'),
    ):
        (tmp_path / name).write_bytes(content)
    assert found(tmp_path) == []
    assert len(list(tmp_path.iterdir())) == 4


def test_no_folder_is_no_work(tmp_path):
    assert found(tmp_path / "none") == []


def test_the_folder_is_the_persons_own():
    assert default_folder().name == "unsaved"
    assert default_folder().is_relative_to(Path.home().parent)
