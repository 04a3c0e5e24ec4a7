"""What poppler's pdfsig says of a signed PDF: a verifier by other people, on another library."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest


def pdfsig(path: Path) -> str:
    """Everything that it prints; trust is left out (-nocert), for the identities of the tests are nobody's."""
    program = shutil.which("pdfsig")
    if program is None:
        pytest.skip("pdfsig (poppler-utils) is not installed, so no independent verifier is at hand")
    done = subprocess.run(
        [program, "-nocert", str(path)], capture_output=True, text=True, check=False, timeout=60, errors="replace"
    )
    return done.stdout + done.stderr


def accepts(path: Path) -> bool:
    """Whether it finds a valid signature over the whole file."""
    said = pdfsig(path)
    return "Signature is Valid" in said and "Total document signed" in said


def printed_text(path: Path) -> str:
    """The words on the pages, as pdftotext reads them."""
    program = shutil.which("pdftotext")
    if program is None:
        pytest.skip("pdftotext (poppler-utils) is not installed, so no independent reader is at hand")
    return subprocess.run([program, str(path), "-"], capture_output=True, text=True, check=True, timeout=60).stdout
