"""Jobs of a book: a case and all it names kept, jobs found by any word, one job with everything of it, its outcome."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from engcalc.case.file import case_bytes, parse_case, read_case, read_whole
from engcalc.case.text import CaseText
from engcalc.case.vin import VinState, tidy_vin, vin_state
from engcalc.causes.outcomes import Outcome
from engcalc.errors import FileFault, InputError, InputFault
from engcalc.words.texts import book_texts
from ui.book.contents import digest, keep_content
from ui.book.search import asked, indexed, squeezed, write_words
from ui.book.store import Book
from ui.book.words_of import RECORDS, note_words, words_are_new, words_of_case

LARGEST_FILE = 256 << 20  # bytes of one log or photograph
SHOWN = 50  # jobs that a search tells of


@dataclass(frozen=True)
class Added:
    """What was kept of one case: its job, whether job and case are new to the book, the files that the case names and
    that were not there, and what its VIN says of itself."""

    job: int
    name: str
    new_job: bool
    new_case: bool
    missing: tuple[str, ...]
    vin: str
    vin_state: VinState


@dataclass(frozen=True)
class JobLine:
    """One job in a list. Texts as typed, empty where nothing was."""

    job: int
    day: str
    state: str
    customer: str
    vehicle: str
    registration: str
    complaint: str
    work_order: str


@dataclass(frozen=True)
class KeptFile:
    """A file of a job: kind (log, report, photo, table), name as the case has it, content, size in bytes."""

    file: int
    kind: str
    name: str
    sha256: str
    size: int


@dataclass(frozen=True)
class KeptCase:
    """A case of a job: file name, content, when it was kept."""

    name: str
    sha256: str
    kept_at: str


@dataclass(frozen=True)
class JobPage:
    """Everything of one job. The newest case and the newest outcome stand last; ``others`` are the numbers of the
    vehicle's other jobs."""

    line: JobLine
    vin: str
    reason: str
    vehicle_class: str
    cases: tuple[KeptCase, ...]
    files: tuple[KeptFile, ...]
    outcomes: tuple[Outcome, ...]
    others: tuple[int, ...]


# ---- keeping --------------------------------------------------------------------------------------------------------


def add_case(book: Book, path: Path, job: int | None = None) -> Added:
    """Keep a case file, and the logs, photographs and tables that it names.

    A case that is kept already is not kept twice. It belongs to an earlier job when vehicle and work order are that
    job's; without a work order, when vehicle, customer, day and file name are. ``job`` names the job instead.
    InputError when the file is no case, or the job is not in the book.
    """
    text = read_case(path)
    files, missing = _named_files(text, path.parent)
    return add_case_text(book, path.name, text, files, missing, job)


def add_case_text(
    book: Book,
    name: str,
    text: CaseText,
    files: Sequence[tuple[str, str, bytes]] = (),
    missing: Sequence[str] = (),
    job: int | None = None,
) -> Added:
    """As :func:`add_case`, of a text and of files already read: kind, name and bytes of each."""
    data = case_bytes(text)
    with book.writing() as connection:
        if job is not None:
            must_exist(connection, job)
        known = connection.execute("SELECT visit_id FROM cases WHERE sha256 = ?", (digest(data),)).fetchone()
        new_case, new_job = known is None, False
        if known is not None:
            job = int(known["visit_id"])
        else:
            job, new_job = _visit(connection, book, text, name, job)
            connection.execute(
                "INSERT INTO cases (visit_id, name, sha256, kept_at, text) VALUES (?, ?, ?, ?, ?)",
                (job, name, digest(data), book.now().isoformat(timespec="seconds"), data),
            )
        for kind, file_name, content in files:
            keep_file(connection, job, kind, file_name, content)
        refresh_words(connection, job)
    vin = tidy_vin(text.typed("job.vin"))
    return Added(job, name, new_job, new_case, tuple(missing), vin, vin_state(vin))


def keep_file(connection: sqlite3.Connection, job: int | None, kind: str, name: str, data: bytes) -> None:
    """Keep a file of a job, or of none, once for each name and content."""
    sha256 = keep_content(connection, data)
    known = connection.execute(
        "SELECT 1 FROM files WHERE visit_id IS ? AND kind = ? AND name = ? AND sha256 = ?", (job, kind, name, sha256)
    ).fetchone()
    if known is None:
        connection.execute(
            "INSERT INTO files (visit_id, kind, name, sha256) VALUES (?, ?, ?, ?)", (job, kind, name, sha256)
        )


