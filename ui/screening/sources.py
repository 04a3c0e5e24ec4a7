"""The logs that are to be screened: in files and folders or in the job book, each with the vehicle that it is of."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from engcalc.case.file import is_file, is_folder, is_there, read_whole
from engcalc.errors import FileFault
from engcalc.words.texts import book_texts
from ui.book.contents import content
from ui.book.jobs import LARGEST_FILE
from ui.book.store import Book

LOG_ENDINGS = (".csv", ".txt")


@dataclass(frozen=True)
class Source:
    """One log: the name it is told by, its vehicle, where its bytes lie (a path, or the SHA-256 in the book)."""

    name: str
    vehicle: str
    path: Path | None
    sha256: str = ""


@dataclass(frozen=True)
class BookVehicle:
    """What the book knows of a log: its vehicle's name, and the job that it is of."""

    name: str
    job: int


def named_sources(paths: Sequence[Path]) -> list[Source]:
    """The logs that are named, and those in named folders. A log is a vehicle of its own; those in one folder below a
    named folder are of one vehicle. FileFault when something named is not there."""
    found: list[Source] = []
    for path in paths:
        if is_folder(path):
            found += _in_folder(path)
        elif is_there(path):
            found.append(Source(path.name, path.stem, path))
        else:
            raise FileFault(str(path), book_texts.THERE_IS_NO_SUCH_FILE_OR_FOLDER)
    return found


def _in_folder(folder: Path) -> Iterator[Source]:
    logs = (path for path in folder.rglob("*") if path.suffix.lower() in LOG_ENDINGS and is_file(path))
    for path in sorted(logs, key=lambda log: _in_order(log.relative_to(folder).as_posix())):
        inside = path.relative_to(folder)
        yield Source(inside.as_posix(), inside.parts[0] if len(inside.parts) > 1 else path.stem, path)


def _in_order(name: str) -> list[tuple[int, str]]:
    """How names are put in order: day 9 before day 10."""
    return [(int(part), "") if part.isdecimal() else (0, part) for part in re.split(r"(\d+)", name)]


def book_sources(book: Book) -> list[Source]:
    """Every log of the book, in the order of its jobs."""
    known = book_vehicles(book)
    rows = book.connection.execute("SELECT name, sha256 FROM files WHERE kind = 'log' ORDER BY visit_id, id")
    each = {row["sha256"]: row["name"] for row in rows}
    return [
        Source(name, known[sha256].name if sha256 in known else Path(name).stem, None, sha256)
        for sha256, name in each.items()
    ]


def book_vehicles(book: Book) -> dict[str, BookVehicle]:
    """The vehicle of every log in the book that belongs to a job, by the log's SHA-256."""
    rows = book.connection.execute(
        "SELECT files.sha256, visits.id AS job, vehicles.id AS vehicle, registration, described FROM files"
        " JOIN visits ON visits.id = visit_id LEFT JOIN vehicles ON vehicles.id = vehicle_id WHERE kind = 'log'"
    ).fetchall()
    found = {}
    for row in rows:
        named = row["registration"] or row["described"]
        name = f"{named} (vehicle {row['vehicle']})" if named else f"job {row['job']}"
        found[row["sha256"]] = BookVehicle(name, int(row["job"]))
    return found


def bytes_of(source: Source, book: Book | None) -> bytes:
    """The bytes of a log. FileFault when they cannot be read."""
    if source.path is not None:
        return read_whole(source.path, "a log", LARGEST_FILE)
    assert book is not None
    return content(book.connection, source.sha256)
