"""The sentences in which a person reads what was found about a report.

A name that a certificate gives stands between quotation marks, on one line, with hidden signs shown by their number: it
cannot pass for a sentence of ours. The fingerprint comes before the name.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from datetime import datetime, timedelta

from cryptography import x509

from engcalc.case.file import parse_case
from engcalc.case.named_files import needed_files
from engcalc.errors import InputError
from engcalc.words.foreign import hides_signs, quoted
from engcalc.words.paper_words import HOW_TO_CHECK
from reports.identity import credential_of, name_of
from reports.known_signer import alike
from reports.timestamps import FoundTimestamp, Seal
from reports.verification import (
    AUTHOR_FIELD,
    REVIEWER_FIELD,
    KnownAs,
    SignatureFinding,
    Verification,
    VerifyAnswer,
)

MOST_NAMED = 3  # files that a sentence names
FINGERPRINT = "Fingerprint: "  # before the sixteen groups, on a line of their own
CLOCKS_APART = timedelta(minutes=10)  # by which a clock may be ahead unremarked; common practice, no source

NOT_SIGNED = "The file is not signed: it may be a draft, and anyone may have changed it."
UNPACKS_TOO_LARGE = "The file unpacks to more than {megabytes} MB; a report never does. It was not examined further."
SIGNATURE_REMAINS = "The file holds remains of a signature that cannot be read: it is not the file that was signed."
FILE_TOO_LARGE = "The file is larger than {megabytes} MB; a report never is. It was not examined."
NOT_A_PDF = "This is not a PDF file, so there is no signature to check."
NO_END = "The file is damaged: it has no end as a PDF has one."
ENCRYPTED = "The file is encrypted; reports are not. Nothing can be said about it as it stands."
NOT_READABLE = "The file is damaged: it cannot be read as a PDF ({why})."
SIGNATURES_NOT_READABLE = "The file is damaged: its signatures cannot be read ({why})."


def summary_of(found: Verification) -> tuple[str, ...]:
    """A signed report in plain sentences: whether it is intact, why not, who signed, what it carries."""
    why = [f"Why: {found.problem}."] if found.problem else []
    lines = [_headline(found), *why]
    for one in found.signatures:
        lines += _about(one)
    lines += _on_the_reviewer(found)
    lines += [_seal_sentence(one) for one in found.seals]
    if any(map(_rests_on_fingerprint, found.signatures)):
        lines.append(HOW_TO_CHECK)
    return (*lines, _case_sentence(found), *_file_sentences(found))


def _rests_on_fingerprint(one: SignatureFinding) -> bool:
    """Whether only a comparison of fingerprints tells who signed, and none was made yet."""
    compared = one.known is not None and not one.known.another
    return one.self_issued is True and one.vouched is not VerifyAnswer.PASSED and not compared


def summary_of_unsigned(found: Verification) -> tuple[str, ...]:
    """The same for a file that nobody signed."""
    return (found.problem, _case_sentence(found), *_file_sentences(found))


def the_signature(one: SignatureFinding) -> str:
    """Which signature this is, such as ``Author's signature``."""
    known = {AUTHOR_FIELD: "Author's signature", REVIEWER_FIELD: "Reviewer's signature"}
    return known.get(one.field, f"Signature in the field {quoted(one.field)}")


def notes_on(
    certificate: x509.Certificate,
    stamp: FoundTimestamp | None,
    unknown: tuple[str, ...],
    signed_at: datetime,
    now: datetime | None,
) -> tuple[str, ...]:
    """What to know of a signature, though it does not break it; ``unknown`` are additions that nobody signed."""
    return tuple(_notes(certificate, stamp, unknown, signed_at, now))


def _notes(
    certificate: x509.Certificate,
    stamp: FoundTimestamp | None,
    unknown: tuple[str, ...],
    signed_at: datetime,
    now: datetime | None,
) -> Iterator[str]:
    if hides_signs(name_of(certificate) + credential_of(certificate)):
        yield "The name or credential in the certificate holds hidden signs. Honest certificates hold none."
    if stamp is not None and not stamp.trusted and not stamp.damaged:
        yield (
            f"A timestamp beside it says {_minute(stamp.when)}, issued by {quoted(stamp.authority)}, whom nobody "
            "that you trust vouches for. Anyone can put one there; it does not count."
        )
    if unknown:
        names = ", ".join(quoted(name) for name in unknown)
        yield f"It carries additions that nobody signed and that are not read here ({names})."
    if now is not None and signed_at > now + CLOCKS_APART:
        yield "The stated time of signing lies in the future: the signer's clock, or yours, is wrong."
    if now is not None and stamp is not None and stamp.trusted and stamp.until < now:
        yield f"The certificate of the clock has ended since ({stamp.until:%Y-%m-%d}); only a later timestamp holds it."
    if now is not None and certificate.not_valid_after_utc < now:
        ended = f"{certificate.not_valid_after_utc:%Y-%m-%d}"
        yield f"The certificate has ended since ({ended}). That it was valid when signing rests on the time above."


