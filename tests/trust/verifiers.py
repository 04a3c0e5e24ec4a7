"""Four verifiers side by side over altered reports: ours, the signature library alone, poppler's pdfsig, and OpenSSL's
cms command.

    PYTHONPATH=.:tests/oracles python tests/trust/verifiers.py 300          the table of VERIFIERS.md

Each alteration is drawn by seed: which signed report, which kind, where. Ours has to refuse whatever another refuses.
OpenSSL knows no PDF: ranges and containers are cut out here by a pattern, and it judges digest and signature of each.
"""

from __future__ import annotations

import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

from poppler import accepts
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko.sign.validation.status import SignatureCoverageLevel
from pyhanko_certvalidator import ValidationContext
from reportlab.pdfgen.canvas import Canvas

from reports.identity import make_identity
from reports.signing import PageBox, Stamp, attach_case, countersign, sign_report
from reports.verification import FoundState
from reports.verifying import verify_report

SEED = 20261130
MOMENT = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
_RANGE = re.compile(rb"/ByteRange\s*\[\s*(\d+)\s+(\d+)\s+(\d+)\s+(\d+)\s*\]")
AUTHOR, REVIEWER = PageBox(-1, (60, 60, 290, 130)), PageBox(-1, (300, 60, 530, 130))


@dataclass(frozen=True)
class Judged:
    """One altered report: the kind of alteration, and who accepted it; None where a verifier is not installed."""

    kind: str
    ours: bool
    library: bool
    poppler: bool
    openssl: bool | None


def reports(folder: Path) -> list[bytes]:
    """A signed report and a countersigned one."""
    buffer = BytesIO()
    canvas = Canvas(buffer, invariant=1)
    canvas.drawString(60, 760, "Coolant leaves at 88 °C")
    canvas.save()
    plain = attach_case(buffer.getvalue(), b'{"format": "heatdocket-case/1"}')
    author = make_identity(folder / "a.p12", "A. Author", "invented", "a password", MOMENT)
    reviewer = make_identity(folder / "r.p12", "R. Reviewer", "invented", "a password", MOMENT)
    signed = sign_report(plain, author, Stamp(AUTHOR, "HD-1"), MOMENT, reviewer=REVIEWER)
    return [signed, countersign(signed, reviewer, "HD-1", MOMENT)]


def _gap(data: bytes) -> tuple[int, int]:
    """Where the first signature's container stands."""
    start = data.index(b"<30", data.index(b"/Contents"))
    return start, data.index(b">", start)


def _flip(data: bytes, at: int, draw: random.Random) -> bytes:
    return data[:at] + bytes([data[at] ^ 1 << draw.randrange(8)]) + data[at + 1 :]


def _anywhere(data: bytes, draw: random.Random) -> bytes:
    return _flip(data, draw.randrange(len(data)), draw)


def _in_container(data: bytes, draw: random.Random) -> bytes:
    return _flip(data, draw.randrange(*_gap(data)), draw)


def _letter_case(data: bytes, draw: random.Random) -> bytes:
    start, end = _gap(data)
    letters = [at for at in range(start, end) if data[at : at + 1].isalpha()]
    at = draw.choice(letters)
    return data[:at] + data[at : at + 1].swapcase() + data[at + 1 :]


def _cut(data: bytes, draw: random.Random) -> bytes:
    return data[: draw.randrange(1, len(data))]


def _appended(data: bytes, draw: random.Random) -> bytes:
    return data + bytes(draw.choices(b"%\n abc", k=draw.randrange(2, 40)))


def _range_moved(data: bytes, draw: random.Random) -> bytes:
    at = data.index(b"/ByteRange [") + len(b"/ByteRange [")
    digits = [place for place in range(at, data.index(b"]", at)) if data[place : place + 1].isdigit()]
    place = draw.choice(digits)
    other = draw.choice([d for d in b"0123456789" if d != data[place]])
    return data[:place] + bytes([other]) + data[place + 1 :]


def _word_changed(data: bytes, draw: random.Random) -> bytes:
    words = (b"/Producer", b"/Author", b"/Reviewer", b"/Title", b"/EmbeddedFiles", b"/AcroForm", b"/DocMDP", b"/Sig")
    word = draw.choice([one for one in words if one in data])
    return data.replace(word, word[:-1] + b"x", 1)


ALTERATIONS: dict[str, Callable[[bytes, random.Random], bytes]] = {
    "one bit anywhere": _anywhere,
    "one bit in the signature's container": _in_container,
    "letter case in the container": _letter_case,
    "cut short": _cut,
    "bytes appended": _appended,
    "the signed range moved": _range_moved,
    "a name in the file changed": _word_changed,
}