def named_by_case(text: CaseText) -> list[tuple[str, str]]:
    """Kind and name of every file that a case names beside itself."""
    logs = [("log", text.typed(f"evidence.{record}.log.file")) for record in RECORDS]
    photos = [("photo", name) for name in text.get("job.photos") or ()]
    tables = [("table", name) for name in text.get("job.part_tables") or ()]
    every = dict.fromkeys([*logs, *photos, *tables])
    return [(kind, name) for kind, name in every if isinstance(name, str) and name]


def _named_files(text: CaseText, folder: Path) -> tuple[list[tuple[str, str, bytes]], list[str]]:
    """What of the files that a case names can be read, and the names of the others."""
    found, missing = [], []
    for kind, name in named_by_case(text):
        try:
            found.append((kind, name, read_whole(folder / name, f"a {kind}", LARGEST_FILE)))
        except (FileFault, ValueError):
            missing.append(name)
    return found, missing


def _visit(connection: sqlite3.Connection, book: Book, text: CaseText, name: str, job: int | None) -> tuple[int, bool]:
    """The job that a case belongs to, with what the case says of it; whether the job is new."""
    customer = _customer(connection, text.typed("job.customer"))
    vehicle = _vehicle(connection, text, customer)
    values = {
        "customer_id": customer,
        "vehicle_id": vehicle,
        "work_order": text.typed("job.work_order").strip(),
        "day": text.typed("job.date").strip() or book.now().date().isoformat(),
        "complaint": text.typed("job.complaint"),
        "reason": text.typed("job.reason"),
        "class": text.typed("vehicle.class"),
        "title": text.typed("job.title"),
    }
    found = _earlier(connection, values, name) if job is None else job
    if found is None:
        marks = ", ".join(f":{key}" for key in values)
        done = connection.execute(f"INSERT INTO visits ({', '.join(values)}) VALUES ({marks})", values)
        return int(done.lastrowid or 0), True
    settings = ", ".join(f"{key} = :{key}" for key in values)
    connection.execute(f"UPDATE visits SET {settings} WHERE id = :job", {**values, "job": found})
    drop_unvisited(connection)
    return found, False


def _earlier(connection: sqlite3.Connection, values: dict[str, str | int | None], name: str) -> int | None:
    """The job of which a case is a newer state."""
    if values["vehicle_id"] is None:
        return None
    same = "visits.vehicle_id = :vehicle_id AND visits.work_order = :work_order"
    if not values["work_order"]:
        same += (
            " AND visits.customer_id IS :customer_id AND visits.day = :day"
            " AND EXISTS (SELECT 1 FROM cases WHERE visit_id = visits.id AND cases.name = :name)"
        )
    row = connection.execute(
        f"SELECT id FROM visits WHERE {same} ORDER BY id DESC", {**values, "name": name}
    ).fetchone()
    return None if row is None else int(row["id"])


def name_key(name: str) -> str:
    """A name as it is compared: small letters, single blanks."""
    return re.sub(r"\s+", " ", name).strip().casefold()


def _customer(connection: sqlite3.Connection, name: str) -> int | None:
    if not name.strip():
        return None
    connection.execute(
        "INSERT INTO customers (name, name_key) VALUES (?, ?) ON CONFLICT (name_key) DO NOTHING",
        (name.strip(), name_key(name)),
    )
    return int(connection.execute("SELECT id FROM customers WHERE name_key = ?", (name_key(name),)).fetchone()["id"])


def _vehicle(connection: sqlite3.Connection, text: CaseText, customer: int | None) -> int | None:
    """The vehicle of a case: known by its VIN, else by its registration, else by its description and customer."""
    described, registration = text.typed("job.vehicle").strip(), text.typed("job.registration").strip()
    vin, key = tidy_vin(text.typed("job.vin")), squeezed(registration)
    if not (described or key or vin):
        return None
    row = _known_vehicle(connection, vin, key, described, customer)
    if row is None:
        done = connection.execute(
            "INSERT INTO vehicles (described, registration, registration_key, vin) VALUES (?, ?, ?, ?)",
            (described, registration, key, vin),
        )
        return int(done.lastrowid or 0)
    connection.execute(
        "UPDATE vehicles SET described = ?, registration = ?, registration_key = ?, vin = ? WHERE id = ?",
        (
            described or row["described"],
            registration or row["registration"],
            key or row["registration_key"],
            vin or row["vin"],
            row["id"],
        ),
    )
    return int(row["id"])


