"""The recorded campaign: fuzzed cases, logs, tables and PDFs; killed saves and autosaves; disks that are full or gone.

    PYTHONPATH=. python tests/trust/campaign.py 2000 100          the table of CAMPAIGN.md: inputs of each kind, kills

Every input has to be answered or refused in words: any other exception is a defect and is printed with its seed. A
killed writer leaves the old file or the new one, whole.
"""

from __future__ import annotations

import json
import os
import random
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import parse_case, write_case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.errors import FileFault, HeatdocketError
from engcalc.logs.log import read_log
from engcalc.studies.tables import read_table
from reports.verifying import verify_report
from ui.recovery import Recovery, passed_over
from ui.recovery import found as unsaved

SEED = 20261130
PARTS = b"name,core_height,core_width\nA,400 mm,600 mm\nB,450 mm,620 mm\nC,500 mm,640 mm\n"
SLOW = 5.0  # s of processor time for one small input; more is told as slow
_TOKENS = (
    b"{",
    b"}",
    b"[",
    b"]",
    b'"',
    b",",
    b";",
    b":",
    b"null",
    b"NaN",
    b"1e999",
    b"-0",
    b"\\ud800",
    b"\x00",
    b"\xff",
)
_TOKENS += (b"../", b"/dev/zero", b"%PDF-", b"obj", b"stream", b"\r\n", b"\t", b"degC", "°C".encode(), b"9" * 400)


@dataclass
class Run:
    """One kind of input: how many were tried, answered and refused in words; what else happened."""

    kind: str
    tried: int = 0
    answered: int = 0
    refused: int = 0
    slow: int = 0
    defects: list[str] = field(default_factory=list)


def mutated(data: bytes, draw: random.Random) -> bytes:
    """``data`` with some of its bytes flipped, cut, doubled, or replaced by what parsers stumble over."""
    for _ in range(draw.randrange(1, 6)):
        at = draw.randrange(len(data) + 1)
        end = min(len(data), at + draw.randrange(1, 60))
        change = draw.randrange(5)
        if change == 0 and at < len(data):
            data = data[:at] + bytes([data[at] ^ 1 << draw.randrange(8)]) + data[at + 1 :]
        elif change == 1:
            data = data[:at] + data[end:]
        elif change == 2:
            data = data[:at] + data[at:end] * draw.randrange(2, 5) + data[end:]
        elif change == 3:
            data = data[:at] + draw.choice(_TOKENS) + data[end:]
        else:
            data = data[:at] + draw.choice(_TOKENS) + data[at:]
    return data


def fuzzed(kind: str, sources: list[bytes], ask: Callable[[bytes], object], count: int) -> Run:
    """So many mutated inputs, each handed to ``ask``."""
    found = Run(kind)
    for number in range(count):
        draw = random.Random(f"{SEED} {kind} {number}")
        data = mutated(draw.choice(sources), draw)
        found.tried += 1
        before = time.process_time()
        try:
            ask(data)
            found.answered += 1
        except HeatdocketError:
            found.refused += 1
        except Exception as fault:  # whatever else it is, it is what this campaign looks for
            found.defects.append(f"{kind} {number}: {type(fault).__name__}: {fault}"[:200])
        found.slow += time.process_time() - before > SLOW
    return found


def _ask_case(data: bytes) -> None:
    answer = resolve(parse_case(data))
    if isinstance(answer, Case):
        assert answer.duties is not None


def _asking_file(folder: Path, name: str, read: Callable[[Path], object]) -> Callable[[bytes], object]:
    def ask(data: bytes) -> object:
        (folder / name).write_bytes(data)
        return read(folder / name)

    return ask


def _ask_pdf(data: bytes) -> None:
    verify_report(data)


