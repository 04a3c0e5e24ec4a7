"""Verifying and countersigning reports on the command line.

``verify`` ends with 0 for an intact report only, so that a script may rely on it.
"""

from __future__ import annotations

import argparse
import hashlib
from pathlib import Path
from typing import TYPE_CHECKING

from engcalc.case.file import read_whole, write_whole
from engcalc.errors import InputError, InputFault
from ui.carrying import places_beside, write_beside
from ui.command.outputs import may_replace
from ui.command.papers import now, password_for

if TYPE_CHECKING:
    from reports.verification import SignatureFinding, Verification
    from ui.command.answer import Answer, JsonObject

EXIT_CODES = {"intact": 0, "not examined": 2, "broken": 4, "unsigned": 5, "added to": 5}
"""How ``verify`` ends, by what the file turned out to be; 1 and 3 mean what they mean everywhere."""


def countersign_command(options: argparse.Namespace) -> Answer:
    """``heatdocket countersign``: a reviewer's signature in the field made for it; the author's stays as it is."""
    from reports.identity import load_identity
    from reports.signing import countersign_file
    from reports.verifying import LARGEST_FILE, verify_report

    may_replace(options.output, (options.report, options.identity), force=options.force)
    identity = load_identity(options.identity, password_for(options.identity))
    countersign_file(options.report, options.output, identity, now())
    verified = verify_report(read_whole(options.output, "a report", LARGEST_FILE))
    return verification_json(options.output, verified), [
        f"{options.output}: countersigned by {identity.name}.",
        *verified.summary,
    ]


def verify_command(options: argparse.Namespace) -> Answer:
    """``heatdocket verify``: who signed, whether intact, and the case that the report carries."""
    from reports.verifying import LARGEST_FILE, verify_report

    verified = verify_report(read_whole(options.report, "a report", LARGEST_FILE), now=now())
    lines = list(verified.summary)
    if options.extract is not None:
        lines.append(_extracted(options, verified))
    return verification_json(options.report, verified), lines


def _extracted(options: argparse.Namespace, verified: Verification) -> str:
    """Write the carried case; what was done, or why not, in words. Raises InputError where there is no case."""
    from reports.verification import FoundState

    if verified.case_bytes is None:
        raise InputError((InputFault("", str(options.report), "this file carries no case to extract"),))
    if verified.state is not FoundState.INTACT and not options.anyway:
        return f"The carried case was not written: the report is {verified.state.value}. Add --anyway to write it."
    may_replace(options.extract, (options.report,), force=options.force)
    beside = places_beside(options.extract, verified.files)
    for place in beside:
        may_replace(place, (options.report,), force=options.force)
    write_whole(options.extract, verified.case_bytes)
    write_beside(beside)
    with_them = f", and with it {', '.join(place.name for place in beside)}" if beside else ""
    return f"The carried case was written to {options.extract}{with_them}."


def verification_json(path: Path, verified: Verification) -> JsonObject:
    """The object that ``verify --json`` prints."""
    author = verified.author
    return {
        "path": str(path),
        "sha256": verified.sha256,
        "outcome": verified.outcome.name.lower(),
        "state": verified.state.value,
        "exit_code": EXIT_CODES[verified.state.value],
        "signed": verified.signed,
        "intact": verified.intact,
        "covers_whole_file": verified.covers_whole_file,
        "signer": None if author is None else author.signer,
        "signed_at": None if author is None or author.signed_at is None else author.signed_at.isoformat(),
        "case_sha256": verified.case_sha256,
        "files": [{"name": name, "sha256": hashlib.sha256(data).hexdigest()} for name, data in verified.files],
        "problem": verified.problem or None,
        "summary": list(verified.summary),
        "signatures": [_signature_json(one) for one in verified.signatures],
    }


def _signature_json(one: SignatureFinding) -> JsonObject:
    return {
        "field": one.field,
        "signer": one.signer,
        "credential": one.credential,
        "self_issued": one.self_issued,
        "fingerprint": one.fingerprint,
        "signed_at": None if one.signed_at is None else one.signed_at.isoformat(),
        "time_attested": one.time_attested.as_bool,
        "later_changes": one.later_changes or None,
        "notes": list(one.notes),
    }
