"""Whether a report may be written to a place: never over a signed one, nor over what it is made from, unasked."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from engcalc.case.file import is_there, read_whole
from engcalc.errors import FileFault
from engcalc.words.texts import report_texts
from reports.verifying import LARGEST_FILE, verify_report


def in_the_way(path: Path, inputs: Iterable[Path]) -> str:
    """What would be lost at ``path``, in words: a signed report, or one of the ``inputs``. Empty where it is free."""
    if not is_there(path):
        return ""
    if any(is_there(one) and path.samefile(one) for one in inputs):
        return report_texts.FILE_IS_WHAT_THE_REPORT_IS_MADE_FROM
    return report_texts.SIGNED_REPORT_IS_THERE_ALREADY if _is_signed(path) else ""


def _is_signed(path: Path) -> bool:
    """Whether the file holds a signature, intact or not; what cannot be read as a report holds none."""
    try:
        data = read_whole(path, "a report", LARGEST_FILE)
    except FileFault:
        return False
    found = verify_report(data)
    return found.signed is True or bool(found.signatures)
