"""What is found about a report: each signature, and the file as a whole. Made by ``reports.verifying``."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date, datetime
from enum import Enum
from typing import TYPE_CHECKING

from engcalc.words.texts import verification_texts

if TYPE_CHECKING:
    from reports.timestamps import Seal

AUTHOR_FIELD = "Author"
REVIEWER_FIELD = "Reviewer"


class VerifyAnswer(Enum):
    """The answer to one question. Its truth is asked for by name: an Outcome has no truth value of its own."""

    PASSED = "passed"
    FAILED = "failed"
    UNDETERMINED = "could not tell"

    def __bool__(self) -> bool:
        raise TypeError("compare an Outcome with Outcome.PASSED")

    @property
    def as_bool(self) -> bool | None:
        """True, False, or None for could-not-tell: for JSON."""
        return {VerifyAnswer.PASSED: True, VerifyAnswer.FAILED: False, VerifyAnswer.UNDETERMINED: None}[self]


class FoundState(Enum):
    """What a file turned out to be, in the words that ``--json`` uses."""

    INTACT = "intact"
    BROKEN = "broken"
    ADDED_TO = "added to"  # what was signed is still there, and so is something that nobody signed
    UNSIGNED = "unsigned"
    NOT_EXAMINED = "not examined"  # no PDF, encrypted, or too large


class Coverage(Enum):
    """How far a signature reaches."""

    WHOLE_FILE = "the whole file"
    SEALED = verification_texts.WHOLE_FILE_BUT_FOR_WHAT_CHECKS
    WHOLE_REVISION = verification_texts.FILE_AS_IT_WAS_WHEN_SIGNED
    OTHER = verification_texts.NOT_ALL_OF_WHAT_IT_SHOULD


@dataclass(frozen=True)
class KnownAs:
    """Somebody of the reader's own list: the name there, since when, whether the certificate was renewed since.

    ``another`` means the opposite: the list has a person of this name, whose key is another.
    """

    name: str
    since: date
    renewed: bool = False
    another: bool = False


@dataclass(frozen=True)
class SignatureFinding:
    """What was found about one signature.

    ``intact`` and ``vouched`` answer two questions (see ``verifying``); ``problem`` says in words why ``intact`` is not
    PASSED. ``credential`` is the signer's own statement. ``signed_at`` is the signer's word unless ``time_attested``.
    ``known`` says whether the reader's own list has the signer; ``level`` is that of PAdES (ETSI EN 319 142-1): B-B,
    with a timestamp B-T, with data to check certificates with B-LT, all of it under a later timestamp B-LTA.
    ``later_changes`` names what came after it, ``notes`` are what a reader should know beside that.
    Texts are empty and times None where the signature could not be read.
    """

    field: str
    intact: VerifyAnswer
    vouched: VerifyAnswer = VerifyAnswer.UNDETERMINED
    problem: str = ""
    coverage: Coverage = Coverage.OTHER
    certified: bool = False
    signer: str = ""
    credential: str = ""
    issuer: str = ""
    self_issued: bool | None = None
    fingerprint: str = ""
    signed_at: datetime | None = None
    time_attested: VerifyAnswer = VerifyAnswer.UNDETERMINED
    algorithm: str = ""
    reason: str = ""
    location: str = ""
    later_changes: str = ""
    known: KnownAs | None = None
    level: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Verification:
    """What was found about a file.

    ``outcome`` is about integrity, never about trust: see ``vouched`` of each signature. ``signed``, ``intact`` and
    ``covers_whole_file`` are None where that could not be told. ``case_bytes`` is the attached case, None without one;
    it is given for a broken file too, and is then as doubtful as the file. ``files`` are the logs and tables carried
    beside it, with their names, ``seals`` the timestamps over the document. ``summary`` holds plain sentences.
    """

    outcome: VerifyAnswer
    sha256: str
    signed: bool | None = None
    intact: bool | None = None
    covers_whole_file: bool | None = None
    signatures: tuple[SignatureFinding, ...] = ()
    case_bytes: bytes | None = None
    problem: str = ""
    summary: tuple[str, ...] = ()
    files: tuple[tuple[str, bytes], ...] = ()
    seals: tuple[Seal, ...] = ()

    @property
    def state(self) -> FoundState:
        """What the file turned out to be, in one word."""
        if self.outcome is VerifyAnswer.PASSED:
            return FoundState.INTACT
        if self.outcome is VerifyAnswer.FAILED:
            return FoundState.BROKEN
        states = {True: FoundState.ADDED_TO, False: FoundState.UNSIGNED, None: FoundState.NOT_EXAMINED}
        return states[self.signed]

    @property
    def author(self) -> SignatureFinding | None:
        """The first signature, which is the author's."""
        return self.signatures[0] if self.signatures else None

    @property
    def reviewer(self) -> SignatureFinding | None:
        """The signature in the reviewer's field, if it is filled."""
        return next((found for found in self.signatures if found.field == REVIEWER_FIELD), None)

    @property
    def case_sha256(self) -> str | None:
        """SHA-256 of the attached case."""
        return None if self.case_bytes is None else hashlib.sha256(self.case_bytes).hexdigest()
