"""Nothing that only Unix has stands in the way on other systems: the program runs with those names taken away.

Neither Windows nor macOS was tried. Which names only Unix has: "Availability" in Python 3.11's library reference, os,
signal and the chapter "Unix Specific Services".
"""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import worked_examples

PROJECT = Path(__file__).parents[2]
OURS = ("engcalc", "reports", "ui", "worked_examples")
UNIX_MODULES = ("fcntl", "resource", "pwd", "grp", "termios", "tty", "pty", "crypt", "syslog", "posix")
UNIX_NAMES = (
    *("fork", "forkpty", "getuid", "geteuid", "getgid", "getegid", "getpgid", "getpgrp", "setpgid", "setsid", "killpg"),
    *(
        "tcgetpgrp",
        "chown",
        "fchown",
        "lchown",
        "chroot",
        "fchmod",
        "mkfifo",
        "mknod",
        "statvfs",
        "fstatvfs",
        "sysconf",
    ),
    *(
        "uname",
        "nice",
        "wait",
        "wait3",
        "wait4",
        "sched_getaffinity",
        "posix_fallocate",
        "sync",
        "fdatasync",
        "ctermid",
    ),
    *("O_NONBLOCK", "O_DIRECTORY", "O_NOFOLLOW", "O_CLOEXEC", "O_SYNC", "O_TMPFILE", "pread", "pwrite", "sendfile"),
)
UNIX_SIGNALS = ("SIGKILL", "SIGHUP", "SIGALRM", "SIGUSR1", "SIGUSR2", "SIGPIPE", "SIGQUIT", "SIGCHLD", "alarm", "pause")
GUARDED = {("ui/command/typed_input.py", "tcgetpgrp"), ("ui/command/typed_input.py", "getpgrp")}  # by os.name
UNIX_PLACES = ("/dev", "/proc", "/etc", "/tmp", "/usr", "/var", "/home")


def sources() -> Iterator[tuple[str, ast.Module]]:
    """Every module of ours by its path in the project."""
    for folder in OURS:
        for path in sorted((PROJECT / folder).rglob("*.py")):
            yield path.relative_to(PROJECT).as_posix(), ast.parse(path.read_text(encoding="utf-8"))


def imported(node: ast.AST) -> list[str]:
    """The modules that a statement imports."""
    if isinstance(node, ast.Import):
        return [name.name for name in node.names]
    return [node.module or ""] if isinstance(node, ast.ImportFrom) else []


def test_no_module_of_ours_names_what_only_unix_has() -> None:
    found, modules = [], 0
    for path, tree in sources():
        modules += 1
        for node in ast.walk(tree):
            found += [(path, name) for name in imported(node) if name in UNIX_MODULES]
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
                of = {"os": UNIX_NAMES, "signal": UNIX_SIGNALS}.get(node.value.id, ())
                found += [(path, node.attr)] if node.attr in of else []
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                is_place = any(node.value == place or node.value.startswith(f"{place}/") for place in UNIX_PLACES)
                found += [(path, node.value)] if is_place else []
    assert modules > 300
    assert [one for one in found if one not in GUARDED] == []
    assert {one for one in found if one in GUARDED} == GUARDED


BEGIN = """
import errno, importlib, os, pathlib, pkgutil, signal, sys
from datetime import datetime
from pathlib import Path
# What is not ours looks at the system's name: it is imported before anything is taken away.
import concurrent.futures.process, multiprocessing.context, shutil, socket, sqlite3, subprocess, tempfile, uuid
import asn1crypto, CoolProp, filelock, numpy, platformdirs, pyhanko.sign, pypdfium2, reportlab.platypus, serial
import PIL.Image, PySide6.QtCore, PySide6.QtGui, PySide6.QtWidgets, svglib.svglib, ziamath
filelock.FileLock = filelock.SoftFileLock  # the one it has for any system
MODULES, NAMES, SIGNALS = {modules!r}, {names!r}, {signals!r}
for name in MODULES:
    sys.modules[name] = None
for name in NAMES:
    if hasattr(os, name):
        delattr(os, name)
for name in SIGNALS:
    if hasattr(signal, name):
        delattr(signal, name)
open_, replace = os.open, os.replace

def open_file(path, flags, *rest, **more):
    "As on Windows: a folder cannot be opened."
    if os.path.isdir(path):
        raise PermissionError(errno.EACCES, "Permission denied", str(path))
    return open_(path, flags, *rest, **more)

def replace_closed(old, new, **more):
    "As on Windows: no file takes the place of one that is open."
    for name in os.listdir("/proc/self/fd"):
        place = os.path.realpath("/proc/self/fd/" + name)
        if place in (os.path.realpath(old), os.path.realpath(new)):
            raise PermissionError(errno.EACCES, "The file is in use", str(place))
    return replace(old, new, **more)

os.open, os.replace = open_file, replace_closed
home = Path(sys.argv[1])
"""

