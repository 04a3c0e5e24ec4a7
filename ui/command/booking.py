"""The job book on the command line."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from engcalc.errors import InputError, InputFault

if TYPE_CHECKING:
    from collections.abc import Sequence

    from engcalc.causes.counted_rates import CountedRates
    from engcalc.causes.outcomes import Outcome
    from engcalc.diagnosis.odds.honesty import Honesty
    from engcalc.vehicle.earlier import EarlierVisit, LeftOpen, SpotRead
    from reports.shop_papers import WrittenPaper
    from reports.signed_files import FileSigner
    from ui.book.jobs import Added, JobLine
    from ui.book.reports import AddedReport
    from ui.command.answer import Answer, JsonObject


# ---- keeping and finding --------------------------------------------------------------------------------------------


def add_command(options: argparse.Namespace) -> Answer:
    """``book BOOK add``: keep cases and reports. InputError with what is wrong with which; the others are kept."""
    from ui.book.copies import opened_for_change
    from ui.book.jobs import add_case
    from ui.book.reports import REPORT_SUFFIX, add_report, add_report_beside
    from ui.book.told import added_lines, report_lines

    found: list[JsonObject] = []
    lines: list[str] = []
    faults: list[InputFault] = []
    with opened_for_change(options.book, make=True) as book:
        for path in options.files:
            try:
                if path.suffix.lower() == REPORT_SUFFIX:
                    report = add_report(book, path, options.job)
                    found.append(_report_json(report))
                    lines += report_lines(report)
                else:
                    added = add_case(book, path, options.job)
                    found.append(_added_json(added))
                    lines += added_lines(added)
                    beside = add_report_beside(book, path, added.job)
                    if beside is not None:
                        found.append(_report_json(beside))
                        lines += report_lines(beside)
            except InputError as error:
                faults += [InputFault(f.path or str(path), f.given, f.wanted) for f in error.faults]
    if faults:
        raise InputError(tuple(faults))
    return {"kept": found}, lines


def _added_json(added: Added) -> JsonObject:
    return {
        "name": added.name,
        "job": added.job,
        "new_job": added.new_job,
        "new_case": added.new_case,
        "missing": list(added.missing),
        "vin": added.vin,
        "vin_state": added.vin_state.value,
    }


def _report_json(report: AddedReport) -> JsonObject:
    return {"name": report.name, "job": report.job, "outcome": report.verified.outcome.name.lower()}


def find_command(options: argparse.Namespace) -> Answer:
    """``book BOOK find``: jobs by any of their words, the newest first."""
    from engcalc.words.workshop.book_words import NONE_FOUND
    from ui.book.jobs import find_jobs
    from ui.book.store import Book
    from ui.book.told import job_line

    with Book.open(options.book) as book:
        found = find_jobs(book, " ".join(options.words), open_only=options.open, limit=options.limit)
    lines = [job_line(line) for line in found] or [NONE_FOUND]
    return {"jobs": [_line_json(line) for line in found]}, lines


def _line_json(line: JobLine) -> JsonObject:
    return {
        "job": line.job,
        "date": line.day,
        "state": line.state,
        "customer": line.customer,
        "vehicle": line.vehicle,
        "registration": line.registration,
        "complaint": line.complaint,
        "work_order": line.work_order,
    }


def show_command(options: argparse.Namespace) -> Answer:
    """``book BOOK show``: everything of one job, its reports verified anew; ``--case`` writes its newest case."""
    from engcalc.case.file import write_whole
    from engcalc.case.vin import vin_state
    from ui.book.jobs import newest_case_bytes, show_job
    from ui.book.reports import open_report
    from ui.book.store import Book
    from ui.book.told import page_lines

    with Book.open(options.book) as book:
        page = show_job(book, options.job)
        verified = {f.file: open_report(book, f.file)[1] for f in page.files if f.kind == "report"}
        if options.case is not None:
            write_whole(options.case, newest_case_bytes(book.connection, options.job), fresh=True)
    found: JsonObject = {
        **_line_json(page.line),
        "vin": page.vin,
        "vin_state": vin_state(page.vin).value,
        "reason": page.reason,
        "class": page.vehicle_class,
        "cases": [{"name": c.name, "sha256": c.sha256, "kept_at": c.kept_at} for c in page.cases],
        "files": [
            {
                "kind": f.kind,
                "name": f.name,
                "sha256": f.sha256,
                "size_bytes": f.size,
                "verified": verified[f.file].outcome.name.lower() if f.file in verified else None,
            }
            for f in page.files
        ],
        "outcomes": [_outcome_json(outcome) for outcome in page.outcomes],
        "other_jobs": list(page.others),
    }
    return found, page_lines(page, verified)


def history_command(options: argparse.Namespace) -> Answer:
    """``book BOOK history``: the visits of one vehicle, with what was measured each time."""
    from engcalc.units import ZERO_CELSIUS
    from engcalc.words.diagnosis.history_words import history_lines
    from ui.book.history import visits_of_vehicle
    from ui.book.store import Book
    from ui.command.named_case import SYSTEMS

    with Book.open(options.book) as book:
        visits = visits_of_vehicle(book, options.job, fits=not options.as_measured)
    found: JsonObject = {
        "visits": [
            {
                "job": visit.job,
                "date": visit.day,
                "runs": [
                    {
                        "record": run.record,
                        "start_degC": run.start - ZERO_CELSIUS,
                        "ambient_degC": run.ambient - ZERO_CELSIUS,
                        "time_to_s": {f"{x - ZERO_CELSIUS:.0f} degC": t for x, t in run.time_to.items()},
                        "shut_valve_passes": _left_open_json(run.left_open),
                    }
                    for run in visit.runs
                ],
                "readings": [_spot_json(spot) for spot in visit.spots],
                "outcome": None if visit.outcome is None else _outcome_json(visit.outcome),
                "not_read": visit.unread or None,
            }
            for visit in visits
        ],
        "drift": _drift_json(visits),
    }
    return found, history_lines(visits, SYSTEMS[options.units])


def _left_open_json(found: LeftOpen | None) -> JsonObject | None:
    """What the valve leaves open when shut, of full opening: 5, 50 and 95 %; None where it was not fitted."""
    return None if found is None else {"low": found.low, "median": found.middle, "high": found.high}


def _drift_json(visits: Sequence[EarlierVisit]) -> JsonObject:
    """From the first run to the last: how much longer it takes, and whether more passes the shut valve."""
    from engcalc.units import ZERO_CELSIUS
    from engcalc.vehicle.earlier import opening_drift, time_drift

    time, opening = time_drift(visits), opening_drift(visits)
    return {
        "longer_s": None if time is None else time.longer,
        "to_degC": None if time is None else time.goal - ZERO_CELSIUS,
        "shut_valve_passes_more_probability": None if opening is None else opening.more,
    }


def _spot_json(spot: SpotRead) -> JsonObject:
    """One reading by hand; what was read in words has no number."""
    from engcalc.units import ZERO_CELSIUS

    key, off = {"temperature": ("value_degC", ZERO_CELSIUS), "gauge pressure": ("value_Pa", 0.0)}.get(
        spot.kind, ("value", 0.0)
    )
    value = None if spot.word else spot.value - off
    return {"record": spot.record, "what": spot.what, key: value, "word": spot.word or None, "at_s": spot.at}


def _outcome_json(outcome: Outcome) -> JsonObject:
    return {
        "cause": outcome.cause,
        "confirmed": outcome.confirmed,
        "replaced": outcome.replaced,
        "cured": outcome.cured,
        "counts": outcome.counts,
    }


# ---- folders, backups, deletion -------------------------------------------------------------------------------------


def import_command(options: argparse.Namespace) -> Answer:
    """``book BOOK import``: every case, report and log of a folder; what cannot be read is told and stops nothing."""
    from ui.book.copies import opened_for_change
    from ui.book.folders import import_folder
    from ui.book.told import imported_lines

    with opened_for_change(options.book, make=True) as book:
        done = import_folder(book, options.folder)
    found: JsonObject = {
        "cases": [_added_json(added) for added in done.cases],
        "reports": [_report_json(report) for report in done.reports],
        "logs_without_a_job": list(done.loose_logs),
        "not_kept": [{"path": path, "why": why} for path, why in done.refused],
    }
    return found, imported_lines(done)


def export_command(options: argparse.Namespace) -> Answer:
    """``book BOOK export``: the whole book as files in a new folder."""
    from ui.book.folders import export_folder
    from ui.book.store import Book
    from ui.book.told import exported_lines

    with Book.open(options.book) as book:
        done = export_folder(book, options.folder)
    found: JsonObject = {
        "folder": str(options.folder),
        "jobs": done.jobs,
        "files": done.files,
        "renamed": list(done.renamed),
    }
    return found, exported_lines(options.folder, done)


def backup_command(options: argparse.Namespace) -> Answer:
    """``book BOOK backup``: a whole copy in one file."""
    from engcalc.words.workshop.book_words import backup_sentence
    from ui.book.copies import write_backup
    from ui.book.store import Book

    with Book.open(options.book) as book:
        write_backup(book, options.file)
    return {"path": str(options.file)}, [backup_sentence(str(options.file))]


def restore_command(options: argparse.Namespace) -> Answer:
    """``book BOOK restore``: a backup in the book's place; what was there is kept under another name."""
    from engcalc.words.workshop.book_words import restored_lines
    from ui.book.copies import restore
    from ui.book.store import Book

    aside = restore(options.file, options.book)
    with Book.open(options.book):  # a backup of an older program is brought to the newest version
        pass
    moved = None if aside is None else str(aside)
    return {"path": str(options.book), "replaced": moved}, restored_lines(str(options.book), str(options.file), moved)


