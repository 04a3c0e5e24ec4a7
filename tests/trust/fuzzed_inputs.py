"""What others hand to the program: four kinds of input, good ones to begin from, and how each is asked.

Every input has to be answered or refused in words. Any other exception is a defect.
"""

from __future__ import annotations

import random
import time
import zlib
from collections.abc import Callable, Sequence
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from datetime import UTC, datetime
from io import BytesIO, StringIO
from pathlib import Path

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import parse_case
from engcalc.case.resolve import resolve
from engcalc.errors import HeatdocketError
from engcalc.logs.log import read_log
from engcalc.studies.choice.tables import read_table
from reports.verifying import verify_report
from ui.command.main import DEFECT, main

SEED = 20261130
SLOW = 5.0  # s of processor time for one small input; more is told as slow
TABLES = (
    b"name,core_height,core_width\nA,400 mm,600 mm\nB,450 mm,620 mm\nC,500 mm,640 mm\n",
    b"name;core_height [mm];core_width [mm];tube_rows;price [EUR];core_hight\nLong;400;650;1;310;9\nTall;450;700;1;;\n",
    b"name;fan_points;fan_volts;fan_amps;fan_diameter\nPair;0 m3/h@250 Pa|1500 m3/h@170 Pa|2600 m3/h@9 Pa;9;22;28 cm\n",
    b"name\tpump_points\nA\t100 L/min@95 kPa@5000 rpm|160 L/min@60 kPa@5000 rpm|180 L/min@40 kPa@5000 rpm\n",
    b"# cores\nname,heat_points\nA,60 L/min@4 m/s@31.5 kW@60 K|90 L/min@6 m/s@42 kW@60 K|120 L/min@8 m/s@50 kW@60 K\n",
)
"""Tables of parts as a person writes them."""
NO_LOGS = ("double-pipe", "two-turbo-fans", "two-turbo-radiators")  # tables of a rig and of parts
SOURCE_BYTES = 4000  # of an example's log; longer ones take longer and hold nothing new
ONE_IN = 10  # cases that resolve of which one is checked to its end, by its bytes
STUMBLING_BLOCKS: tuple[bytes, ...] = (
    *(b"{", b"}", b"[", b"]", b'"', b",", b";", b":", b"null", b"NaN", b"1e999", b"-0", b"\\ud800", b"\x00", b"\xff"),
    *(b"../", b"/dev/zero", b"%PDF-", b"obj", b"stream", b"\r\n", b"\t", b"degC", "°C".encode(), b"9" * 400),
)
"""What parsers stumble over."""


@dataclass
class Run:
    """One kind of input: how many were tried, answered and refused in words; what else happened."""

    kind: str
    tried: int = 0
    answered: int = 0
    refused: int = 0
    slow: int = 0
    defects: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Kind:
    """One kind of input: good ones, and what is done with one that is handed over."""

    name: str
    sources: Sequence[bytes]
    ask: Callable[[bytes], object]


def kinds(folder: Path) -> list[Kind]:
    """Cases, logs, tables of parts and signed reports; ``folder`` takes the files that are asked for by name."""
    examples = worked_examples.folder()
    cases = [path.read_bytes() for path in sorted(examples.rglob("*.heatcase.json"))]
    logs = [path.read_bytes()[:SOURCE_BYTES] for path in sorted(examples.rglob("*.csv")) if path.stem not in NO_LOGS]
    return [
        Kind("cases", cases, asking_case(folder)),
        Kind("logs", logs, _asking_file(folder, "log.csv", lambda path: read_log(path, {}))),
        Kind("tables of parts", TABLES, _asking_file(folder, "parts.csv", read_table)),
        Kind("reports", _signed_reports(folder), verify_report),
    ]


def tried(found: Run, ask: Callable[[bytes], object], data: bytes) -> None:
    """Hand one input over and note what came of it."""
    found.tried += 1
    before = time.process_time()
    try:
        ask(data)
        found.answered += 1
    except HeatdocketError:
        found.refused += 1
    except Exception as fault:  # whatever else it is, it is what is looked for
        found.defects.append(f"{found.kind} {found.tried}: {type(fault).__name__}: {fault}"[:400])
    found.slow += time.process_time() - before > SLOW


def fuzzed(kind: Kind, count: int) -> Run:
    """So many inputs mutated by seed alone."""
    found = Run(kind.name)
    for number in range(count):
        draw = random.Random(f"{SEED} {kind.name} {number}")
        tried(found, kind.ask, mutated(draw.choice(kind.sources), draw))
    return found


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
            data = data[:at] + draw.choice(STUMBLING_BLOCKS) + data[end:]
        else:
            data = data[:at] + draw.choice(STUMBLING_BLOCKS) + data[at:]
    return data


def asking_case(folder: Path) -> Callable[[bytes], object]:
    """Read a case and resolve it; one in some is checked as the command line does."""

    def ask(data: bytes) -> object:
        case = resolve(parse_case(data))
        if isinstance(case, Case) and zlib.crc32(data) % ONE_IN == 0:
            path = folder / "fuzzed.heatcase.json"
            path.write_bytes(data)
            checked_by_command(path)
        return case

    return ask


def checked_by_command(path: Path) -> None:
    """``heatdocket check`` of a case; AssertionError with its trace where it tells of a defect."""
    said = StringIO()
    with redirect_stdout(StringIO()), redirect_stderr(said):
        code = main(["check", str(path)])
    assert code != DEFECT, said.getvalue()[-300:]


def _asking_file(folder: Path, name: str, read: Callable[[Path], object]) -> Callable[[bytes], object]:
    def ask(data: bytes) -> object:
        (folder / name).write_bytes(data)
        return read(folder / name)

    return ask


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
