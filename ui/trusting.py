"""Whom this user knows, and reports verified by that: the same answer in the window, on the command line, in the book.

No Qt.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from platformdirs import user_config_path

from engcalc.case.file import is_file, is_folder, read_whole
from engcalc.errors import FileFault, InputError, InputFault
from engcalc.words.terms.foreign import quoted
from engcalc.words.texts import document_texts

if TYPE_CHECKING:
    from reports.trust_store import TrustStore
    from reports.verification import Verification

INTACT, NOT_READ = "intact", "not examined"
WORST_FIRST = ("broken", "added to", "unsigned", NOT_READ)
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


def end_told(not_after: datetime, now: datetime) -> list[str]:
    """That an identity ends soon, or has ended, and what to do; nothing while there is time."""
    from reports.identity import DAYS_TO_RENEW, days_left

    left = days_left(not_after, now)
    if left > DAYS_TO_RENEW:
        return []
    when = f"{not_after:%Y-%m-%d}"
    ends = (
        document_texts.THIS_IDENTITY_HAS_ENDED_ON.format(when=when)
        if left < 0
        else document_texts.THIS_IDENTITY_ENDS_ON.format(when=when, left=left)
    )
    return [document_texts.RENEW_IT_UNDER_SIGNING_IDENTITY.format(ends=ends)]


def change_known(change: Callable[[TrustStore], TrustStore]) -> TrustStore:
    """Change whom this user knows, one window or command at a time. FileFault, and whatever ``change`` raises."""
    from reports.trust_store import change_store

    return change_store(default_folder(), change)


def verified(data: bytes, now: datetime) -> Verification:
    """What is found about a report, with whom this user knows. FileFault where the list of those is damaged."""
    from reports.verifying import verify_report

    store = known_to_user()
    issuers = [one.certificate for one in store.issuers]
    clocks = [one.certificate for one in store.clocks]
    return verify_report(data, issuers, timestamp_roots=clocks, persons=store.persons, now=now)


def know_signer(report: Path, fingerprint: str, name: str = "") -> str:
    """Know the signer of a report from now on, whose ``fingerprint`` came from them another way; gives the name.

    Raises InputError where the report is not intact or was signed by nobody of that fingerprint, and FileFault.
    """
    from reports.identity import name_of
    from reports.known_signer import signers_of
    from reports.trust_store import grouped
    from reports.verification import FoundState
    from reports.verifying import LARGEST_FILE

    wanted = grouped(fingerprint)
    data = read_whole(report, "a report", LARGEST_FILE)
    if verified(data, now()).state is not FoundState.INTACT:
        raise InputError((InputFault("", str(report), document_texts.ONLY_FROM_AN_INTACT_SIGNED_REPORT),))
    signers = signers_of(data)
    if wanted not in signers:
        told = document_texts.NOBODY_SIGNED_THIS_REPORT_WITH_A_KEY
        raise InputError((InputFault("fingerprint", fingerprint[:100], told),))
    known_as = name.strip() or name_of(signers[wanted])
    change_known(lambda store: store.with_person(known_as, signers[wanted], now().date()))
    return known_as


@dataclass(frozen=True)
class Examined:
    """One file of many: what was found, or why it was not examined."""

    path: Path
    found: Verification | None
    problem: str = ""

    @property
    def state(self) -> str:
        """What the file turned out to be, in one word or two."""
        return NOT_READ if self.found is None else self.found.state.value

    @property
    def line(self) -> str:
        """State, file, who signed by their own words and by what this user knows; or why it was not examined."""
        return f"{self.state}: {self.path}{self._who()}"

    def _who(self) -> str:
        if self.found is None:
            return f" ({self.problem})"
        author = self.found.author
        if author is None or not author.signer:
            return ""
        signer, known = f", signed by {quoted(author.signer)}", author.known
        if known is None:
            return signer
        if known.another:
            return document_texts.BY_ANOTHER_KEY_THAN_THE_PERSON.format(signer=signer)
        return document_texts.KNOWN_TO_YOU_SINCE.format(signer=signer, since=known.since)


def worst_of(rows: Sequence[Examined]) -> str:
    """The state that most needs to be looked at."""
    states = {one.state for one in rows}
    return next((state for state in WORST_FIRST if state in states), INTACT)


def counted(rows: Sequence[Examined]) -> str:
    """How many of each state, in a sentence."""
    states = [one.state for one in rows]
    each = ", ".join(f"{states.count(state)} {state}" for state in (*WORST_FIRST, INTACT) if state in states)
    return f"{len(rows)} reports: {each}."


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
        if not is_folder(place):
            found.append(place)
            continue
        inside = sorted(one for one in place.rglob("*") if one.suffix.lower() == SUFFIX and is_file(one))
        if not inside:
            raise FileFault(str(place), document_texts.THIS_FOLDER_HOLDS_NO_PDF_FILE)
        found += inside
    if len(found) > MOST_REPORTS:
        raise FileFault(
            str(found[0].parent), document_texts.THERE_ARE_MORE_THAN_REPORTS.format(most_reports=MOST_REPORTS)
        )
    return found
