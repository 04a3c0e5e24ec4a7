"""The files that a case names go with it: copied into its folder when it is saved, or when one is chosen elsewhere.

A case that is handed on is read elsewhere only with the files of its own folder. No Qt.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from engcalc.case.case import Case
from engcalc.case.file import OwnFolder, file_of_case, is_file, is_there, read_whole, write_whole
from engcalc.case.named_files import files_changed, named_files
from engcalc.case.text import CaseText
from engcalc.errors import FileFault
from engcalc.words.answer.input_words import file_changed
from engcalc.words.texts import document_texts

LARGEST = 400_000_000  # bytes of one file that goes with a case; as long as a log may be


def carry(file: Path, folder: Path) -> str:
    """Copy a file into a folder and give its name there: its own, or one with a number where another file has that.

    Raises FileFault when it cannot be read or written.
    """
    data = read_whole(file, document_texts.FILE_THAT_GOES_WITH_THE_CASE, LARGEST)
    for number in range(1, 1000):
        place = folder / (file.name if number == 1 else f"{file.stem}-{number}{file.suffix}")
        if not is_there(place):
            write_whole(place, data)
            return place.name
        if is_file(place) and read_whole(place, "a file", LARGEST) == data:
            return place.name
    raise FileFault(str(file), document_texts.NO_FREE_NAME_FOR_ITS_COPY_BESIDE)


def places_beside(case: Path, files: Iterable[tuple[str, bytes]]) -> dict[Path, bytes]:
    """Where the files go that a report carries with its case: beside it. FileFault for a name that leads away."""
    return {file_of_case(case.absolute().parent, name): data for name, data in files}


def write_beside(places: Mapping[Path, bytes]) -> None:
    """Write them, folders that their names hold included. Raises FileFault."""
    for place, data in places.items():
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise FileFault(
                str(place.parent), document_texts.NO_FOLDER_CAN_BE_MADE_HERE.format(strerror=error.strerror)
            ) from error
        write_whole(place, data)


def carried_along(text: CaseText, old: Path | None, new: Path) -> CaseText:
    """The case for the folder ``new``, with the files that it names copied there from ``old`` (None: named in full).

    A file that is missing, or that no copy can be made of, stays named as it was: its fault is told where it is read.
    """
    for path, name in named_files(text).items():
        file = Path(name) if old is None else old / name
        inside = not Path(name).is_absolute() and is_there(new / name)
        if (
            inside
            or not is_file(file)
            or (old is not None and not isinstance(old, OwnFolder) and not _lies_in(file, old))
        ):
            continue
        near = _lies_in(file, new)
        text = text.with_value(path, file.resolve().relative_to(new.resolve()).as_posix() if near else carry(file, new))
    return text


def with_remarks(case: Case, text: CaseText, folder: Path) -> Case:
    """The case with a remark for each log or table that is not the one with which it was saved."""
    remarks = tuple(file_changed(name) for name in files_changed(text, folder))
    return replace(case, warnings=(*case.warnings, *remarks)) if remarks else case


def _lies_in(file: Path, folder: Path) -> bool:
    return file.resolve().is_relative_to(folder.resolve())