def vehicle_of(connection: sqlite3.Connection, text: CaseText) -> int | None:
    """The vehicle of a case, where the book knows it already: nothing is written."""
    described, key = text.typed("job.vehicle").strip(), squeezed(text.typed("job.registration"))
    vin = tidy_vin(text.typed("job.vin"))
    question = "SELECT id FROM customers WHERE name_key = ?"
    customer = connection.execute(question, (name_key(text.typed("job.customer")),)).fetchone()
    row = _known_vehicle(connection, vin, key, described, None if customer is None else int(customer["id"]))
    return None if row is None else int(row["id"])


def _known_vehicle(
    connection: sqlite3.Connection, vin: str, key: str, described: str, customer: int | None
) -> sqlite3.Row | None:
    row: sqlite3.Row | None
    row = connection.execute("SELECT * FROM vehicles WHERE vin = ? AND vin != ''", (vin,)).fetchone()
    if row is not None:
        return row
    if key:  # of two vehicles with one registration, the later one bears it now; another VIN is another vehicle
        question = "SELECT * FROM vehicles WHERE registration_key = ? AND (vin = '' OR ? = '') ORDER BY id DESC"
        row = connection.execute(question, (key, vin)).fetchone()
        return row
    if vin or not described:
        return None
    row = connection.execute(
        "SELECT vehicles.* FROM vehicles JOIN visits ON visits.vehicle_id = vehicles.id WHERE described = ?"
        " AND registration_key = '' AND vin = '' AND visits.customer_id IS ?",
        (described, customer),
    ).fetchone()
    return row


def drop_unvisited(connection: sqlite3.Connection) -> None:
    """Take out customers and vehicles of which no job is left."""
    connection.execute(
        "DELETE FROM customers WHERE id NOT IN (SELECT customer_id FROM visits WHERE customer_id NOTNULL)"
    )
    connection.execute("DELETE FROM vehicles WHERE id NOT IN (SELECT vehicle_id FROM visits WHERE vehicle_id NOTNULL)")


def refresh_words(connection: sqlite3.Connection, job: int) -> None:
    """Write anew the words under which a job is found: of its newest case, its files and its outcomes."""
    text = newest_case(connection, job)
    vehicle = connection.execute(
        "SELECT vehicles.* FROM vehicles JOIN visits ON visits.vehicle_id = vehicles.id WHERE visits.id = ?", (job,)
    ).fetchone()
    texts = [*words_of_case(text), _state_of(connection, job)]
    texts += [row["name"] for row in connection.execute("SELECT name FROM files WHERE visit_id = ?", (job,))]
    for row in connection.execute("SELECT cause, replaced FROM outcomes WHERE visit_id = ?", (job,)):
        texts += [row["cause"].replace("_", " "), row["replaced"]]
    registration = "" if vehicle is None else vehicle["registration"]
    vin = "" if vehicle is None else vehicle["vin"]
    write_words(connection, job, indexed(texts, registration, vin))


def _state_of(connection: sqlite3.Connection, job: int) -> str:
    """Whether a job is open or closed."""
    return str(connection.execute("SELECT state FROM visits WHERE id = ?", (job,)).fetchone()["state"])


def renew_words(book: Book) -> None:
    """Index every job anew where the book is indexed by the words of an earlier program."""
    if words_are_new(book.connection):
        return
    with book.writing() as connection:
        for row in connection.execute("SELECT DISTINCT visit_id FROM cases").fetchall():
            refresh_words(connection, int(row["visit_id"]))
        note_words(connection)


def newest_case(connection: sqlite3.Connection, job: int) -> CaseText:
    """The case of a job as it was last kept."""
    return parse_case(newest_case_bytes(connection, job), book_texts.CASE_OF_JOB.format(job=job))


def newest_case_bytes(connection: sqlite3.Connection, job: int) -> bytes:
    """The bytes of that case, verbatim."""
    row = connection.execute("SELECT text FROM cases WHERE visit_id = ? ORDER BY id DESC", (job,)).fetchone()
    return bytes(row["text"])


# ---- finding and showing --------------------------------------------------------------------------------------------

