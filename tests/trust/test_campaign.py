"""A slice of the recorded campaign; CAMPAIGN.md tells how much of it was run."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from bad_disks import WRITINGS, attempt, failing_call, small_files
from fuzzed_inputs import TABLES, Run, fuzzed, kinds

from engcalc.errors import FileFault
from engcalc.studies.choice.tables import parse_table
from ui.recovery import Recovery

HERE = Path(__file__).resolve().parent
LINUX = pytest.mark.skipif(sys.platform != "linux", reason="by fork and /proc")


@pytest.fixture(autouse=True)
def few_rounds(monkeypatch):
    monkeypatch.setattr("reports.identity.KEY_ROUNDS", 1000)
    monkeypatch.setattr("reports.identity.MAC_ROUNDS", 2000)


def printed(script: str, *words: object) -> dict:
    """What a script of the campaign prints, in a process of its own."""
    command = [sys.executable, str(HERE / script), *(str(word) for word in words)]
    environment = {"PYTHONPATH": f"{HERE.parents[1]}:{HERE}", "QT_QPA_PLATFORM": "offscreen", "PATH": "/usr/bin:/bin"}
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=environment)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_every_mutated_input_is_answered_or_refused_in_words(tmp_path):
    for kind in kinds(tmp_path):
        run = fuzzed(kind, 25)
        assert run.defects == []
        assert run.answered + run.refused == run.tried > 0


def test_the_good_inputs_that_fuzzing_begins_from_are_good(tmp_path):
    assert all(parse_table(table.decode("utf-8")) for table in TABLES)
    for kind in kinds(tmp_path):
        for source in kind.sources:
            kind.ask(source)


@LINUX
def test_a_killed_writer_leaves_everything_whole():
    run = printed("killed_writers.py", "save", 3)
    assert (run["tried"], run["answered"], run["defects"]) == (3, 3, [])


@pytest.mark.parametrize("writing", WRITINGS, ids=lambda one: one.name)
def test_a_full_disk_is_told_and_loses_nothing(tmp_path, writing):
    run = Run(writing.name)
    attempt(run, writing, tmp_path, writing.begin(tmp_path), small_files(200))
    assert (run.refused, run.defects) == (1, [])


@pytest.mark.parametrize("writing", WRITINGS[:-1], ids=lambda one: one.name)
@pytest.mark.parametrize("number", [1, 2, 3])
def test_a_share_that_is_gone_in_the_midst_is_told_and_loses_nothing(tmp_path, writing, number):
    import errno

    run, made = Run(writing.name), []
    attempt(run, writing, tmp_path, writing.begin(tmp_path), failing_call(number, errno.ESTALE, made))
    assert len(made) >= number
    assert (run.tried, run.defects) == (1, [])


def test_a_folder_that_vanished_is_told(tmp_path):
    for writing in WRITINGS:
        (tmp_path / "there").mkdir()
        act = writing.begin(tmp_path / "there")
        (tmp_path / "there").rename(tmp_path / writing.name)
        if writing.name not in {"autosave", "whom one knows"}:  # these two make their own folder
            with pytest.raises(FileFault):
                act()
            assert not (tmp_path / "there").exists()
        assert writing.broken(tmp_path / writing.name) == []


def test_unsaved_work_that_cannot_be_kept_is_told(tmp_path):
    from killed_writers import MOMENT, case_of

    (tmp_path / "a file").write_bytes(b"")
    with pytest.raises(FileFault, match="save the case elsewhere"):
        Recovery(tmp_path / "a file" / "kept").keep(case_of(1), None, MOMENT)


@LINUX
def test_a_monkey_at_the_window_finds_nothing():
    seen = printed("window_monkey.py", 40)
    assert (seen["steps"], seen["defects"]) == (40, [])
