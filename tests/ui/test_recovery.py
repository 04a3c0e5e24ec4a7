"""Unsaved work: kept, found again only when nobody holds it, damaged files passed over."""

from __future__ import annotations

import stat
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from filelock import FileLock

from engcalc.case.text import FORMAT, CaseText
from ui import recovery
from ui.recovery import Recovery, default_folder, found, passed_over

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
mine = Recovery(Path({folder!r}))
half_typed = CaseText({{"format": FORMAT, "job": {{"title": "Half typed"}}}})
mine.keep(half_typed, Path("a.json"), datetime(2031, 5, 6, 12, 0, 0))
os._exit(9)  # as a crash ends: nothing is cleaned up
"""


RUNNING = CRASH.replace("os._exit(9)  # as a crash ends: nothing is cleaned up", "print('kept', flush=True); input()")

LOOK = """
import sys
sys.path.insert(0, {project!r})
from pathlib import Path
from ui.recovery import found
print(len(found(Path({folder!r}))))
"""


@contextmanager
def running_window(folder: Path) -> Iterator[subprocess.Popen[str]]:
    """Another process that has kept its work and goes on."""
    code = RUNNING.format(project=str(PROJECT), folder=str(folder))
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "text": True}
    with subprocess.Popen([sys.executable, "-c", code], **pipes) as other:
        try:
            assert other.stdout is not None
            assert other.stdout.readline() == "kept\n"
            yield other
        finally:
            other.kill()


def test_work_of_another_running_window_is_not_offered_until_it_is_killed(tmp_path):
    with running_window(tmp_path) as other:
        assert found(tmp_path) == []
        other.kill()
        other.wait()
        (work,) = found(tmp_path)
    assert work.text.typed("job.title") == "Half typed"
    work.forget()
    assert list(tmp_path.iterdir()) == []


def test_a_look_takes_no_lock_along(tmp_path):
    """Two windows that start after a crash both see the work, and either may go on with it."""
    code = CRASH.format(project=str(PROJECT), folder=str(tmp_path))
    subprocess.run([sys.executable, "-c", code], check=False)
    assert [len(found(tmp_path)) for _ in range(2)] == [1, 1]
    look = (
        f"import sys; sys.path.insert(0, {str(PROJECT)!r}); from pathlib import Path; from ui.recovery import found; "
    )
    look += f"print(len(found(Path({str(tmp_path)!r}))))"
    seen = subprocess.run([sys.executable, "-c", look], check=True, capture_output=True, text=True)
    assert seen.stdout == "1\n"


def test_a_look_waits_for_another_window_that_looks(tmp_path, monkeypatch):
    """Each look holds the lock for a moment; a window that meets it just then does not take the work for held."""
    Recovery(tmp_path).keep(TEXT, None, NOON)  # let go of at once, as after a crash
    (lock,) = tmp_path.glob("*.lock")
    other = FileLock(lock, thread_local=False)
    other.acquire()
    monkeypatch.setattr(recovery, "LOOK_S", 100.0 * recovery.LOOK_S)  # however busy the machine is
    timer = threading.Timer(0.05, other.release)
    timer.start()
    assert len(found(tmp_path)) == 1
    timer.join()


def test_kept_again_after_it_was_saved(tmp_path):
    mine = Recovery(tmp_path)
    for _ in range(2):
        mine.keep(TEXT, None, NOON)
        mine.keep(TEXT, None, NOON)
        assert found(tmp_path) == []
        mine.forget()
        mine.forget()
        assert list(tmp_path.iterdir()) == []


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


def test_dangling_links_vanished_and_damaged_files_are_passed_over_and_told(tmp_path, monkeypatch):
    (tmp_path / "dangling.json").symlink_to(tmp_path / "nowhere")
    (tmp_path / "damaged.json").write_text("{", encoding="utf-8")
    (tmp_path / "deep.json").write_text("[" * 100_000, encoding="utf-8")
    (tmp_path / "folder.json").mkdir()
    vanished = tmp_path / "vanished.json"
    real = Path.glob
    monkeypatch.setattr(Path, "glob", lambda self, pattern: [*real(self, pattern), vanished])
    assert found(tmp_path) == []
    names = sorted(path.name for path in passed_over(tmp_path))
    assert names == ["damaged.json", "dangling.json", "deep.json", "folder.json"]


def test_the_folder_is_the_owner_s_alone_and_dead_locks_are_swept(tmp_path):
    folder = tmp_path / "unsaved"
    folder.mkdir(mode=0o755)
    (folder / "dead.lock").write_text("", encoding="utf-8")
    recovery = Recovery(folder)
    recovery.keep(CaseText(), None, datetime(2030, 1, 1, tzinfo=UTC))
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert found(folder) == []
    assert [path.name for path in folder.glob("dead.lock")] == []
    assert len(list(folder.glob("*.lock"))) == 1
    recovery.forget()
