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
from engcalc.words.page.paper_words import HOW_TO_CHECK
from engcalc.words.terms.foreign import hides_signs, quoted
from engcalc.words.texts import verification_texts
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
    return known.get(one.field, verification_texts.SIGNATURE_IN_THE_FIELD_BEGINNING.format(field=quoted(one.field)))


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
        yield verification_texts.NAME_OR_CREDENTIAL_IN_THE_CERTIFICATE
    if stamp is not None and not stamp.trusted and not stamp.damaged:
        yield (
            verification_texts.TIMESTAMP_BESIDE_IT_SAYS.format(
                minute=_minute(stamp.when), authority=quoted(stamp.authority)
            )
        )
    if unknown:
        names = ", ".join(quoted(name) for name in unknown)
        yield verification_texts.IT_CARRIES_ADDITIONS_THAT_NOBODY.format(names=names)
    if now is not None and signed_at > now + CLOCKS_APART:
        yield verification_texts.STATED_TIME_OF_SIGNING_LIES_IN_THE_FUTURE
    if now is not None and stamp is not None and stamp.trusted and stamp.until < now:
        yield verification_texts.CERTIFICATE_OF_THE_CLOCK_HAS_ENDED_SINCE.format(until=stamp.until)
    if now is not None and certificate.not_valid_after_utc < now:
        ended = f"{certificate.not_valid_after_utc:%Y-%m-%d}"
        yield verification_texts.CERTIFICATE_HAS_ENDED_SINCE.format(ended=ended)


def _headline(found: Verification) -> str:
    if found.outcome is VerifyAnswer.PASSED and any(one.later_changes for one in found.signatures):
        return verification_texts.INTACT_NOTHING_THAT_WAS_SIGNED_WAS_CHANGED
    return {
        VerifyAnswer.PASSED: verification_texts.INTACT_NOTHING_WAS_CHANGED_SINCE,
        VerifyAnswer.FAILED: verification_texts.BROKEN_THIS_IS_NOT_WHAT_WAS_SIGNED,
        VerifyAnswer.UNDETERMINED: verification_texts.UNDECIDED_WHAT_WAS_SIGNED_IS_STILL_THERE,
    }[found.outcome]


def _about(one: SignatureFinding) -> list[str]:
    if not one.signer:
        return [verification_texts.CANNOT_BE_READ.format(the_signature=the_signature(one))]
    lines = [
        verification_texts.MADE_WITH_THE_KEY_OF_THIS_FINGERPRINT.format(the_signature=the_signature(one)),
        f"{FINGERPRINT}{one.fingerprint}",
        verification_texts.NAME_IN_ITS_CERTIFICATE.format(signer=quoted(one.signer)),
        *_known_sentence(one.known),
        _trust_sentence(one),
    ]
    if one.credential:
        lines.append(verification_texts.CREDENTIAL_STATED_BY_THE_SIGNER.format(credential=quoted(one.credential)))
    if one.signed_at is not None:
        attested = (
            verification_texts.ATTESTED_BY_A_TIMESTAMP_THAT_YOU_TRUST
            if one.time_attested is VerifyAnswer.PASSED
            else verification_texts.BY_THE_SIGNERS_OWN_CLOCK
        )
        lines.append(f"Signed on {_minute(one.signed_at)} ({attested}), {one.algorithm}.")
    if one.later_changes:
        lines.append(verification_texts.ADDED_AFTER_THIS_SIGNATURE.format(later_changes=one.later_changes))
    return [*lines, *one.notes]


def _known_sentence(known: KnownAs | None) -> list[str]:
    if known is None:
        return []
    since = f"{known.since:%Y-%m-%d}"
    if known.another:
        return [verification_texts.YOU_KNOW_SOMEBODY_OF_THIS_NAME.format(since=since)]
    if known.renewed:
        return [verification_texts.KNOWN_TO_YOU_SINCE_AS.format(since=since, name=quoted(known.name))]
    return [verification_texts.KNOWN_TO_YOU_SINCE.format(since=since, name=quoted(known.name))]


def _on_the_reviewer(found: Verification) -> Iterator[str]:
    """What is odd about author and reviewer as a pair."""
    author, reviewer = found.author, found.reviewer
    if author is None or reviewer is None or author is reviewer or not (author.signer and reviewer.signer):
        return
    if author.fingerprint == reviewer.fingerprint:
        yield verification_texts.AUTHOR_AND_REVIEWER_SIGNED_WITH_THE_SAME_KEY
    elif alike(author.signer) == alike(reviewer.signer):
        yield (verification_texts.AUTHOR_AND_REVIEWER_BEAR_THE_SAME_NAME)


def _seal_sentence(one: Seal) -> str:
    if one.stamp.damaged:
        return verification_texts.TIMESTAMP_OVER_THE_DOCUMENT_IS_DAMAGED
    says = verification_texts.TIMESTAMP_OVER_THE_DOCUMENT_SAYS.format(
        minute=_minute(one.stamp.when), authority=quoted(one.stamp.authority)
    )
    if not one.stamp.trusted:
        return verification_texts.WHOM_NOBODY_THAT_YOU_TRUST_VOUCHES_FOR.format(says=says)
    return verification_texts.CLOCK_THAT_YOU_TRUST.format(says=says, until=one.stamp.until)


def _trust_sentence(one: SignatureFinding) -> str:
    if one.vouched is VerifyAnswer.PASSED:
        return verification_texts.NAME_IS_VOUCHED_FOR_BY_AN_ISSUER_YOU_TRUST.format(issuer=quoted(one.issuer))
    if one.vouched is VerifyAnswer.FAILED:
        return verification_texts.CERTIFICATE_WAS_WITHDRAWN
    if one.self_issued:
        return verification_texts.SIGNER_MADE_THIS_IDENTITY
    return verification_texts.NO_ISSUER_THAT_YOU_TRUST_CONFIRMS_THE_NAME.format(issuer=quoted(one.issuer))


def _case_sentence(found: Verification) -> str:
    case = found.case_bytes
    if case is None:
        return verification_texts.IT_CARRIES_NO_CASE_THAT_CAN_BE_READ
    carries = verification_texts.IT_CARRIES_ITS_CASE_BYTES.format(case_count=len(case))
    try:
        named = needed_files(parse_case(case)).values()
    except InputError:
        return verification_texts.WHICH_THIS_PROGRAM_CANNOT_READ.format(carries=carries)
    missing = sorted(set(named) - {name for name, _ in found.files})
    if missing:
        names = ", ".join(quoted(name) for name in missing[:MOST_NAMED])
        return verification_texts.BUT_NOT_ALL_THE_FILES_THAT_ITS_NUMBERS.format(carries=carries, names=names)
    return verification_texts.FROM_WHICH_THE_NUMBERS_CAN_BE_RUN_AGAIN.format(carries=carries)


def _file_sentences(found: Verification) -> list[str]:
    digests = {name: hashlib.sha256(data).hexdigest() for name, data in found.files}
    return [
        verification_texts.IT_CARRIES_TOO.format(name=quoted(name), digest=digest) for name, digest in digests.items()
    ]


def _minute(when: datetime) -> str:
    return f"{when:%Y-%m-%d %H:%M} UTC"