def forget_command(options: argparse.Namespace) -> Answer:
    """``book BOOK forget``: a customer taken out, with everything that is theirs."""
    from ui.book.forgetting import forget
    from ui.book.store import Book
    from ui.book.told import forgotten_lines

    with Book.open(options.book) as book:
        gone = forget(book, options.customer, options.keep_reports or "")
    found: JsonObject = {
        "customer": gone.name,
        "jobs": gone.jobs,
        "cases": gone.cases,
        "files": gone.files,
        "outcomes": gone.outcomes,
        "vehicles": gone.vehicles,
        "kept_reports": gone.kept_reports,
        "daily_backups": gone.backups,
    }
    return found, forgotten_lines(gone, options.keep_reports or "")


# ---- outcomes, rates, honesty ---------------------------------------------------------------------------------------


def outcome_command(options: argparse.Namespace) -> Answer:
    """``book BOOK outcome``: how a job ended. InputError with every fault."""
    from engcalc.causes.outcomes import checked_outcome
    from engcalc.words.workshop.book_words import outcome_sentence, state_sentence
    from ui.book.copies import opened_for_change
    from ui.book.jobs import record_outcome

    outcome = checked_outcome(options.cause, options.confirmed, options.replaced, options.cured)
    with opened_for_change(options.book) as book:
        state = record_outcome(book, options.job, outcome)
    found: JsonObject = {"job": options.job, "state": state, **_outcome_json(outcome)}
    return found, [f"{state_sentence(options.job, state)} {outcome_sentence(outcome)}"]


