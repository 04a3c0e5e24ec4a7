"""A job book of invented customers, vehicles and jobs, as large as asked for. None of them exists."""

from __future__ import annotations

import random
from pathlib import Path

from engcalc.case.file import case_bytes
from engcalc.case.text import FORMAT, CaseText
from ui.book.contents import digest
from ui.book.jobs import refresh_words
from ui.book.store import Book
from ui.book.words_of import note_words

FIRST = (
    "Ada",
    "Bo",
    "Cleo",
    "Dag",
    "Eira",
    "Fenn",
    "Gösta",
    "Hjørdis",
    "Ivo",
    "Jürgen",
    "Kira",
    "Levi",
    "Mila",
    "Nils",
)
SECOND = (
    "Ahlquist",
    "Brandt",
    "Cordova",
    "Dähne",
    "Ekström",
    "Fairlow",
    "Groß",
    "Hallam",
    "Ingleby",
    "Jansson",
    "Köhler",
)
THINGS = ("Delivery van", "Estate", "Hatchback", "Pick-up", "Saloon", "Coach", "Tractor", "Two-seater")
CLASSES = ("van", "family car", "small car", "pickup")
COMPLAINTS = ("heater blows cold", "warms up slowly", "runs hot in traffic", "runs hot uphill", "loses coolant")
REASONS = ("no heat", "slow warm-up", "hot at idle", "hot at speed", "loss of coolant")


def invented_case(rng: random.Random, number: int) -> CaseText:
    """One job's case; the same number and generator give the same case."""
    which = rng.randrange(len(REASONS))
    job = {
        "title": f"Job {number}",
        "work_order": f"W{10_000 + number}",
        "customer": f"{rng.choice(FIRST)} {rng.choice(SECOND)} {rng.randrange(400)}",
        "vehicle": f"{rng.choice(THINGS)}, {rng.randrange(8, 60) / 10.0} litre",
        "registration": f"{rng.choice('QXYZ')}{rng.choice('QXYZ')} {number}",
        "complaint": f"It {COMPLAINTS[which]} since {rng.choice(('Monday', 'the frost', 'the last service', 'May'))}",
        "reason": REASONS[which],
        "date": f"2026-{rng.randrange(1, 13):02d}-{rng.randrange(1, 29):02d}",
        "notes": " ".join(
            rng.choice(("clip", "rust", "hose", "belt", "sludge", "fin", "tank", "bleed")) for _ in range(12)
        ),
    }
    return CaseText({"format": FORMAT, "job": job, "vehicle": {"class": rng.choice(CLASSES)}})


def fill(path: Path, jobs: int, seed: int = 1) -> None:
    """Make a book with so many jobs, in one transaction."""
    rng = random.Random(seed)
    with Book.open(path, make=True) as book, book.writing() as connection:
        note_words(connection)
        for number in range(1, jobs + 1):
            text = invented_case(rng, number)
            job = {
                key: text.typed(f"job.{key}") for key in ("customer", "vehicle", "registration", "complaint", "reason")
            }
            customer = f"{job['customer']} of job {number}"
            connection.execute("INSERT INTO customers VALUES (?, ?, ?)", (number, customer, customer.casefold()))
            connection.execute(
                "INSERT INTO vehicles VALUES (?, ?, ?, ?, '')",
                (number, job["vehicle"], job["registration"], job["registration"].replace(" ", "").casefold()),
            )
            state = "open" if number % 20 == 0 else "closed"
            visit = (number, number, number, text.typed("job.work_order"), text.typed("job.date"), job["complaint"])
            connection.execute(
                "INSERT INTO visits VALUES (?, ?, ?, ?, ?, ?, ?, ?, '', ?)",
                (*visit, job["reason"], text.typed("vehicle.class"), state),
            )
            data = case_bytes(text)
            connection.execute(
                "INSERT INTO cases (visit_id, name, sha256, kept_at, text) VALUES (?, ?, ?, '2026-01-01', ?)",
                (number, f"{number}.heatcase.json", digest(data), data),
            )
            refresh_words(connection, number)
