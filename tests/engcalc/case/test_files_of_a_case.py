"""What a case may make the program read, and how a file is written: regular files beside the case, whole or not."""

from __future__ import annotations

import ast
import os
import stat
import time
from pathlib import Path

import pytest

from engcalc.case.case import Case
from engcalc.case.file import (
    NO_FOLDER,
    backup_of,
    file_of_case,
    fingerprint_of,
    is_file,
    is_folder,
    is_there,
    parse_case,
    read_case,
    read_whole,
    state_of,
    write_case,
    write_whole,
)
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.errors import FileFault, InputError
from engcalc.studies.choice.tables import parse_table, tables_of
from engcalc.vehicle.run import read_logs

PROJECT = Path(__file__).resolve().parents[3]
FORMAT = '{"format": "heatdocket-case/1"'


def case_with(log: str = "", table: str = "") -> Case:
    tree: dict[str, object] = {"format": "heatdocket-case/1"}
    if log:
        tree["evidence"] = {"before": {"log": {"file": log}}}
    if table:
        tree["job"] = {"part_tables": [table]}
    found = resolve(CaseText(tree))
    assert isinstance(found, Case)
    return found


def outside(tmp_path: Path) -> tuple[Path, list[str]]:
    """The folder of a case, and names of files that lie elsewhere on the machine."""
    folder = tmp_path / "case"
    folder.mkdir()
    secret = tmp_path / "secret.csv"
    secret.write_text("time,password\n1,hunter2\n", encoding="utf-8")
    (folder / "link.csv").symlink_to(secret)
    return folder, [str(secret), "../secret.csv", "a/../../secret.csv", "link.csv", "C:\\x.csv", "/etc/passwd"]


def test_a_stranger_s_case_reads_no_file_outside_its_folder(tmp_path):
    folder, names = outside(tmp_path)
    for name in names:
        for read in (
            lambda name=name: read_logs(case_with(log=name), folder),
            lambda name=name: tables_of(case_with(table=name), folder),
        ):
            with pytest.raises(InputError) as told:
                read()
            fault = told.value.faults[0]
            assert fault.path in ("evidence.before.log.file", "job.part_tables[0]")
            assert "case's own folder" in fault.wanted
            assert "hunter2" not in str(told.value)
            assert "time,password" not in str(told.value)


def test_a_file_chosen_for_a_case_without_a_file_is_read(tmp_path):
    chosen = tmp_path / "a.csv"
    chosen.write_text("x", encoding="utf-8")
    assert file_of_case(NO_FOLDER, str(chosen)) == chosen
    with pytest.raises(FileFault, match="choose the file"):
        file_of_case(NO_FOLDER, "a.csv")


@pytest.mark.parametrize("place", ["/dev/zero", "/dev/tty", "pipe", "folder", "/proc/self/mem"])
def test_only_regular_files_are_read_and_nothing_waits(tmp_path, place):
    if place == "pipe":
        os.mkfifo(tmp_path / "pipe")
    elif place == "folder":
        (tmp_path / "folder").mkdir()
    elif not Path(place).exists():
        pytest.skip(f"this system has no {place}")
    began = time.monotonic()
    with pytest.raises(FileFault):
        read_whole(tmp_path / place, "a log", 1000)
    assert time.monotonic() - began < 1.0


def test_reading_stops_at_its_bound(tmp_path):
    path = tmp_path / "a"
    path.write_bytes(bytes(1001))
    with pytest.raises(FileFault, match="more than 1000 bytes"):
        read_whole(path, "a log", 1000)
    path.write_bytes(bytes(1000))
    assert len(read_whole(path, "a log", 1000)) == 1000


@pytest.mark.parametrize("name", ["a\0b.csv", "x" * 300, "\ud800.csv", ""])
def test_names_that_no_file_can_have_are_named_faults(tmp_path, name):
    for act in (
        lambda: read_whole(file_of_case(tmp_path, name), "a log", 9),
        lambda: write_whole(tmp_path / (name or "."), b"x"),
    ):
        with pytest.raises(FileFault):
            act()


