"""Writers that are killed at any moment: what they wrote over is the old or the new, whole.

    PYTHONPATH=.:tests/trust python tests/trust/killed_writers.py save 400        or: export; prints JSON

Each writer is a child of this process by fork: Linux and macOS. Kills over the job book's keep: ``killed_book.py``.
"""

from __future__ import annotations

import hashlib
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from fuzzed_inputs import SEED, Run

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import parse_case, read_case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.errors import HeatdocketError
from engcalc.studies.check import check
from reports.build import export_report
from reports.identity import make_identity
from reports.kinds import ReportKind
from reports.verification import FoundState
from reports.verifying import verify_report
from ui.document import Document
from ui.recovery import Recovery, passed_over
from ui.recovery import found as unsaved

MOMENT = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
CASE = "a.heatcase.json"


@dataclass(frozen=True)
class Writing:
    """Something that writes without end into a folder, what tells the files there that are not whole, and for how long
    [s] a writer is let alone at most."""

    name: str
    write: Callable[[Path], None]
    broken: Callable[[Path], list[str]]
    longest: float


def case_of(number: int) -> CaseText:
    """A case that tells by its words whether it is whole."""
    return CaseText().with_value("job.notes", f"{number} " + "x" * 200_000 + f" {number}")


def is_whole(text: CaseText) -> bool:
    """Whether a case is one of :func:`case_of`, from its first sign to its last."""
    words = str(text.get("job.notes")).split()
    return len(words) == 3 and words[0] == words[2]


def example() -> Path:
    """A case that names two logs."""
    return next(worked_examples.folder().rglob("van-repaired.heatcase.json"))


# ---- save, autosave, save elsewhere ---------------------------------------------------------------------------------


def save_without_end(folder: Path) -> None:
    """Autosave, save, and save a case with logs to a new folder, over and over."""
    document, recovery = Document(CaseText(), folder / CASE), Recovery(folder / "kept")
    text, number = read_case(example()), 0
    while True:
        number += 1
        document.take_text(case_of(number), "another")
        recovery.keep(document.text, document.path, MOMENT)
        document.accept_outside()
        document.save()
        elsewhere = folder / "elsewhere" / str(number)
        elsewhere.mkdir(parents=True, exist_ok=True)
        Document(text, beside=example().parent).save(elsewhere / CASE)


def broken_saves(folder: Path) -> list[str]:
    """What is not whole of the case, its backup and unsaved work; cases elsewhere without their logs."""
    cases = [path for path in folder.glob(f"{CASE}*") if not is_whole(parse_case(path.read_bytes()))]
    kept = [one.file for one in unsaved(folder / "kept") if not is_whole(one.text)]
    elsewhere = [path for path in (folder / "elsewhere").rglob(CASE) if _has_lost_logs(path)]
    shutil.rmtree(folder / "elsewhere", ignore_errors=True)
    return [path.name for path in (*cases, *kept, *passed_over(folder / "kept"), *elsewhere)]


def _has_lost_logs(path: Path) -> bool:
    parse_case(path.read_bytes())
    return any(_sum_of(path.parent / log.name) != _sum_of(log) for log in example().parent.glob("van-*.csv"))


def _sum_of(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else ""


def saving() -> Writing:
    """Saves and autosaves."""
    return Writing("save, autosave, save elsewhere", save_without_end, broken_saves, longest=0.15)


# ---- export ---------------------------------------------------------------------------------------------------------


def exporting(scratch: Path) -> Writing:
    """Signed reports and drafts, each over the one before."""
    text = read_case(next(worked_examples.folder().rglob("track-day-car.heatcase.json")))
    case = resolve(text)
    assert isinstance(case, Case)
    found = check(case, members=0)
    identity = make_identity(scratch / "killed.p12", "A. Author", "invented", "a password", MOMENT)

    def write(folder: Path) -> None:
        while True:
            export_report(found, text, ReportKind.CUSTOMER, folder / "signed.pdf", now=MOMENT, identity=identity)
            export_report(found, text, ReportKind.CUSTOMER, folder / "draft.pdf", now=MOMENT)

    def broken(folder: Path) -> list[str]:
        wanted = {"signed.pdf": FoundState.INTACT, "draft.pdf": FoundState.UNSIGNED}
        there = {name: state for name, state in wanted.items() if (folder / name).exists()}
        return [name for name, state in there.items() if verify_report((folder / name).read_bytes()).state is not state]

    return Writing("export, signed and draft", write, broken, longest=0.6)


# ---- kills ----------------------------------------------------------------------------------------------------------


def kill_often(writing: Writing, folder: Path, kills: int) -> Run:
    """Kill so many writers in one folder, each after a random while; after each, all that is there has to be whole."""
    found, draw = Run(f"kills: {writing.name}"), random.Random(SEED)
    for number in range(kills):
        _killed(writing, folder, draw.uniform(0.0, writing.longest))
        found.tried += 1
        try:
            broken = writing.broken(folder)
        except (HeatdocketError, ValueError) as fault:
            broken = [str(fault)]
        found.answered += not broken
        found.defects += [f"kill {number}: {name} is not whole" for name in broken]
    return found


def _killed(writing: Writing, folder: Path, seconds: float) -> None:
    writer = os.fork()
    if writer == 0:
        try:
            writing.write(folder)
        finally:
            os._exit(1)  # a writer that ends by itself is a defect, told below
    time.sleep(seconds)
    os.kill(writer, signal.SIGKILL)
    _, status = os.waitpid(writer, 0)
    assert os.WIFSIGNALED(status), "the writer ended by itself"


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place, tempfile.TemporaryDirectory() as keys:
        chosen = saving() if sys.argv[1] == "save" else exporting(Path(keys))
        sys.stdout.write(json.dumps(asdict(kill_often(chosen, Path(place), int(sys.argv[2])))) + "\n")
