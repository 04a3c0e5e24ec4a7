"""Unsaved work kept on the disk every few seconds, and found again after a crash. No Qt.

Each running window has one file and holds a lock on another beside it. The system lets go of the lock when the window
ends, however it ends: a file whose lock nobody holds was left by a window that ended without closing.
"""

from __future__ import annotations

import json
import os
import stat
import uuid
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from filelock import FileLock, Timeout
from platformdirs import user_state_path

from engcalc.case.file import LARGEST_BYTES, case_bytes, is_folder, is_there, parse_case, read_whole, write_whole
from engcalc.case.text import CaseText
from engcalc.errors import FileFault, HeatdocketError
from engcalc.words.texts import document_texts

_OWNER_ONLY = 0o700
LOOK_S = 0.1  # s that a look at a lock waits: another window may be looking at the same one just then


def default_folder() -> Path:
    """Where unsaved work is kept for this user."""
    return user_state_path("heatdocket", appauthor=False) / "unsaved"


@dataclass(frozen=True)
class Recovered:
    """Unsaved work that was found: where it was kept, which case file it belongs to, its text, when it was kept."""

    file: Path
    case_path: Path | None
    text: CaseText
    when: str

    def forget(self) -> None:
        """Take the kept file away."""
        self.file.unlink(missing_ok=True)
        _lock_of(self.file).unlink(missing_ok=True)


class Recovery:
    """The file that keeps one window's unsaved work."""

    def __init__(self, folder: Path) -> None:
        self._file = folder / f"{uuid.uuid4().hex}.json"
        self._lock = FileLock(_lock_of(self._file))

    def keep(self, text: CaseText, case_path: Path | None, now: datetime) -> None:
        """Write the unsaved text. Raises :class:`engcalc.errors.FileFault` in words when the disk refuses."""
        try:
            _make_private(self._file.parent)
            if not self._lock.is_locked:
                self._lock.acquire(blocking=False)  # the name is this window's own: nobody else holds it
        except OSError as error:
            wanted = document_texts.UNSAVED_WORK_CANNOT_BE_KEPT_THERE.format(strerror=error.strerror or error)
            raise FileFault(str(self._file.parent), wanted) from error
        kept = {
            "path": None if case_path is None else str(case_path),
            "when": now.isoformat(timespec="seconds"),
            "case": case_bytes(text).decode("utf-8"),
        }
        write_whole(self._file, json.dumps(kept).encode("utf-8"), private=True)

    def forget(self) -> None:
        """The work was saved or given up: take the file away and let go of the lock."""
        self._file.unlink(missing_ok=True)
        self._lock.release()
        _lock_of(self._file).unlink(missing_ok=True)


def _make_private(folder: Path) -> None:
    """A folder that only its owner enters: what is kept there names customers."""
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    if stat.S_IMODE(folder.stat().st_mode) != _OWNER_ONLY:
        folder.chmod(_OWNER_ONLY)


def _lock_of(file: Path) -> Path:
    return file.with_suffix(".lock")


def _held(file: Path) -> bool:
    """Whether a running window holds this file."""
    lock = _lock_of(file)
    if not is_there(lock):
        return False
    try:
        with FileLock(lock, timeout=LOOK_S):
            return False
    except Timeout:
        return True


def found(folder: Path) -> list[Recovered]:
    """Unsaved work that no running window holds, the newest first. What cannot be read is passed over and left there;
    :func:`passed_over` names it."""
    read = (_read(file) for file in _left(folder))
    return [work for work in read if work is not None]


def passed_over(folder: Path) -> list[Path]:
    """Kept files that no running window holds and that cannot be read: damaged, or links to nothing."""
    return [file for file in _left(folder) if os.path.lexists(file) and _read(file) is None]


def _left(folder: Path) -> list[Path]:
    """Kept files that no running window holds, the newest first. Another window may take one away meanwhile."""
    if not is_folder(folder):
        return []
    _sweep_locks(folder)
    files = sorted(folder.glob("*.json"), key=_kept_at, reverse=True)
    return [file for file in files if not _held(file)]


def _kept_at(file: Path) -> float:
    try:
        return file.lstat().st_mtime
    except OSError:
        return 0.0


def _sweep_locks(folder: Path) -> None:
    """Take away locks of windows that ended without closing and left no work."""
    for lock in folder.glob("*.lock"):
        if not os.path.lexists(lock.with_suffix(".json")) and not _held(lock.with_suffix(".json")):
            with suppress(OSError):
                lock.unlink()


def _read(file: Path) -> Recovered | None:
    try:
        kept = json.loads(read_whole(file, "kept work", 2 * LARGEST_BYTES).decode("utf-8"))
        text = parse_case(kept["case"].encode("utf-8"), file.name)
        path = None if kept["path"] is None else Path(kept["path"])
        return Recovered(file, path, text, str(kept["when"]))
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError, HeatdocketError):
        return None