def fuzz_all(count: int, folder: Path) -> list[Run]:
    """Cases, logs, tables and reports, so many of each."""
    examples = worked_examples.folder()
    cases = [path.read_bytes() for path in sorted(examples.rglob("*.heatcase.json"))]
    tables = [path.read_bytes()[:4000] for path in sorted(examples.rglob("*.csv"))]
    return [
        fuzzed("cases", cases, _ask_case, count),
        fuzzed("logs", tables, _asking_file(folder, "log.csv", lambda path: read_log(path, {})), count),
        fuzzed("tables of parts", [PARTS] * len(tables) + tables, _asking_file(folder, "parts.csv", read_table), count),
        fuzzed("reports", _signed_reports(folder), _ask_pdf, max(1, count // 4)),
    ]


def _signed_reports(folder: Path) -> list[bytes]:
    from reportlab.pdfgen.canvas import Canvas

    from reports.identity import make_identity
    from reports.signing import PageBox, Stamp, attach_case, sign_report

    moment = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
    buffer = BytesIO()
    canvas = Canvas(buffer, invariant=1)
    canvas.drawString(60, 760, "Coolant leaves at 88 °C")
    canvas.save()
    identity = make_identity(folder / "campaign.p12", "A. Author", "invented", "a password", moment)
    plain = attach_case(buffer.getvalue(), b'{"format": "heatdocket-case/1"}')
    return [sign_report(plain, identity, Stamp(PageBox(0, (60, 60, 290, 130)), "HD-1"), moment)]


# ---- kills -----------------------------------------------------------------------------------------------------------


def case_of(number: int) -> CaseText:
    """A case that tells by its length and words whether it is whole."""
    return CaseText().with_value("job.notes", f"{number} " + "x" * 200_000 + f" {number}")


def is_whole(text: CaseText) -> bool:
    """Whether a case is one of :func:`case_of`, from its first sign to its last."""
    words = str(text.get("job.notes")).split()
    return len(words) == 3 and words[0] == words[2]


def broken_in(folder: Path) -> list[str]:
    """The files that are not whole: the case, its backup, and what was kept of unsaved work."""
    cases = [path for path in folder.glob("a.heatcase.json*") if not is_whole(parse_case(path.read_bytes()))]
    kept = [one.file for one in unsaved(folder / "kept") if not is_whole(one.text)]
    return [path.name for path in (*cases, *kept, *passed_over(folder / "kept"))]


def write_without_end(folder: Path) -> None:
    """Save and autosave over and over, until killed."""
    recovery = Recovery(folder / "kept")
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    number = 0
    while True:
        number += 1
        write_case(case_of(number), folder / "a.heatcase.json")
        recovery.keep(case_of(number), folder / "a.heatcase.json", datetime(2026, 3, 2, 9, 30, tzinfo=UTC))


def kill_often(folder: Path, kills: int) -> Run:
    """Kill so many writers; after each the case, its backup and what was kept are whole."""
    found, draw = Run("kills over save and autosave"), random.Random(SEED)
    for number in range(kills):
        words = [sys.executable, __file__, "write", str(folder)]
        writer = subprocess.Popen(words, stdout=subprocess.PIPE, text=True)
        assert writer.stdout is not None
        writer.stdout.readline()
        time.sleep(draw.uniform(0.0, 0.15))
        writer.send_signal(signal.SIGKILL)
        writer.communicate()
        found.tried += 1
        broken = broken_in(folder)
        found.answered += not broken
        found.defects += [f"kill {number}: {name} is not whole" for name in broken]
    return found


# ---- disks -----------------------------------------------------------------------------------------------------------


def full_disk(folder: Path, tries: int) -> Run:
    """A file may grow no larger than the limit: the save is refused in words, and the old case stays whole."""
    found, path = Run("disk full (limit of a file's size)"), folder / "full.heatcase.json"
    write_case(case_of(0), path)
    before = path.read_bytes()
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    old = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    try:
        for number in range(1, tries + 1):
            resource.setrlimit(resource.RLIMIT_FSIZE, (1000 * number, hard))
            found.tried += 1
            try:
                write_case(case_of(number), path)
                found.defects.append(f"limit {number}: nothing was said")
            except FileFault:
                found.refused += 1
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        signal.signal(signal.SIGXFSZ, old)
    if path.read_bytes() != before:
        found.defects.append("the old case is not what it was")
    return found


def vanished_folder(folder: Path, tries: int) -> Run:
    """The folder of the case is taken away before the save; refused in words, nothing is made elsewhere."""
    found = Run("folder vanished")
    for number in range(tries):
        place = folder / f"gone{number}"
        place.mkdir()
        path = place / "a.heatcase.json"
        write_case(case_of(number), path)
        path.unlink()
        place.rmdir()
        found.tried += 1
        with suppress(FileFault):
            write_case(case_of(number), path)
            found.defects.append(f"{number}: nothing was said")
            continue
        found.refused += 1
    return found


def table(runs: list[Run]) -> list[str]:
    """One row a kind."""
    lines = ["| what | tried | answered or whole | refused in words | slow | defects |", "|" + " --- |" * 6]
    rows = [f"| {r.kind} | {r.tried} | {r.answered} | {r.refused} | {r.slow} | {len(r.defects)} |" for r in runs]
    return lines + rows


def main() -> None:
    """Run all of it and print the table, defects below."""
    if sys.argv[1] == "write":
        write_without_end(Path(sys.argv[2]))
    count, kills = int(sys.argv[1]), int(sys.argv[2])
    before = time.process_time()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        runs = [*fuzz_all(count, folder), kill_often(folder, kills)]
        runs += [full_disk(folder, 100), vanished_folder(folder, 100)]
    sys.stdout.write("\n".join(table(runs)) + "\n")
    used = time.process_time() - before
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    sys.stdout.write(f"{used:.0f} s of processor time, {most} MB at most\n")
    sys.stdout.write(json.dumps([defect for run in runs for defect in run.defects], indent=1) + os.linesep)


if __name__ == "__main__":
    main()
