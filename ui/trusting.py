"""Whom this user knows, and reports verified by that: the same answer in the window, on the command line, in the book.

No Qt.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from platformdirs import user_config_path

from engcalc.case.file import read_whole
from engcalc.errors import FileFault

if TYPE_CHECKING:
    from reports.trust_store import TrustStore
    from reports.verification import Verification

SUFFIX = ".pdf"
MOST_REPORTS = 10_000  # of one command; a folder with more is not one of reports


def default_folder() -> Path:
    """Where the list of this user is kept: beside the settings."""
    return user_config_path("heatdocket", appauthor=False) / "trust"


def now() -> datetime:
    """The time on the computer's clock, with its zone."""
    return datetime.now().astimezone()


def known_to_user() -> TrustStore:
    """Everybody whom this user knows. FileFault where the list is damaged."""
    from reports.trust_store import read_store

    return read_store(default_folder())


def keep_known(store: TrustStore) -> None:
    """Keep everybody whom this user knows. FileFault."""
    from reports.trust_store import write_store

    write_store(default_folder(), store)


def verified(data: bytes, now: datetime) -> Verification:
    """What is found about a report, with whom this user knows. FileFault where the list of those is damaged."""
    from reports.verifying import verify_report

    store = known_to_user()
    issuers = [one.certificate for one in store.issuers]
    clocks = [one.certificate for one in store.clocks]
    return verify_report(data, issuers, timestamp_roots=clocks, persons=store.persons, now=now)


@dataclass(frozen=True)
class Examined:
    """One file of many: what was found, or why it was not examined."""

    path: Path
    found: Verification | None
    problem: str = ""


def examined(path: Path, now: datetime) -> Examined:
    """One report; a file that cannot be read is told and ends nothing."""
    from reports.verifying import LARGEST_FILE

    try:
        return Examined(path, verified(read_whole(path, "a report", LARGEST_FILE), now))
    except FileFault as fault:
        return Examined(path, None, fault.faults[0].wanted)


def reports_in(places: Iterable[Path]) -> list[Path]:
    """The files that are named, and every PDF in the folders that are named and below, in order. FileFault for a
    folder without any, or with too many."""
    found: list[Path] = []
    for place in places:
        if not place.is_dir():
            found.append(place)
            continue
        inside = sorted(one for one in place.rglob("*") if one.suffix.lower() == SUFFIX and one.is_file())
        if not inside:
            raise FileFault(str(place), "this folder holds no PDF file; name one that does, or a report")
        found += inside
    if len(found) > MOST_REPORTS:
        raise FileFault(str(found[0].parent), f"there are more than {MOST_REPORTS} reports; name a smaller folder")
    return found
