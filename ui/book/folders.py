"""Whole folders into the book, and all of the book out as files: nothing is locked in."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath, PureWindowsPath

from engcalc.case.file import SUFFIX as CASE_SUFFIX
from engcalc.case.file import is_file, is_folder, is_there, read_whole, write_whole
from engcalc.errors import FileFault, InputError
from engcalc.words.texts import book_texts
from ui.book.contents import content, digest
from ui.book.jobs import LARGEST_FILE, Added, KeptFile, add_case, files_of, keep_file
from ui.book.reports import REPORT_SUFFIX, AddedReport, add_report
from ui.book.store import Book

LOG_SUFFIX = ".csv"
INDEX = "jobs.json"
OTHERS = "outcomes-of-other-workshops.json"


@dataclass
class Imported:
    """What an import kept, and what it could not, each by its path and why."""

    cases: list[Added] = field(default_factory=list)
    reports: list[AddedReport] = field(default_factory=list)
    loose_logs: list[str] = field(default_factory=list)
    refused: list[tuple[str, str]] = field(default_factory=list)


def import_folder(book: Book, folder: Path) -> Imported:
    """Keep every case, report and log in a folder and those below it. A file that cannot be read stops nothing.

    A log that no case names is kept without a job. FileFault when there is no such folder.
    """
    if not is_folder(folder):
        raise FileFault(str(folder), book_texts.THERE_IS_NO_SUCH_FOLDER)
    found = Imported()
    for path in _files(folder, CASE_SUFFIX):
        try:
            found.cases.append(add_case(book, path))
        except InputError as error:
            found.refused.append((str(path), str(error)))
    for path in _files(folder, REPORT_SUFFIX):
        try:
            found.reports.append(add_report(book, path))
        except InputError as error:
            found.refused.append((str(path), str(error)))
    for path in _files(folder, LOG_SUFFIX):
        try:
            if _kept_loose(book, path, path.relative_to(folder).as_posix()):
                found.loose_logs.append(path.relative_to(folder).as_posix())
        except InputError as error:
            found.refused.append((str(path), str(error)))
    return found


def _files(folder: Path, ending: str) -> Iterator[Path]:
    every = (path for path in folder.rglob("*") if path.name.lower().endswith(ending) and is_file(path))
    return iter(sorted(every))


def _kept_loose(book: Book, path: Path, name: str) -> bool:
    """Keep a log without a job, unless its content is kept already; whether it was."""
    data = read_whole(path, "a log", LARGEST_FILE)
    with book.writing() as connection:
        known = connection.execute("SELECT 1 FROM files WHERE sha256 = ?", (digest(data),)).fetchone()
        if known is None:
            keep_file(connection, None, "log", name, data)
    return known is None


@dataclass
class ExportedBook:
    """What an export wrote, and the files that had to be given another name than the case has for them."""

    jobs: int = 0
    files: int = 0
    renamed: list[str] = field(default_factory=list)


def export_folder(book: Book, folder: Path) -> ExportedBook:
    """Write the whole book as files into a new folder: one folder for each job, an index of them with
    outcomes and claims in JSON, and what was read in from other workshops.

    Every case is written as it was, with the files that it names where it looks for them: it opens and runs from there.
    FileFault when the folder is there already, or cannot be written to.
    """
    try:
        folder.mkdir(parents=True)
    except FileExistsError:
        raise FileFault(str(folder), book_texts.FILE_OR_FOLDER_OF_THIS_NAME_IS_THERE_ALREADY) from None
    except OSError as error:
        raise FileFault(
            str(folder), book_texts.FOLDER_CANNOT_BE_MADE.format(strerror=error.strerror or error)
        ) from error
    done, index = ExportedBook(), []
    for row in book.connection.execute("SELECT id FROM visits ORDER BY id").fetchall():
        index.append(_write_job(book, int(row["id"]), folder, done))
    _write_files(book, files_of(book.connection, None), folder / "without-a-job", done)
    _write_json(folder / INDEX, index)
    if others := _outcomes_of_others(book):
        _write_json(folder / OTHERS, others)
    return done


def _write_json(path: Path, value: object) -> None:
    write_whole(path, (json.dumps(value, ensure_ascii=False, indent=2) + "\n").encode("utf-8"))


def _write_job(book: Book, job: int, folder: Path, done: ExportedBook) -> dict[str, object]:
    """Write one job's folder; gives its line of the index."""
    visit = dict(book.connection.execute("SELECT * FROM visits WHERE id = ?", (job,)).fetchone())
    place = folder / f"job-{job:05d}"
    place.mkdir()
    names = []
    rows = book.connection.execute("SELECT id, name, text FROM cases WHERE visit_id = ? ORDER BY id", (job,)).fetchall()
    for number, row in enumerate(rows, 1):
        name = plain_name(row["name"])
        if number < len(rows):  # an earlier state of the case
            name = f"{name.removesuffix(CASE_SUFFIX)}.{number}{CASE_SUFFIX}"
        write_whole(place / name, bytes(row["text"]))
        names.append(name)
        done.files += 1
    _write_files(book, files_of(book.connection, job), place, done)
    done.jobs += 1
    outcomes = book.connection.execute(
        "SELECT entered_at, cause, confirmed, replaced, cured FROM outcomes WHERE visit_id = ? ORDER BY id", (job,)
    )
    return {
        "job": job,
        "folder": place.name,
        "day": visit["day"],
        "state": visit["state"],
        "cases": names,
        "outcomes": [dict(row) for row in outcomes],
        "claims": _claims(book, job),
    }


def _claims(book: Book, job: int) -> list[dict[str, object]]:
    """The odds that were given for a job before the truth was known."""
    rows = book.connection.execute("SELECT made_at, odds, shipped FROM claims WHERE visit_id = ? ORDER BY id", (job,))
    return [
        {"made_at": row["made_at"], "odds": json.loads(row["odds"]), "shipped": json.loads(row["shipped"])}
        for row in rows
    ]


def _outcomes_of_others(book: Book) -> list[dict[str, object]]:
    """The outcomes that were read in from other workshops, with their source and weight."""
    rows = book.connection.execute(
        "SELECT source, weight, token, quarter, reason, class, cause FROM outside_outcomes ORDER BY id"
    )
    return [dict(row) for row in rows]


def _write_files(book: Book, files: tuple[KeptFile, ...], folder: Path, done: ExportedBook) -> None:
    for file in files:
        name = inside(file.name)
        path = folder / name
        if is_there(path):
            path = path.with_name(f"{path.stem}.{file.sha256[:8]}{path.suffix}")
        if path.relative_to(folder).as_posix() != file.name:
            done.renamed.append(file.name)
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, content(book.connection, file.sha256))
        done.files += 1


def inside(name: str) -> str:
    """The name of a file, relative and below its folder; only its last part where it would lead elsewhere."""
    leads_away = PurePosixPath(name).is_absolute() or PureWindowsPath(name).drive or ".." in re.split(r"[/\\]", name)
    return plain_name(name) if leads_away else name


def plain_name(name: str) -> str:
    """The last part of a path, whichever system wrote it."""
    return re.split(r"[/\\]", name)[-1].lstrip(":") or "file"