def test_nobody_asks_whether_a_file_is_there_in_the_way_that_raises():
    """``Path.exists`` and its like raise for a name over 255 bytes. The start-up asks of its own folders only."""
    raising = {"exists", "is_file", "is_dir"}
    asked = [
        f"{file.relative_to(PROJECT)}:{node.lineno}"
        for top in ("engcalc", "reports", "ui")
        for file in (PROJECT / top).rglob("*.py")
        if file.name != "startup.py"
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in raising
        if not node.args
    ]
    assert asked == []


@pytest.mark.parametrize("name", ["x" * 300, "x" * 5000, "a\0b"])
def test_what_no_file_can_be_called_is_not_there(name):
    assert [ask(Path(name)) for ask in (is_there, is_file, is_folder)] == [False, False, False]


@pytest.mark.parametrize(
    "text",
    [
        FORMAT + ', "a": ' + "[" * 600 + "]" * 600 + "}",
        FORMAT + ', "a": ' + '{"a":' * 900 + "1" + "}" * 900 + "}",
        '{"format": "heatdocket-case/' + "9" * 4300 + '"}',
        FORMAT + ', "a": ' + "[" * 100_000,
    ],
    ids=["600 lists", "900 objects", "a long number", "no end"],
)
def test_what_once_gave_a_traceback_is_a_named_fault(text):
    with pytest.raises(InputError):
        parse_case(text.encode())


def test_a_table_with_a_giant_cell_is_a_named_fault():
    with pytest.raises(InputError, match="short cells"):
        parse_table("name,core_height\n" + "x" * 200_000 + ",400 mm\n")


def test_a_link_stays_a_link_and_its_file_is_replaced(tmp_path):
    real, link = tmp_path / "real.json", tmp_path / "link.json"
    real.write_bytes(b"old")
    link.symlink_to(real)
    write_whole(link, b"new")
    assert link.is_symlink()
    assert real.read_bytes() == b"new"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes with names")
def test_a_pipe_or_a_device_is_not_written_over(tmp_path):
    """A file put in its place would take a device away from everybody, /dev/null for one."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(FileFault, match="no ordinary file"):
        write_whole(pipe, b"x")
    assert stat.S_ISFIFO(pipe.lstat().st_mode)
    assert list(tmp_path.iterdir()) == [pipe]


def test_leftovers_of_a_killed_writer_are_swept_and_fresh_ones_are_left(tmp_path):
    old, fresh, other = tmp_path / ".a.json.x.part", tmp_path / ".a.json.y.part", tmp_path / ".b.json.z.part"
    for path in (old, fresh, other):
        path.write_bytes(b"")
    for path in (old, other):
        os.utime(path, (0, 0))
    write_whole(tmp_path / "a.json", b"x")
    assert [path.exists() for path in (old, fresh, other)] == [False, True, True]


def test_the_folder_reaches_the_disk_after_the_name_did(tmp_path, monkeypatch):
    done = []
    real_replace, real_sync = Path.replace, os.fsync
    monkeypatch.setattr(Path, "replace", lambda self, to: (done.append("rename"), real_replace(self, to))[1])
    monkeypatch.setattr(os, "fsync", lambda handle: (done.append(_kind(handle)), real_sync(handle))[1])
    write_whole(tmp_path / "a", b"x")
    assert done == ["file", "rename", "folder"]


def _kind(handle: int) -> str:
    return "folder" if stat.S_ISDIR(os.fstat(handle).st_mode) else "file"


def test_the_last_version_of_a_case_is_kept(tmp_path):
    path = tmp_path / "a.heatcase.json"
    first, second = CaseText(), CaseText().with_value("job.title", "Second")
    write_case(first, path)
    assert not backup_of(path).exists()
    write_case(second, path)
    write_case(second, path)
    assert read_case(backup_of(path)) == first
    assert read_case(path) == second


def test_a_change_of_content_is_seen_though_length_and_time_stay(tmp_path):
    path = tmp_path / "a"
    path.write_bytes(b"one")
    print_before, state_before, times = fingerprint_of(path, 99), state_of(path), path.stat()
    time.sleep(0.02)
    path.write_bytes(b"two")
    os.utime(path, ns=(times.st_atime_ns, times.st_mtime_ns))
    assert fingerprint_of(path, 99) != print_before
    assert state_of(path) != state_before
    assert fingerprint_of(tmp_path / "absent", 99) == ""
    assert state_of(tmp_path / "absent") == ()
