"""The diagnosis on the command line."""

from __future__ import annotations

import argparse
import math
import sys
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from engcalc.units import ZERO_CELSIUS
from engcalc.words.texts import command_texts
from ui.command.named_case import engine_case_and_system, folder_of
from ui.command.progress import tell_progress

if TYPE_CHECKING:
    from collections.abc import Container, Mapping
    from pathlib import Path

    from engcalc.case.case import Case
    from engcalc.causes.base_rates import OtherRates
    from engcalc.diagnosis.grounds import VehicleState
    from engcalc.diagnosis.members.simulated import Runner
    from engcalc.diagnosis.odds.diagnosis import Diagnosis, EarlyOdds, EvidenceWeight, SeverityRange
    from engcalc.units import Array, UnitSystem
    from engcalc.vehicle.own_prior import OwnHistory
    from ui.command.answer import Answer, JsonObject


def diagnose_command(options: argparse.Namespace) -> Answer:
    """``heatdocket diagnose``: causes with odds, what carries them, the next check. Raises InputError.

    Odds that are there before the final ones go to standard error, a line each.
    """
    from engcalc.words.lesson.bench_words import NO_CAUSES

    case, system = engine_case_and_system(options, NO_CAUSES)
    from engcalc.case.case import with_values
    from engcalc.diagnosis.checks.found_causes import found_causes
    from engcalc.diagnosis.members.two_processes import TwoProcesses
    from engcalc.diagnosis.odds.diagnosis import diagnose
    from engcalc.diagnosis.settled import with_odds
    from engcalc.diagnosis.whole_check import check_with_records
    from engcalc.vehicle.run import latest_record, read_logs
    from engcalc.words.answer.answer import comes_before_odds, headline, speaks_of, state_told
    from engcalc.words.diagnosis.causes_told import diagnosis_lines, named_causes
    from engcalc.words.diagnosis.told_by_customer import too_hot_cautions
    from ui.command.as_json import conclusion_json

    if options.reason is not None:
        case = with_values(case, {"job.reason": options.reason})
    logs = read_logs(case, folder_of(options.case))
    early = partial(_tell_early, found_causes(case, options.record or latest_record(case)))
    with TwoProcesses() as both:
        expected = own_history_in(options, both.simulate)
        whole = both.beside(partial(check_with_records, case, logs))
        found = diagnose(
            case,
            logs,
            record=options.record,
            base_rates=_rates(options.rate),
            instead=None if options.book is None else own_rates_in(options.book, case),
            own=expected.history,
            seed=options.seed,
            pairs=options.pairs,
            progress=None if options.json else tell_progress,
            early=early,
            runner=both.simulate,
        )
        read = whole().check  # its readings count: those after a repair overtake what was found
    checked = with_odds(read, found.record, found.causes)
    first = comes_before_odds(checked, found.record)
    state = state_told(checked, found.record)
    answer = diagnosis_json(found, system, state, after_another=first is not None)
    conclusion = conclusion_json(checked, system, [cause.fault for cause in named_causes(found)])
    answer["conclusion"] = conclusion
    of_the_same = speaks_of(checked, found.record)
    if first is not None:
        answer["next_check"] = conclusion["next_check"]
    elif of_the_same:
        conclusion["next_check"] = answer["next_check"]
    held = [f"  Caution: {text}" for text in too_hot_cautions(case)]
    said = [headline(checked, system), *held, ""] if of_the_same else []
    notes = [f"note: {warning}" for warning in case.warnings]
    lines = [*notes, *said, *diagnosis_lines(found, system, first, state), *expected.lines]
    answer["own_history_not_used"] = expected.why
    answer["warnings"] = list(case.warnings)
    if options.book is not None:
        answer["kept_with_job"], told = _kept(options, found)
        lines += ["", told]
    return answer, lines


def own_rates_in(path: Path, case: Case) -> OtherRates:
    """The base rates of a job book for the reason and class of a case. FileFault when it is no job book."""
    from ui.book.claims import own_rates_of
    from ui.book.store import Book

    with Book.open(path) as book:
        return own_rates_of(book, case)


