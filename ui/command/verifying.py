"""Verifying and countersigning reports on the command line.

``verify`` ends with 0 for an intact report only, so that a script may rely on it.
"""

from __future__ import annotations

import argparse
import hashlib
from pathlib import Path
from typing import TYPE_CHECKING

from engcalc.case.file import is_folder, read_whole, write_whole
from engcalc.errors import InputError, InputFault
from engcalc.words.texts import command_texts, shared_texts
from ui.carrying import places_beside, write_beside
from ui.command.outputs import may_replace
from ui.command.passwords import password_for
from ui.trusting import counted, end_told, examined, now, reports_in, verified, worst_of

if TYPE_CHECKING:
    from reports.verification import SignatureFinding, Verification
    from ui.command.answer import Answer, JsonObject

EXIT_CODES = {"intact": 0, "not examined": 2, "broken": 4, "unsigned": 5, "added to": 5}
"""How ``verify`` ends, by what the file turned out to be; 1 and 3 mean what they mean everywhere."""


def countersign_command(options: argparse.Namespace) -> Answer:
    """``heatdocket countersign``: a reviewer's signature in the field made for it; the author's stays as it is."""
    from reports.identity import load_identity
    from reports.signing import countersign_file
    from reports.verifying import LARGEST_FILE

    may_replace(options.output, (options.report, options.identity), force=options.force)
    identity = load_identity(options.identity, password_for(options.identity))
    countersign_file(options.report, options.output, identity, now())
    found = verified(read_whole(options.output, "a report", LARGEST_FILE), now())
    return verification_json(options.output, found), [
        f"{options.output}: countersigned by {identity.name}.",
        *found.summary,
        *end_told(identity.not_after, now()),
    ]


def verify_command(options: argparse.Namespace) -> Answer:
    """``heatdocket verify``: who signed, whether intact, and the case that the report carries; of many a line each."""
    from reports.verifying import LARGEST_FILE

    if len(options.reports) > 1 or is_folder(options.reports[0]):
        return _many(options)
    (options.report,) = options.reports
    found = verified(read_whole(options.report, "a report", LARGEST_FILE), now())
    lines = list(found.summary)
    if options.extract is not None:
        lines.append(_extracted(options, found))
    return verification_json(options.report, found), lines


def _many(options: argparse.Namespace) -> Answer:
    """Each report by its state, worst first to be seen: the exit code is that of the worst."""
    if options.extract is not None:
        raise InputError(
            (InputFault("--extract", str(options.extract), command_texts.CASE_IS_WRITTEN_FROM_ONE_REPORT_AT_A_TIME),)
        )
    rows = [examined(path, now()) for path in reports_in(options.reports)]
    found: JsonObject = {
        "exit_code": EXIT_CODES[worst_of(rows)],
        "reports": [
            {"path": str(one.path), "state": one.state, "problem": one.problem}
            if one.found is None
            else verification_json(one.path, one.found)
            for one in rows
        ],
    }
    return found, [*(one.line for one in rows), counted(rows)]


def _extracted(options: argparse.Namespace, found: Verification) -> str:
    """Write the carried case; what was done, or why not, in words. Raises InputError where there is no case."""
    from reports.verification import FoundState

    if found.case_bytes is None:
        raise InputError((InputFault("", str(options.report), command_texts.THIS_FILE_CARRIES_NO_CASE_TO_EXTRACT),))
    if found.state is not FoundState.INTACT and not options.anyway:
        return command_texts.CARRIED_CASE_WAS_NOT_WRITTEN.format(value=found.state.value)
    may_replace(options.extract, (options.report,), force=options.force)
    beside = places_beside(options.extract, found.files)
    for place in beside:
        may_replace(place, (options.report,), force=options.force)
    write_whole(options.extract, found.case_bytes)
    write_beside(beside)
    with_them = shared_texts.AND_WITH_IT.format(beside=", ".join(place.name for place in beside)) if beside else ""
    return command_texts.CARRIED_CASE_WAS_WRITTEN_TO.format(extract=options.extract, with_them=with_them)


def verification_json(path: Path, found: Verification) -> JsonObject:
    """The object that ``verify --json`` prints."""
    author = found.author
    return {
        "path": str(path),
        "sha256": found.sha256,
        "outcome": found.outcome.name.lower(),
        "state": found.state.value,
        "exit_code": EXIT_CODES[found.state.value],
        "signed": found.signed,
        "intact": found.intact,
        "covers_whole_file": found.covers_whole_file,
        "signer": None if author is None else author.signer,
        "signed_at": None if author is None or author.signed_at is None else author.signed_at.isoformat(),
        "case_sha256": found.case_sha256,
        "files": [{"name": name, "sha256": hashlib.sha256(data).hexdigest()} for name, data in found.files],
        "problem": found.problem or None,
        "summary": list(found.summary),
        "timestamps": [
            {
                "at": one.stamp.when.isoformat(),
                "authority": one.stamp.authority,
                "damaged": one.stamp.damaged,
                "trusted": one.stamp.trusted,
                "covers_whole_file": one.last,
            }
            for one in found.seals
        ],
        "signatures": [_signature_json(one) for one in found.signatures],
    }


def _signature_json(one: SignatureFinding) -> JsonObject:
    known = one.known
    return {
        "field": one.field,
        "signer": one.signer,
        "credential": one.credential,
        "self_issued": one.self_issued,
        "fingerprint": one.fingerprint,
        "signed_at": None if one.signed_at is None else one.signed_at.isoformat(),
        "time_attested": one.time_attested.as_bool,
        "level": one.level or None,
        "known_since": None if known is None or known.another else known.since.isoformat(),
        "known_as": None if known is None or known.another else known.name,
        "later_changes": one.later_changes or None,
        "notes": list(one.notes),
    }