def _headline(found: Verification) -> str:
    if found.outcome is VerifyAnswer.PASSED and any(one.later_changes for one in found.signatures):
        return "Intact: nothing that was signed was changed. What was added after the first signature is named below."
    return {
        VerifyAnswer.PASSED: "Intact: nothing was changed since it was signed.",
        VerifyAnswer.FAILED: "Broken: this is not what was signed. "
        "Do not rely on it; ask the signer for the report again.",
        VerifyAnswer.UNDETERMINED: "Undecided: what was signed is still there, but so is something that nobody signed.",
    }[found.outcome]


def _about(one: SignatureFinding) -> list[str]:
    if not one.signer:
        return [f"{the_signature(one)} cannot be read."]
    lines = [
        f"{the_signature(one)}, made with the key of this fingerprint:",
        f"{FINGERPRINT}{one.fingerprint}",
        f"Name in its certificate: {quoted(one.signer)}.",
        *_known_sentence(one.known),
        _trust_sentence(one),
    ]
    if one.credential:
        lines.append(f"Credential, stated by the signer: {quoted(one.credential)}.")
    if one.signed_at is not None:
        attested = (
            "attested by a timestamp that you trust"
            if one.time_attested is VerifyAnswer.PASSED
            else "by the signer's own clock"
        )
        lines.append(f"Signed on {_minute(one.signed_at)} ({attested}), {one.algorithm}.")
    if one.later_changes:
        lines.append(f"Added after this signature: {one.later_changes}.")
    return [*lines, *one.notes]


def _known_sentence(known: KnownAs | None) -> list[str]:
    if known is None:
        return []
    since = f"{known.since:%Y-%m-%d}"
    if known.another:
        return [
            f"You know somebody of this name, since {since}, by another key. This may not be the same person: ask the "
            "one whom you know for the fingerprint."
        ]
    if known.renewed:
        return [
            f"Known to you since {since} as {quoted(known.name)}: the key is the same, the certificate was renewed."
        ]
    return [f"Known to you since {since} as {quoted(known.name)}: this is the fingerprint that you compared."]


def _on_the_reviewer(found: Verification) -> Iterator[str]:
    """What is odd about author and reviewer as a pair."""
    author, reviewer = found.author, found.reviewer
    if author is None or reviewer is None or author is reviewer or not (author.signer and reviewer.signer):
        return
    if author.fingerprint == reviewer.fingerprint:
        yield "Author and reviewer signed with the same key: nobody else reviewed this report."
    elif alike(author.signer) == alike(reviewer.signer):
        yield (
            "Author and reviewer bear the same name and have different keys. One of them may not be who the name says: "
            "ask that person for both fingerprints."
        )


def _seal_sentence(one: Seal) -> str:
    if one.stamp.damaged:
        return "A timestamp over the document is damaged or forged."
    says = f"A timestamp over the document says {_minute(one.stamp.when)}, issued by {quoted(one.stamp.authority)}"
    if not one.stamp.trusted:
        return f"{says}, whom nobody that you trust vouches for; it does not count."
    return f"{says}, a clock that you trust, whose certificate holds until {one.stamp.until:%Y-%m-%d}."


def _trust_sentence(one: SignatureFinding) -> str:
    if one.vouched is VerifyAnswer.PASSED:
        return f"The name is vouched for by an issuer you trust: {quoted(one.issuer)}."
    if one.vouched is VerifyAnswer.FAILED:
        return "The certificate was withdrawn: do not trust the name."
    if one.self_issued:
        return "The signer made this identity: the name is the signer's word, not vouched for by others."
    return f"No issuer that you trust confirms the name; the certificate was issued by {quoted(one.issuer)}."


def _case_sentence(found: Verification) -> str:
    case = found.case_bytes
    if case is None:
        return "It carries no case that can be read."
    carries = f"It carries its case ({len(case):,} bytes)"
    try:
        named = needed_files(parse_case(case)).values()
    except InputError:
        return f"{carries}, which this program cannot read."
    missing = sorted(set(named) - {name for name, _ in found.files})
    if missing:
        names = ", ".join(quoted(name) for name in missing[:MOST_NAMED])
        return f"{carries}, but not all the files that its numbers rest on: {names}."
    return f"{carries}, from which the numbers can be run again."


def _file_sentences(found: Verification) -> list[str]:
    digests = {name: hashlib.sha256(data).hexdigest() for name, data in found.files}
    return [f"It carries {quoted(name)} too, SHA-256 {digest}." for name, digest in digests.items()]


def _minute(when: datetime) -> str:
    return f"{when:%Y-%m-%d %H:%M} UTC"