def rates_command(options: argparse.Namespace) -> Answer:
    """``book BOOK rates``: the workshop's own base rates by reason, beside the shipped ones."""
    from engcalc.causes.counted_rates import counted_rates
    from engcalc.causes.record import RARE
    from ui.book.claims import counted_jobs
    from ui.book.store import Book
    from ui.book.told import own_rates_lines

    with Book.open(options.book) as book:
        jobs = counted_jobs(book)
    reasons = [options.reason] if options.reason else list(RARE)
    class_ = options.vehicle_class or ""
    every = [counted_rates(jobs, reason, class_) for reason in reasons]
    return {"rates": [_rates_json(rates) for rates in every]}, own_rates_lines(jobs, reasons, class_)


def _rates_json(rates: CountedRates) -> JsonObject:
    from engcalc.causes.counted_rates import shipped_rates

    return {
        "reason": rates.reason,
        "class": rates.vehicle_class or None,
        "jobs": rates.jobs,
        "jobs_of_class": rates.of_class,
        "jobs_of_others": rates.outside,
        "weight": rates.weight,
        "counts": dict(rates.counts),
        "rates": dict(rates.rates),
        "shipped": shipped_rates(rates.reason),
    }


def honesty_command(options: argparse.Namespace) -> Answer:
    """``book BOOK honesty``: how many of the claims came true on the workshop's own jobs."""
    from engcalc.diagnosis.odds.honesty import honesty
    from engcalc.words.workshop.book_words import honesty_lines, paper_sentence
    from ui.book.claims import claims_with_truth, outcomes_entered
    from ui.book.store import Book

    with Book.open(options.book) as book:
        found = honesty(claims_with_truth(book))
        entered, counting = outcomes_entered(book)
    answer, lines = _honesty_json(found, entered, counting), honesty_lines(found, entered, counting)
    if options.output is not None:
        written = _honesty_paper(options, found, (entered, counting))
        answer["paper"] = {"path": str(written.path), "sha256": written.sha256, "signed": written.signed}
        lines += ["", paper_sentence(str(written.path), written.report_id, written.signed)]
    return answer, lines


