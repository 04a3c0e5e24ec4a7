"""The logs and tables that go into a report with its case, so that the numbers can be run again on another machine."""

from __future__ import annotations

import hashlib
from pathlib import Path, PurePosixPath

from engcalc.case.file import NO_FOLDER, file_of_case, read_whole
from engcalc.case.named_files import needed_files
from engcalc.case.text import CaseText
from engcalc.errors import FileFault
from engcalc.words.texts import report_texts
from reports.signing import CarriedFile

MOST_CARRIED = 16 << 20  # bytes of all files together: a report goes by mail


def carried_with(text: CaseText, folder: Path | None) -> tuple[CaseText, tuple[CarriedFile, ...]]:
    """The case as it is to be attached, and the files that go with it.

    A file that cannot be read is left out, and so are all where they are too large together. A file that is named in
    full is named in the attached case by its last name, under which it is carried.
    """
    place = folder or NO_FOLDER
    digests: dict[str, bytes] = {}
    files: list[CarriedFile] = []
    together = 0
    for path, name in needed_files(text).items():
        try:
            data = read_whole(file_of_case(place, name), report_texts.LOG_OR_A_TABLE, MOST_CARRIED)
        except FileFault:
            continue
        short = Path(name).name if Path(name).is_absolute() else PurePosixPath(Path(name).as_posix()).as_posix()
        digest = hashlib.sha256(data).digest()
        if digests.get(short, digest) != digest:
            continue
        if short not in digests:
            digests[short] = digest
            together += len(data)
            files.append(CarriedFile(short, data))
        if together > MOST_CARRIED:
            files.clear()  # so that no more than two of the largest are held
        if short != name:
            text = text.with_value(path, short)
    return text, tuple(files) if together <= MOST_CARRIED else ()
