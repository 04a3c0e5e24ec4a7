"""A job book whose writer is killed at any moment: what it had committed is to be there, whole, and the book to open.

By hand: ``python tests/oracles/killed_book.py 100`` kills a hundred writers. The suite kills twenty.
"""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]
LONGEST = 0.25  # s; from the writer's first word to its end, at most
LOG_BYTES = 60_000  # several pages of the database, so that a transaction takes a while


def log_of(number: int) -> bytes:
    """The log of a job, other for each: random bytes hardly pack."""
    return random.Random(number).randbytes(LOG_BYTES)


def write_without_end(path: Path, first: int) -> None:
    """The writer: jobs with a log and an outcome, one line of output after each commit."""
    from engcalc.case.text import FORMAT, CaseText
    from engcalc.causes.outcomes import Outcome
    from ui.book.copies import daily_backup
    from ui.book.jobs import add_case_text, record_outcome
    from ui.book.store import Book

    sys.stdout.write("ready\n")
    sys.stdout.flush()
    with Book.open(path, make=True) as book:
        number = first
        while True:
            job = {"work_order": f"W{number}", "registration": f"ZZ {number}", "customer": f"Customer {number}"}
            text = CaseText({"format": FORMAT, "job": job})
            added = add_case_text(book, f"{number}.heatcase.json", text, [("log", "run.csv", log_of(number))])
            sys.stdout.write(f"job {number} {added.job}\n")
            sys.stdout.flush()
            record_outcome(book, added.job, Outcome("low_coolant", "seen", f"hose {number}", "yes"))
            sys.stdout.write(f"outcome {number} {added.job}\n")
            sys.stdout.flush()
            daily_backup(book)
            number += 1


def killed_writer(path: Path, first: int, rng: random.Random) -> list[tuple[str, int, int]]:
    """Start a writer, kill it after a random while, and give what it said was committed."""
    writer = subprocess.Popen(
        [sys.executable, __file__, "write", str(path), str(first)],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(PROJECT)},
    )
    assert writer.stdout is not None
    writer.stdout.readline()  # it is about to open the book
    time.sleep(rng.uniform(0.0, LONGEST))
    writer.send_signal(signal.SIGKILL)
    said, _ = writer.communicate()
    whole = [line.split() for line in said.splitlines(keepends=True) if line.endswith("\n")]
    return [(what, int(number), int(job)) for what, number, job in whole]


def losses(path: Path, said: list[tuple[str, int, int]]) -> list[str]:
    """What of the committed is not there as it was, or what is broken in the file; in words."""
    from ui.book.contents import content
    from ui.book.jobs import show_job
    from ui.book.store import Book

    lost = []
    with Book.open(path, make=True) as book:
        check = [row[0] for row in book.connection.execute("PRAGMA integrity_check")]
        keys = book.connection.execute("PRAGMA foreign_key_check").fetchall()
        if check != ["ok"] or keys:
            lost.append(f"the file is broken: {check} {[tuple(row) for row in keys]}")
        for what, number, job in said:
            page = show_job(book, job)
            kept = [content(book.connection, file.sha256) for file in page.files]
            if kept != [log_of(number)] or page.line.work_order != f"W{number}":
                lost.append(f"job {number}: its log or case")
            if what == "outcome" and [outcome.replaced for outcome in page.outcomes] != [f"hose {number}"]:
                lost.append(f"job {number}: its outcome")
    return lost


def kill_often(folder: Path, kills: int, seed: int) -> tuple[int, list[str]]:
    """Kill so many writers, every third on a new book; gives how many commits they had told of, and every loss."""
    rng = random.Random(seed)
    said: list[tuple[str, int, int]] = []
    told, lost, path, number = 0, [], folder / "0.jobbook", 0
    for kill in range(kills):
        if kill % 3 == 0:
            path, said = folder / f"{kill}.jobbook", []
        now = killed_writer(path, number, rng)
        number += 10_000
        said += now
        told += len(now)
        lost += losses(path, said)
    return told, lost


if __name__ == "__main__":
    if sys.argv[1] == "write":
        write_without_end(Path(sys.argv[2]), int(sys.argv[3]))
    with tempfile.TemporaryDirectory() as place:
        commits, missing = kill_often(Path(place), int(sys.argv[1]), seed=1)
        sys.stdout.write(json.dumps({"kills": int(sys.argv[1]), "commits": commits, "lost": missing}, indent=2) + "\n")
