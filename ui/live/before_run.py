"""The run before the repair, over which a run after it is laid as it grows: the case's, another's, or a log."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.errors import InputError, InputFault
from engcalc.logs.log import read_log
from engcalc.logs.record import LogRecord
from engcalc.vehicle.run import BEFORE, read_logs
from engcalc.words.texts import live_texts
from ui.live.watch import with_reading

Logs = Mapping[str, LogRecord]


def with_before(text: CaseText | None, before: Path) -> tuple[CaseText, Logs]:
    """A case with the run before the repair from a file, and its log: ``before`` is a log, or a case that has one.

    Without ``text`` the vehicle is that of ``before`` where it is a case. InputError, FileFault.
    """
    if before.suffix.lower() != ".json":
        log = read_log(before)
        return with_reading(text or CaseText({"format": FORMAT}), BEFORE, before.name, ()), {BEFORE: log}
    other = read_case(before)
    record = dict(other.tree.get("evidence") or {}).get(BEFORE)
    if not isinstance(record, Mapping) or not {"log", "curve", "spots"} & set(record):
        wanted = live_texts.CASE_WITH_A_LOG
        raise InputError((InputFault("--before", before.name, wanted),))
    logs = logs_beside(other, "after", before.parent)
    if text is None:
        return other, logs
    tree = dict(text.tree)
    return CaseText({**tree, "evidence": {**dict(tree.get("evidence") or {}), BEFORE: record}}), logs


def logs_beside(text: CaseText, record: str, folder: Path) -> Logs:
    """The logs that a case names besides the one of ``record``, which is being read. InputError."""
    tree = dict(text.tree)
    tree["evidence"] = {key: x for key, x in dict(tree.get("evidence") or {}).items() if key != record}
    found = resolve(CaseText(tree))
    if isinstance(found, Faults):
        raise InputError(found.faults)
    assert isinstance(found, Case)
    return read_logs(found, folder)
