"""The logs of a case, read once: what is typed in the form does not change a file. No Qt."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Mapping
from pathlib import Path

from engcalc.case.case import Case
from engcalc.case.file import fingerprint_of
from engcalc.logs.record import LogRecord
from engcalc.logs.text import LARGEST
from engcalc.vehicle.run import read_logs, records

KEPT = 4  # sets of logs; a long one takes tens of megabytes

Stamp = tuple[str, str, str, tuple[tuple[str, str], ...]]
_read: OrderedDict[tuple[Stamp, ...], Mapping[str, LogRecord]] = OrderedDict()
_lock = threading.Lock()


def stamps(case: Case, folder: Path) -> tuple[Stamp, ...]:
    """What tells the logs of a case apart: record, file, the SHA-256 of its content, and its columns."""
    return tuple(
        _stamp(name, folder / record.log.file, record.log.columns)
        for name, record in records(case).items()
        if record.log is not None
    )


def _stamp(name: str, path: Path, columns: Mapping[str, str]) -> Stamp:
    return name, str(path), fingerprint_of(path, LARGEST), tuple(sorted(columns.items()))


def logs_of(case: Case, folder: Path) -> Mapping[str, LogRecord]:
    """The logs of a case; those that were read before and have not changed are not read again.

    Raises InputError with the field's path, as :func:`engcalc.vehicle.run.read_logs`.
    """
    key = stamps(case, folder)
    with _lock:
        if key in _read:
            _read.move_to_end(key)
            return _read[key]
    found = read_logs(case, folder)
    with _lock:
        _read[key] = found
        while len(_read) > KEPT:
            _read.popitem(last=False)
    return found
