"""Reports and identities on the command line."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from engcalc.case.file import read_case
from engcalc.errors import InputError, InputFault
from engcalc.words.texts import command_texts
from ui.command.named_case import SYSTEMS, folder_of, resolved
from ui.command.outputs import may_replace
from ui.command.passwords import password_for
from ui.command.progress import tell_progress
from ui.trusting import end_told, known_to_user, now

if TYPE_CHECKING:
    from collections.abc import Mapping

    from engcalc.case.case import Case
    from engcalc.diagnosis.odds.diagnosis import Diagnosis
    from engcalc.logs.record import LogRecord
    from reports.identity import Identity
    from reports.kinds import ReportKind
    from reports.lasting import Timestamping
    from ui.command.answer import Answer, JsonObject


def report_command(options: argparse.Namespace) -> Answer:
    """``heatdocket report``: build, sign when an identity is given, write in one step."""
    from engcalc.diagnosis.whole_check import check_with_records
    from engcalc.vehicle.run import read_logs
    from reports.build import Options, export_report
    from reports.identity import load_identity
    from reports.kinds import Annex, ReportKind, kind_for, usual_annex
    from reports.letterhead import read_letterhead
    from reports.recorded import compared_parts, recorded, sought_core

    inputs = (options.case, options.identity, options.letterhead)
    may_replace(options.output, inputs, force=options.force, drafts=True)
    text = read_case(options.case)
    case = resolved(text, options.case)
    kind = kind_for(case) if options.kind is None else ReportKind(options.kind)
    annex = usual_annex(kind) if options.annex is None else Annex[options.annex.upper()]
    letterhead = None if options.letterhead is None else read_letterhead(options.letterhead)
    identity = None if options.identity is None else load_identity(options.identity, password_for(options.identity))
    folder = folder_of(options.case)
    logs = read_logs(case, folder)
    check = check_with_records(case, logs).check
    written = export_report(
        check,
        text,
        kind,
        options.output,
        now=now(),
        identity=identity,
        options=Options(
            SYSTEMS[options.units],
            options.anonymised,
            folder,
            recorded(case, logs),
            _causes(options, case, logs, kind),
            annex,
            letterhead,
            sought_core(case, text, kind),
            compared_parts(case, text, kind, folder),
            stamping=_stamping(options, identity),
        ),
    )
    found: JsonObject = {
        "path": str(written.path),
        "sha256": written.sha256,
        "report_id": written.report_id,
        "signed": written.signed,
        "case_sha256": written.case_sha256,
        "kind": kind.value,
        "annex": annex.word,
    }
    signed = command_texts.DRAFT_IT_IS_NOT_SIGNED if identity is None else f"signed by {identity.name}"
    return found, [
        f"{written.path}: {kind.value} report {written.report_id} written, {signed}.",
        f"SHA-256 {written.sha256}",
        *([] if identity is None else end_told(identity.not_after, now())),
    ]


def _stamping(options: argparse.Namespace, identity: Identity | None) -> Timestamping | None:
    """The clock of the server that is named, if one is; the network is not touched else."""
    from reports.lasting import Lasting, named_clock

    if options.timestamp_server is None:
        if options.lasting is not None:
            raise InputError(
                (InputFault("--lasting", options.lasting, command_texts.NAME_A_SERVER_WITH_TIMESTAMP_SERVER_TOO),)
            )
        return None
    if identity is None:
        wanted = command_texts.ONLY_WHAT_IS_SIGNED_IS_STAMPED
        raise InputError((InputFault("--timestamp-server", options.timestamp_server[:200], wanted),))
    lasting = Lasting(options.lasting or Lasting.TIME.value)
    return named_clock(options.timestamp_server, lasting, identity, known_to_user().roots)


def _causes(
    options: argparse.Namespace, case: Case, logs: Mapping[str, LogRecord], kind: ReportKind
) -> Diagnosis | None:
    """The causes: where they were asked for, and of a complaint unless they were not wanted."""
    from engcalc.diagnosis.members.two_processes import TwoProcesses
    from engcalc.diagnosis.odds.diagnosis import diagnose
    from reports.recorded import has_causes
    from ui.command.diagnosing import own_history_in, own_rates_in

    wanted = has_causes(case, kind) if options.causes is None else options.causes
    if not wanted:
        return None
    with TwoProcesses() as both:
        return diagnose(
            case,
            logs,
            record=options.record,
            instead=None if options.book is None else own_rates_in(options.book, case),
            own=own_history_in(options, both.simulate).history,
            progress=None if options.json else tell_progress,
            runner=both.simulate,
        )
