"""Crashes kept on the disk for support: what failed and where in the program, nothing that a person entered. No Qt.

An entry holds the kind of the error, the lines of the program that led to it, and versions. The error's own words stay
out: they quote values, names and paths. Nothing is ever sent; a person copies the report if they wish to.
"""

from __future__ import annotations

import logging
import os
import platform
import sysconfig
import time
from collections.abc import Iterator
from contextlib import suppress
from functools import cache
from importlib import metadata
from io import TextIOWrapper
from logging.handlers import RotatingFileHandler
from pathlib import Path, PurePath
from traceback import walk_stack, walk_tb
from types import FrameType, TracebackType

from platformdirs import user_config_path

from engcalc.words.texts import document_texts

FILE = "crashes.log"
MOST_BYTES = 64_000  # of the file, and of the one before it
MOST_FRAMES = 30  # of one error, the innermost ones
MOST_ERRORS = 5  # in a chain, each raised while another was handled
MOST_A_RUN = 50  # unlike crashes that one run of the program writes
OURS = ("engcalc", "reports", "ui", "worked_examples")
OUTSIDE = "outside the program"
_OWNER_ONLY_FOLDER, _OWNER_ONLY_FILE = 0o700, 0o600
_PROGRAM = Path(__file__).resolve().parents[1]

CRASHES = logging.getLogger("heatdocket.crashes")
CRASHES.propagate = False
CRASHES.addHandler(logging.NullHandler())  # until a folder is named nothing is written


def default_folder() -> Path:
    """Where the crashes of this user are kept: beside the settings."""
    return user_config_path("heatdocket", appauthor=False) / "crashes"


def keep_in(folder: Path) -> None:
    """Keep crashes in this folder from now on, and in no other."""
    stop_keeping()
    CRASHES.addHandler(_CrashFile(folder))


def stop_keeping() -> None:
    """Keep no more crashes."""
    for handler in [one for one in CRASHES.handlers if isinstance(one, _CrashFile)]:
        CRASHES.removeHandler(handler)
        handler.close()


def note(error: BaseException, where: str) -> None:
    """Keep an error; ``where`` says in our own words what was at work, such as ``the window``."""
    note_raised(error, error.__traceback__, where)


def note_raised(error: BaseException, trace: TracebackType | None, where: str) -> None:
    """As :func:`note`, with the trace apart from the error."""
    CRASHES.error("\n".join([f"{_kind(error)} in {where}", *_indented(_lines_of(error, trace))]))


def note_complaint(source: str, frame: FrameType | None) -> None:
    """Keep what a library complained of; ``source`` is its part, ``frame`` the line of ours that ran just then."""
    found = [(one.f_code.co_filename, line, one.f_code.co_name) for one, line in walk_stack(frame)]
    CRASHES.error("\n".join([f"Complaint of {source}", *_indented(_frames_told(found[::-1]))]))


def report(folder: Path) -> str:
    """All that is kept, the oldest first; empty when there is nothing. It is written to be copied."""
    kept = (folder / f"{FILE}.1", folder / FILE)
    return "".join(_text(file) for file in kept)


@cache
def versions() -> str:
    """The versions that ran: program, Python, Qt, system."""
    return document_texts.HEATDOCKET_PYTHON_QT.format(
        value=version_of("heatdocket"),
        python_version=platform.python_version(),
        value_2=version_of("PySide6-Essentials"),
        system=platform.system(),
        machine=platform.machine(),
    )


def version_of(package: str) -> str:
    """The version of an installed package, else words for it."""
    try:
        return metadata.version(package)
    except metadata.PackageNotFoundError:
        return "not installed"


class _CrashFile(RotatingFileHandler):
    """The file of the crashes: in a folder of the owner's alone, never larger than two times its bound."""

    def __init__(self, folder: Path) -> None:
        self._seen: set[str] = set()
        super().__init__(folder / FILE, maxBytes=MOST_BYTES, backupCount=1, encoding="utf-8", delay=True)

    def filter(self, record: logging.LogRecord) -> bool:
        """Each crash once a run: an error in painting comes back at every paint."""
        told = record.getMessage()
        if told in self._seen or len(self._seen) >= MOST_A_RUN:
            return False
        self._seen.add(told)
        return bool(super().filter(record))

    def format(self, record: logging.LogRecord) -> str:
        """The entry: when, what and where, and the versions."""
        when = time.strftime("%Y-%m-%d %H:%M", time.gmtime(record.created))
        return f"{when} UTC: {record.getMessage()}\n  {versions()}\n"

    def handleError(self, record: logging.LogRecord) -> None:
        """A disk that refuses must not end the program: the crash was said in the window already."""

    def _open(self) -> TextIOWrapper:
        file = Path(self.baseFilename)
        file.parent.mkdir(parents=True, exist_ok=True)
        file.parent.chmod(_OWNER_ONLY_FOLDER)
        return open(file, "a", encoding=self.encoding, opener=_owner_only)


def _owner_only(path: str, flags: int) -> int:
    return os.open(path, flags | getattr(os, "O_NOFOLLOW", 0), _OWNER_ONLY_FILE)


def _kind(error: BaseException) -> str:
    return type(error).__name__


def _lines_of(error: BaseException, trace: TracebackType | None) -> Iterator[str]:
    """Where each error of a chain was raised, the one that came last first."""
    for _ in range(MOST_ERRORS):
        frames = [(one.f_code.co_filename, line, one.f_code.co_name) for one, line in walk_tb(trace)]
        yield from _frames_told(frames)
        earlier = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
        if earlier is None:
            return
        error, trace = earlier, earlier.__traceback__
        yield f"after {_kind(error)}"


def _frames_told(frames: list[tuple[str, int, str]]) -> Iterator[str]:
    """Lines of the program; those of a person's own files are only counted as such."""
    for file, line, name in frames[-MOST_FRAMES:]:
        place = place_in_program(file)
        yield OUTSIDE if place is None else f"{place}:{line} in {name}"


def place_in_program(file: str) -> str | None:
    """A module's file without the folders above it; None for a file that is no module of the program or of Python."""
    path = PurePath(file)
    if path.is_relative_to(_PROGRAM) and path.relative_to(_PROGRAM).parts[0] in OURS:
        return path.relative_to(_PROGRAM).as_posix()
    for shelf in ("site-packages", "dist-packages"):
        if shelf in path.parts:
            at = len(path.parts) - 1 - path.parts[::-1].index(shelf)
            return PurePath(*path.parts[at + 1 :]).as_posix()
    standard = sysconfig.get_paths()["stdlib"]
    return path.relative_to(standard).as_posix() if path.is_relative_to(standard) else None


def _indented(lines: Iterator[str]) -> Iterator[str]:
    return (f"  {line}" for line in lines)


def _text(file: Path) -> str:
    with suppress(OSError):
        return file.read_text(encoding="utf-8", errors="replace")
    return ""
