"""The run of a screening: every log once, whatever happens to the run or to a log."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import fake_judges
import pytest

from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.base_rates import OtherRates
from engcalc.errors import FileFault
from ui.screening.run import ScreeningRun, ScreeningSetting, lines_of
from ui.screening.sources import named_sources

PROJECT = Path(__file__).resolve().parents[3]


@pytest.fixture
def logs(tmp_path):
    """``logs(n)`` makes a folder of so many logs; more by name and content."""

    def make(count: int, **more: bytes) -> Path:
        folder = tmp_path / "logs"
        folder.mkdir(exist_ok=True)
        for number in range(count):
            (folder / f"day-{number}.csv").write_bytes(f"log {number}\n".encode())
        for name, data in more.items():
            (folder / f"{name}.csv").write_bytes(data)
        return folder

    return make


def run(folder, lines, judge=fake_judges.quick, setting=None, workers=1) -> ScreeningRun:
    done = ScreeningRun(named_sources([folder]), setting or ScreeningSetting(), lines)
    done.go(workers, judged_by=judge)
    return done


def test_every_log_is_judged_and_told(logs, tmp_path):
    folder, told = logs(5), []
    done = ScreeningRun(named_sources([folder]), ScreeningSetting(), tmp_path / "lines")
    done.go(2, lambda n, total, one: told.append((n, total, one.source.name)), fake_judges.quick)
    assert done.complete
    assert [(n, total) for n, total, _ in told] == [(n, 5) for n in range(1, 6)]
    assert sorted(name for *_, name in told) == [f"day-{n}.csv" for n in range(5)]
    assert {one.judged.fault for one in done.screened.values()} == {0.25}
    assert len(lines_of(tmp_path / "lines")) == 5


def test_what_was_judged_is_not_judged_again(logs, tmp_path):
    folder = logs(3)
    run(folder, tmp_path / "lines")
    folder.joinpath("day-0.csv").rename(folder / "another name.csv")  # it is the content that counts
    again = run(folder, tmp_path / "lines", fake_judges.never)
    assert again.again == 3
    assert [one.why for one in again.screened.values()] == [""] * 3
    run(logs(4), tmp_path / "lines", fake_judges.quick)
    assert len(lines_of(tmp_path / "lines")) == 4


def test_judged_with_something_else_is_judged_again(logs, tmp_path):
    folder = logs(1)
    run(folder, tmp_path / "lines")
    van = ScreeningSetting(CaseText({"format": FORMAT, "vehicle": {"class": "delivery van"}}))
    rates = ScreeningSetting(rates=OtherRates({"healthy": 1.0}, "the book"))
    for setting in (van, rates):
        assert run(folder, tmp_path / "lines", setting=setting).again == 0
        assert run(folder, tmp_path / "lines", setting=setting).again == 1


def test_one_content_under_two_names_is_judged_once(logs, tmp_path):
    folder = logs(1, twin=b"log 0\n")
    done = run(folder, tmp_path / "lines")
    assert [one.judged is not None for one in done.screened.values()] == [True, True]
    assert len(lines_of(tmp_path / "lines")) == 1


def test_a_log_that_ends_its_process_is_told_and_the_others_judged(logs, tmp_path):
    done = run(logs(6, a_deadly=b"deadly"), tmp_path / "lines", fake_judges.deadly, workers=2)
    assert done.complete
    whys = {one.source.name: one.why for one in done.screened.values()}
    assert len(whys) == 7
    assert {name for name, why in whys.items() if why} == {"a_deadly.csv"}
    assert "came to an end" in whys["a_deadly.csv"]


def test_a_log_that_cannot_be_read_is_told(logs, tmp_path):
    folder = logs(2)
    sources = named_sources([folder])
    (folder / "day-0.csv").unlink()
    done = ScreeningRun(sources, ScreeningSetting(), tmp_path / "lines")
    done.go(1, judged_by=fake_judges.quick)
    assert done.complete
    assert "cannot be read" in done.screened[0].why
    assert done.screened[1].judged is not None
    with pytest.raises(FileFault, match="no such file or folder"):
        named_sources([tmp_path / "none"])


def test_the_real_judge_has_words_for_what_is_no_log(logs, tmp_path):
    done = run(logs(1, empty=b"", no_coolant=b"time,speed\n0,1\n1,2\n"), tmp_path / "lines", fake_judges.real)
    assert done.complete
    assert all(one.judged is None and one.why and "defect" not in one.why for one in done.screened.values())


def test_a_line_cut_off_by_a_crash_is_judged_again(logs, tmp_path):
    folder, lines = logs(3), tmp_path / "lines"
    run(folder, lines)
    whole = lines.read_bytes()
    lines.write_bytes(whole[:-20])
    again = run(folder, lines)
    assert again.again == 2
    assert len(lines_of(lines)) == 3
    assert run(folder, lines, fake_judges.never).again == 3


def start(folder: Path, lines: Path) -> subprocess.Popen:
    return subprocess.Popen(
        [sys.executable, fake_judges.__file__, str(folder), str(lines)],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": f"{PROJECT}{os.pathsep}{PROJECT / 'tests' / 'oracles'}"},
        start_new_session=True,
    )


def test_ctrl_c_ends_it_and_the_same_run_goes_on(logs, tmp_path):
    folder, lines = logs(40), tmp_path / "lines"
    started = start(folder, lines)
    assert started.stdout.readline() == "1 40\n"
    os.killpg(started.pid, signal.SIGINT)  # as a terminal does: to all processes of the run
    said, _ = started.communicate(timeout=60)
    assert said.splitlines()[-1].startswith("stopped")
    judged = len(lines_of(lines))
    assert 1 <= judged < 40
    rest = run(folder, lines)
    assert (rest.complete, rest.again) == (True, judged)
    assert len(lines_of(lines)) == 40


def test_killed_it_goes_on_where_it_was(logs, tmp_path):
    folder, lines = logs(40), tmp_path / "lines"
    started = start(folder, lines)
    for _ in range(3):
        started.stdout.readline()
    os.killpg(started.pid, signal.SIGKILL)
    started.communicate(timeout=60)
    judged = len(lines_of(lines))
    assert 3 <= judged < 40
    assert run(folder, lines).again == judged


def test_the_lines_are_open(logs, tmp_path):
    run(logs(1), tmp_path / "lines")
    (line,) = (tmp_path / "lines").read_text("utf-8").splitlines()
    assert json.loads(line)["judged"]["leading"] == "low_coolant"
    with pytest.raises(FileFault, match="cannot be"):
        run(logs(1), tmp_path / "logs")


# ---- which log is of which vehicle ----------------------------------------------------------------------------------


def test_a_folder_below_is_a_vehicle_and_its_days_are_in_order(tmp_path):
    for name in ("van/day-10.csv", "van/day-9.csv", "van/more/day-1.TXT", "alone.csv", "notes.md"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(name)
    found = [(source.name, source.vehicle) for source in named_sources([tmp_path])]
    assert found == [
        ("alone.csv", "alone"),
        ("van/day-9.csv", "van"),
        ("van/day-10.csv", "van"),
        ("van/more/day-1.TXT", "van"),
    ]
    assert [s.vehicle for s in named_sources([tmp_path / "van" / "day-9.csv", tmp_path / "alone.csv"])] == [
        "day-9",
        "alone",
    ]