@dataclass(frozen=True)
class Expected:
    """What of the vehicle's own history counts, and why none does where somebody might expect it."""

    history: OwnHistory | None = None
    why: str | None = None
    lines: tuple[str, ...] = ()


def own_history_in(options: argparse.Namespace, runner: Runner) -> Expected:
    """The vehicle's own history in the job book that is named, unless it was switched off. FileFault, InputError."""
    if options.book is None or options.without_history:
        return Expected()
    from engcalc.case.file import read_case
    from engcalc.words.diagnosis.own_history_words import FITTING_HISTORY, not_used_words
    from ui.book.claims import job_of_case
    from ui.book.own_history import FITTED, HistoryNotUsed, earlier_record
    from ui.book.store import Book

    with Book.open(options.book) as book:
        job = job_of_case(book, options.case.read_bytes())
        found = earlier_record(book, read_case(options.case), job)
    told = None if options.json else lambda share, words: tell_progress(share, f"{FITTING_HISTORY}{words}")
    used = found if isinstance(found, HistoryNotUsed) else FITTED.of(found, progress=told, runner=runner)
    if isinstance(used, HistoryNotUsed):
        why = not_used_words(used.why, used.job, used.day)
        return Expected(None, why, (why,))
    return Expected(used)


def own_history_json(found: Diagnosis) -> JsonObject | None:
    """What is expected of this very vehicle: where that is from, and by how much it is narrower than its class."""
    own = found.own
    if own is None or found.kept is None:
        return None
    from engcalc.words.diagnosis.own_history_words import moved_words

    problem = found.kept.problem
    side = problem.layouts[0].thermostat.side
    narrowest = own.prior.narrowest(problem.unknowns, side)
    return {
        "job": own.job,
        "date": own.day,
        "record": own.record,
        "healthy_probability": own.healthy,
        "changed_share_of_variance": own.prior.changed,
        "narrower_by_bits": own.prior.bits(problem.unknowns, side),
        "narrowest": None if narrowest is None else {"unknown": narrowest[0].key, "spread_of_class": narrowest[1]},
        "odds_by_class": dict(found.by_class),
        "moved": moved_words(found),
    }


def _kept(options: argparse.Namespace, found: Diagnosis) -> tuple[int | None, str]:
    """Keep the odds with the job of the case; its number, or None where they are not kept; a sentence of it."""
    from ui.book.claims import job_of_case, keep_diagnosis
    from ui.book.copies import opened_for_change

    with opened_for_change(options.book) as book:
        job = job_of_case(book, options.case.read_bytes())
        kept, said = keep_diagnosis(book, job, found)
    return (job if kept else None), said


def _rates(given: list[str] | None) -> Mapping[str, float] | None:
    """Base rates typed as CAUSE=PER CENT."""
    from engcalc.errors import InputError, InputFault

    if not given:
        return None
    rates: dict[str, float] = {}
    for text in given:
        key, _, value = text.partition("=")
        try:
            rates[key.strip()] = float(value)
        except ValueError:
            raise InputError(
                (InputFault("--rate", text, command_texts.SUCH_AS_THERMOSTAT_STUCK_OPEN_30_WOULD_DO),)
            ) from None
    return rates


def _tell_early(found: Container[str], odds: EarlyOdds) -> None:
    from engcalc.words.diagnosis.causes import early_line

    sys.stderr.write(("\r" if sys.stderr.isatty() else "") + early_line(odds, found) + "\n")
    sys.stderr.flush()