_LINES = """
SELECT visits.id AS job, day, visits.state, coalesce(customers.name, '') AS customer,
       coalesce(vehicles.described, '') AS vehicle, coalesce(vehicles.registration, '') AS registration,
       complaint, work_order
FROM visits LEFT JOIN customers ON customers.id = customer_id LEFT JOIN vehicles ON vehicles.id = vehicle_id
"""


def find_jobs(book: Book, words: str, *, open_only: bool = False, limit: int = SHOWN) -> tuple[JobLine, ...]:
    """The jobs in which every word (or its beginning) is met, the newest first; all jobs without a word."""
    question, values = _LINES, []
    conditions = []
    if asked(words):
        conditions.append("visits.id IN (SELECT rowid FROM search WHERE search MATCH ?)")
        values.append(asked(words))
    if open_only:
        conditions.append("visits.state = 'open'")
    if conditions:
        question += " WHERE " + " AND ".join(conditions)
    rows = book.connection.execute(f"{question} ORDER BY visits.id DESC LIMIT ?", (*values, limit))
    return tuple(JobLine(**dict(row)) for row in rows)


def show_job(book: Book, job: int) -> JobPage:
    """Everything of one job. InputError when it is not in the book."""
    connection = book.connection
    must_exist(connection, job)
    line = JobLine(**dict(connection.execute(f"{_LINES} WHERE visits.id = ?", (job,)).fetchone()))
    visit = connection.execute("SELECT * FROM visits WHERE id = ?", (job,)).fetchone()
    vehicle = connection.execute("SELECT vin FROM vehicles WHERE id = ?", (visit["vehicle_id"],)).fetchone()
    others = connection.execute(
        "SELECT id FROM visits WHERE vehicle_id = ? AND id != ? ORDER BY id", (visit["vehicle_id"], job)
    )
    cases = connection.execute("SELECT name, sha256, kept_at FROM cases WHERE visit_id = ? ORDER BY id", (job,))
    return JobPage(
        line,
        "" if vehicle is None else vehicle["vin"],
        visit["reason"],
        visit["class"],
        tuple(KeptCase(**dict(row)) for row in cases),
        files_of(connection, job),
        outcomes_of(connection, job),
        tuple(int(row["id"]) for row in others),
    )


def files_of(connection: sqlite3.Connection, job: int | None) -> tuple[KeptFile, ...]:
    """The files of a job, or those of none."""
    rows = connection.execute(
        "SELECT id AS file, kind, name, files.sha256, size FROM files JOIN contents USING (sha256)"
        " WHERE visit_id IS ? ORDER BY files.id",
        (job,),
    )
    return tuple(KeptFile(**dict(row)) for row in rows)


def must_exist(connection: sqlite3.Connection, job: int) -> None:
    """InputError when the book has no job of this number."""
    if connection.execute("SELECT 1 FROM visits WHERE id = ?", (job,)).fetchone() is None:
        raise InputError((InputFault("job", str(job), book_texts.NUMBER_OF_A_JOB_OF_THIS_BOOK_WOULD_DO),))


# ---- outcomes -------------------------------------------------------------------------------------------------------


def record_outcome(book: Book, job: int, outcome: Outcome) -> str:
    """Keep how a job ended, beside what was entered before; gives the state of the job: closed unless not cured.

    InputError when the job is not in the book.
    """
    state = "open" if outcome.cured == "no" else "closed"
    with book.writing() as connection:
        must_exist(connection, job)
        connection.execute(
            "INSERT INTO outcomes (visit_id, entered_at, cause, confirmed, replaced, cured) VALUES (?, ?, ?, ?, ?, ?)",
            (
                job,
                book.now().isoformat(timespec="seconds"),
                outcome.cause,
                outcome.confirmed,
                outcome.replaced,
                outcome.cured,
            ),
        )
        connection.execute("UPDATE visits SET state = ? WHERE id = ?", (state, job))
        refresh_words(connection, job)
    return state


def outcomes_of(connection: sqlite3.Connection, job: int) -> tuple[Outcome, ...]:
    """The outcomes entered of a job; the last one counts."""
    rows = connection.execute(
        "SELECT cause, confirmed, replaced, cured FROM outcomes WHERE visit_id = ? ORDER BY id", (job,)
    )
    return tuple(Outcome(**dict(row)) for row in rows)


def customers_of(book: Book) -> list[str]:
    """The names of all customers, in the order of the alphabet."""
    rows = book.connection.execute("SELECT name FROM customers ORDER BY name_key").fetchall()
    return [str(row["name"]) for row in rows]