def altered(count: int, sources: list[bytes], seed: int = SEED) -> Iterator[tuple[str, bytes]]:
    """So many alterations with their kinds, in turn; each differs from its source."""
    draw = random.Random(seed)
    kinds = list(ALTERATIONS.items())
    made = 0
    while made < count:
        kind, alter = kinds[made % len(kinds)]
        source = draw.choice(sources)
        data = alter(source, draw)
        if data != source:
            made += 1
            yield kind, data


def library_accepts(data: bytes) -> bool:
    """Whether the signature library by itself, as its own manual asks it, finds every signature valid and intact and
    nothing else changed since the last. Whom one trusts is left out."""
    try:
        signatures = PdfFileReader(BytesIO(data)).embedded_signatures
        context = ValidationContext(trust_roots=[], allow_fetching=False)
        found = [validate_pdf_signature(one, context) for one in signatures]
    except Exception:  # whatever it stumbles over, it does not accept
        return False
    good = all(one.intact and one.valid and one.docmdp_ok for one in found)
    return bool(found) and good and found[-1].coverage is SignatureCoverageLevel.ENTIRE_FILE


def openssl_accepts(data: bytes, folder: Path) -> bool | None:
    """Whether OpenSSL finds every signature in order over its range, the last to the end; None without the program."""
    program = shutil.which("openssl")
    if program is None:
        return None
    ranges = [[int(number) for number in found] for found in _RANGE.findall(data)]
    if not ranges or ranges[-1][2] + ranges[-1][3] != len(data):
        return False
    return all(_openssl_finds_in_order(program, data, one, folder) for one in ranges)


def _openssl_finds_in_order(program: str, data: bytes, covered: list[int], folder: Path) -> bool:
    start, length, resume, rest = covered
    hexadecimal = data[start + length : resume]
    if start != 0 or hexadecimal[:1] != b"<" or hexadecimal[-1:] != b">":
        return False
    try:
        container = bytes.fromhex(hexadecimal[1:-1].decode("ascii"))
    except ValueError:
        return False
    (folder / "container").write_bytes(container)
    (folder / "covered").write_bytes(data[:length] + data[resume : resume + rest])
    words = ("cms", "-verify", "-binary", "-inform", "DER", "-noverify", "-out", os.devnull)
    places = ("-in", str(folder / "container"), "-content", str(folder / "covered"))
    return subprocess.run([program, *words, *places], capture_output=True, check=False).returncode == 0


def judged(kind: str, data: bytes, folder: Path) -> Judged:
    """One altered report before all four."""
    path = folder / "altered.pdf"
    path.write_bytes(data)
    ours = verify_report(data).state is FoundState.INTACT
    return Judged(kind, ours, library_accepts(data), accepts(path), openssl_accepts(data, folder))


def table(found: list[Judged]) -> list[str]:
    """How many of each kind each verifier accepted."""
    lines = ["| alteration | files | ours | the library alone | pdfsig | OpenSSL |", "|" + " --- |" * 6]
    for kind in ALTERATIONS:
        some = [one for one in found if one.kind == kind]
        counts = [sum(bool(getattr(one, who)) for one in some) for who in ("ours", "library", "poppler", "openssl")]
        last = "not installed" if any(one.openssl is None for one in some) else str(counts[3])
        lines.append(f"| {kind} | {len(some)} | {counts[0]} | {counts[1]} | {counts[2]} | {last} |")
    return lines


def too_trusting(found: list[Judged]) -> Counter[str]:
    """Kinds of which ours accepted what another refused."""
    return Counter(one.kind for one in found if one.ours and not _all_others(one))


def _all_others(one: Judged) -> bool:
    return one.library and one.poppler and one.openssl is not False


def main() -> None:
    """Make the alterations, ask all four, print the table."""
    count = int(sys.argv[1])
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        sources = reports(folder)
        whole = [judged("unaltered", data, folder) for data in sources]
        found = [judged(kind, data, folder) for kind, data in altered(count, sources)]
    sys.stdout.write("\n".join(table(found)) + "\n")
    sys.stdout.write(f"Unaltered, accepted by all: {all(one.ours and _all_others(one) for one in whole)}\n")
    sys.stdout.write(f"Accepted by ours and refused by another: {dict(too_trusting(found)) or 0}\n")


if __name__ == "__main__":
    main()