def diagnosis_json(
    found: Diagnosis, system: UnitSystem, state: VehicleState | None = None, *, after_another: bool = False
) -> JsonObject:
    """The object that ``diagnose --json`` prints. ``after_another``: a danger or a found fault asks for its own step
    before any check of the odds."""
    from engcalc.diagnosis.checks.hand_checks import CHECKS
    from engcalc.words.diagnosis.causes import (
        check_cautions,
        check_sentence,
        evidence_sentence,
        group_sentence,
        made_sentence,
    )
    from engcalc.words.diagnosis.causes_told import cause_line, known_causes, next_by_odds, part_checks

    checks: list[JsonObject] = [
        {
            "what": c.key,
            "information_bits": c.information_bits,
            "minutes": c.minutes,
            "first": c.first,
            "tools": CHECKS[c.key].tools,
            "text": check_sentence(c, found.case, after_another=after_another),
            "cautions": list(check_cautions(c.key, found.case)),
        }
        for c in found.next_checks
    ]
    parts: list[JsonObject] = [
        {
            "what": c.key,
            "part_of": list(c.part_of),
            "minutes": c.minutes,
            "tools": c.tools,
            "text": made_sentence(c, found.case),
            "cautions": list(check_cautions(c.key, found.case)),
            "goes_back_in": [*c.answers, *c.spots],
        }
        for c in part_checks(found)
    ]
    return {
        "causes": [
            {
                "fault": c.fault,
                "probability": c.probability,
                "severity": [_severity(s) for s in c.severity],
                "found": c in known_causes(found),
                "summary": cause_line(c, found, system, state),
                "error": c.error,
                "effective_samples": c.effective,
            }
            for c in found.causes
        ],
        "groups": [
            {"faults": list(g.faults), "probability": g.probability, "split_by": g.split_by, "text": group_sentence(g)}
            for g in found.groups
        ],
        "base_rates": {
            "reason": found.base_rates.reason,
            "basis": found.base_rates.basis,
            "repaired": found.base_rates.repaired,
            "rates": dict(found.base_rates.rates),
        },
        "own_history": own_history_json(found),
        "evidence": [{**_evidence(e), "text": evidence_sentence(e, found.best.fault, system)} for e in found.evidence],
        "runner_up": found.runner_up,
        "not_used": list(found.unused),
        "next_check": checks[0] if next_by_odds(found) is not None else None,
        "next_checks": checks,
        "part_checks": parts,
        "effective_samples": dict(found.effective_samples),
        "enough": found.enough,
        "members": found.members,
        "record": found.record,
        "source": found.source,
        "curves": [
            {
                "fault": c.fault,
                "time_s": c.time.tolist(),
                "low_degC": _celsius(c.low),
                "median_degC": _celsius(c.median),
                "high_degC": _celsius(c.high),
            }
            for c in found.curves
        ],
        "circuit": _circuit(found),
    }


def _circuit(found: Diagnosis) -> JsonObject | None:
    """Round the circuit at the record's end under the likeliest cause and in health; where the next check is made."""
    from engcalc.diagnosis.checks.circuit_places import place_of_cause, places_of_check
    from ui.command.as_json import circuit_json

    if found.course is None or found.healthy_course is None:
        return None
    end, check = float(found.course.time[-1]), found.next_check
    return {
        "at_s": end,
        "likeliest": circuit_json(found.course.at(end)),
        "healthy": circuit_json(found.healthy_course.at(end)),
        "cause_sits_at": place_of_cause(found.best.fault, found.case),
        "check_at": [] if check is None else list(places_of_check(check.key, found.case)),
    }


_UNITS = {
    "temperature": "degC",
    "temperature difference": "K",
    "seen": "probability",
    "fraction": "1",
    "gauge pressure": "Pa",
}


def _severity(severity: SeverityRange) -> JsonObject:
    return {
        "label": severity.label,
        "kind": severity.kind,
        "low": severity.low,
        "median": severity.median,
        "high": severity.high,
    }


def _evidence(item: EvidenceWeight) -> JsonObject:
    """One piece of evidence; temperatures in degC, else SI; things seen as 1, 0 or their probability."""
    numbers = (item.measured, item.expected_healthy, item.expected_best, *item.best_between)
    zero = ZERO_CELSIUS if item.kind == "temperature" else 0.0
    measured, healthy, best, low, high = (x - zero for x in numbers)
    return {
        "item": item.item,
        "what": item.what,
        "measured": measured,
        "expected_healthy": healthy,
        "expected_healthy_by_way": {way: x - zero for way, x in item.healthy_by_way},
        "expected_best": best,
        "best_low": low,
        "best_high": high,
        "units": _UNITS[item.kind],
        "weight": _finite(item.weight),
        "weight_to_healthy": _finite(item.weight_to_healthy),
    }


def _finite(x: float) -> float | None:
    return x if math.isfinite(x) else None


def _celsius(values: Array) -> list[float]:
    return [x - ZERO_CELSIUS for x in values.tolist()]