SAVE = """
from engcalc.case.file import backup_of, read_case, write_case
from engcalc.case.text import CaseText
from ui import crashes
from ui.document import Document
from ui.recovery import Recovery, found
case = home / "a.heatcase.json"
first, second = (CaseText().with_value("job.title", title) for title in ("one", "two"))
write_case(first, case)
write_case(second, case)
assert read_case(case).typed("job.title") == "two"
assert read_case(backup_of(case)).typed("job.title") == "one"
Document.read(case).save(home / "b.heatcase.json")
assert read_case(home / "b.heatcase.json").typed("job.title") == "two"
kept = Recovery(home / "unsaved")
kept.keep(first, case, datetime(2026, 3, 2, 9, 30))
kept.keep(second, case, datetime(2026, 3, 2, 9, 31))
assert len(list((home / "unsaved").glob("*.json"))) == 1
kept.forget()
assert found(home / "unsaved") == []
crashes.keep_in(home / "crashes")
crashes.note(ValueError("x"), "a trial")
assert "ValueError" in crashes.report(home / "crashes")
"""

KEEP = """
from ui.book.copies import restore, write_backup
from ui.book.jobs import add_case
from ui.book.store import Book
from engcalc.case.file import write_case
from engcalc.case.text import CaseText
case = home / "a.heatcase.json"
write_case(CaseText().with_value("job.title", "one"), case)
with Book.open(home / "shop.jobbook", make=True) as book:
    add_case(book, case)
    write_backup(book, home / "copy.jobbook")
assert restore(home / "copy.jobbook", home / "shop.jobbook") is not None
"""

REPORT = """
from ui.command.main import main
me, paper = str(home / "me.p12"), str(home / "report.pdf")
assert main(["identity", me, "--name", "A. Nobody", "--credential", "invented"]) == 0
assert main(["report", sys.argv[2], "-o", paper, "--identity", me]) == 0
assert main(["verify", paper]) == 0
"""

WINDOW = """
for package in {ours!r}:
    for module in pkgutil.walk_packages([str(Path({project!r}) / package)], package + "."):
        if not module.name.endswith(("make_van_logs", "refit", "__main__")):
            importlib.import_module(module.name)
from ui.recovery import default_folder
from ui.window.main_window import MainWindow
from ui.window.settings import Settings, default_file
from ui.window.start_page import WayIn
application = PySide6.QtWidgets.QApplication([])
window = MainWindow(Settings(default_file()), default_folder())
window.show()
window.start(next(iter(WayIn)))
assert window.keep_unsaved()
window.close()
assert default_file().is_file()
"""


def without_unix(place: Path, what: str) -> None:
    """Run this in a process from which the names are gone; it says "done" at its end."""
    names = {"modules": UNIX_MODULES, "names": UNIX_NAMES, "signals": UNIX_SIGNALS}
    begin = BEGIN.format(**names)
    folders = {f"XDG_{name}_HOME": str(place / name) for name in ("CONFIG", "STATE", "DATA", "CACHE")}
    example = worked_examples.folder() / "track-day-car.heatcase.json"
    done = subprocess.run(
        [sys.executable, "-c", f"{begin}\n{what}\nprint('done')", str(place), str(example)],
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
        env={**os.environ, **folders, "PYTHONPATH": str(PROJECT), "HEATDOCKET_PASSWORD": "a long password, invented"},
    )
    assert done.stdout.endswith("done\n"), done.stderr[-3000:]


def test_cases_unsaved_work_and_crashes_are_kept_without_unix(tmp_path: Path) -> None:
    without_unix(tmp_path, SAVE)


def test_the_job_book_is_written_and_restored_without_unix(tmp_path: Path) -> None:
    without_unix(tmp_path, KEEP)


def test_a_report_is_signed_and_verified_without_unix(tmp_path: Path) -> None:
    without_unix(tmp_path, REPORT)


def test_every_module_is_imported_and_the_window_opens_without_unix(tmp_path: Path) -> None:
    without_unix(tmp_path, WINDOW.format(ours=OURS, project=str(PROJECT)))