def _honesty_paper(options: argparse.Namespace, found: Honesty, counts: tuple[int, int]) -> WrittenPaper:
    """Write the page as PDF; signed where an identity is given."""
    from reports.identity import load_identity
    from reports.shop_papers import write_honesty
    from ui.command.outputs import may_replace
    from ui.command.passwords import password_for
    from ui.trusting import now

    may_replace(options.output, (options.book, options.identity), force=options.force, drafts=True)
    identity = None if options.identity is None else load_identity(options.identity, password_for(options.identity))
    return write_honesty(found, counts, options.output, now=now(), identity=identity)


def _honesty_json(found: Honesty, entered: int, counting: int) -> JsonObject:
    return {
        "outcomes": entered,
        "confirmed": counting,
        "claims": found.claims,
        "came_true": found.true,
        "claimed": found.claimed,
        "interval": list(found.interval),
        "few": found.few,
        "log_score": found.score,
        "log_score_shipped": found.shipped_score,
        "gain": found.gain,
        "gain_error": found.gain_error,
        "bands": [
            {
                "low": band.low,
                "high": band.high,
                "claims": band.claims,
                "came_true": band.true,
                "claimed": band.claimed,
                "interval": list(band.interval),
                "agrees": band.agrees,
            }
            for band in found.bands
        ],
        "misses": [
            {
                "job": miss.job,
                "named": miss.named,
                "probability": miss.probability,
                "truth": miss.truth,
                "truth_probability": miss.truth_probability,
            }
            for miss in found.misses
        ],
    }


def give_command(options: argparse.Namespace) -> Answer:
    """``book BOOK give``: the confirmed outcomes, anonymised, in an open file; signed where an identity is given."""
    from engcalc.words.workshop.book_words import file_signed_sentence, given_lines
    from reports.identity import load_identity
    from reports.signed_files import sign_file
    from ui.book.sharing import write_outcomes
    from ui.book.store import Book
    from ui.command.passwords import password_for
    from ui.trusting import end_told, now

    identity = None if options.identity is None else load_identity(options.identity, password_for(options.identity))
    with Book.open(options.book) as book:
        count = write_outcomes(book, options.file)
    answer: JsonObject = {"path": str(options.file), "outcomes": count, "signature": None}
    lines = given_lines(str(options.file), count)
    if identity is not None:
        place = sign_file(options.file, identity, now())
        answer["signature"] = str(place)
        lines.append(file_signed_sentence(str(place), identity.name, end_told(identity.not_after, now())))
    return answer, lines


def take_command(options: argparse.Namespace) -> Answer:
    """``book BOOK take``: outcomes of another workshop, with their source and weight, and who signed them."""
    from ui.book.copies import opened_for_change
    from ui.book.sharing import read_outcomes
    from ui.book.told import taken_lines

    with opened_for_change(options.book) as book:
        done = read_outcomes(book, options.file, options.source, options.weight)
    by = done.signer
    found: JsonObject = {
        "new": done.new,
        "known": done.known,
        "not_taken": [{"line": number, "why": why} for number, why in done.refused],
        "signed_by": None if by is None else {"name": by.name, "fingerprint": by.fingerprint, "known": _is_known(by)},
    }
    return found, taken_lines(done, options.source, options.weight)


def _is_known(by: FileSigner) -> bool:
    """Whether the signer's own key is on this user's list, and not only the name."""
    return by.known is not None and not by.known.another
