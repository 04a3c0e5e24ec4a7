"""The check on the command line."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from engcalc.words.texts import command_texts
from ui.command.named_case import case_and_system, folder_of, resolved

if TYPE_CHECKING:
    from collections.abc import Sequence

    from engcalc.case.case import Case
    from engcalc.studies.checked import Check
    from engcalc.units import UnitSystem
    from engcalc.vehicle.warmup_study import RecordStudy
    from engcalc.words.answer.reasons import Reason
    from ui.command.answer import Answer


def check_command(options: argparse.Namespace) -> Answer:
    """``heatdocket check``: the conclusion on this vehicle, then under their own heading its duties.

    The warm-up stands with it where a schedule, typed pairs or a log are there. Raises NoSolutionError when no duty has
    a solution.
    """
    from engcalc.diagnosis.whole_check import check_with_records
    from engcalc.errors import NoSolutionError
    from engcalc.system.state import Status
    from engcalc.vehicle.run import read_logs
    from engcalc.words.answer.reasons import reasons
    from engcalc.words.diagnosis.codes import code_sentences
    from ui.command.as_json import check_json
    from ui.command.uncertain import spread_json, spread_lines, spreads_of
    from ui.command.warming import record_json

    case, system = _case_with_more_duties(options)
    whole = check_with_records(case, read_logs(case, folder_of(options.case)))
    found, records = whole.check, whole.records
    answer = check_json(found, system)
    answer["warmup"] = {record.name: record_json(record, system) for record in records}
    if found.duties and not any(duty.status is Status.SOLVED or duty.peak is not None for duty in found.duties):
        why = " ".join(reason.text for reason in reasons(found, system))
        raise NoSolutionError(command_texts.NO_DUTY_HAS_A_STEADY_STATE_BECAUSE.format(why=why), answer)
    answer["codes"] = list(code_sentences(found.case))
    lines = check_lines(found, records, system)
    if options.uncertainty:
        spreads = spreads_of(found.case)
        answer["uncertainty"] = [spread_json(one) for one in spreads]
        lines += spread_lines(spreads, system)
    return answer, lines


def _case_with_more_duties(options: argparse.Namespace) -> tuple[Case, UnitSystem]:
    """The case, with the usual duties and the lap that were named, written where asked for. Raises InputError."""
    from engcalc.case.file import case_bytes, read_case, write_whole
    from engcalc.errors import InputError, InputFault
    from engcalc.studies.duties.lap_file import read_lap, with_lap
    from engcalc.studies.duties.ready_duties import with_ready

    case, system = case_and_system(options)
    if options.lap is None and not options.add:
        if options.write is not None:
            wanted = command_texts.LAP_WITH_A_FILE_OF_A_LAP
            raise InputError((InputFault("--write", str(options.write), wanted),))
        return case, system
    text = read_case(options.case)
    for word in options.add or ():
        text = with_ready(text, case, word)
    if options.lap is not None:
        text = with_lap(text, resolved(text, options.case), read_lap(options.lap), options.lap.stem)
    changed = resolved(text, options.case)
    if options.write is not None:
        write_whole(options.write, case_bytes(text), fresh=True)
    return changed, system


def check_lines(found: Check, records: Sequence[RecordStudy], system: UnitSystem) -> list[str]:
    """A check for a person: the conclusion with its next step, what else is known of the vehicle, then the duties."""
    from engcalc.words.answer.answer import class_heading, headline
    from engcalc.words.answer.warmup_words import TITLES, warmup_sentences
    from engcalc.words.diagnosis.codes import code_sentences
    from engcalc.words.lesson.bench_words import bench_tables
    from ui.command.rigs import table_lines

    codes = code_sentences(found.case)
    tables = () if found.bench is None else bench_tables(found.bench, system)
    notes = [f"note: {warning}" for warning in found.case.warnings]
    lines = [headline(found, system), *_what_was_done(found), *_what_is_next(found), *notes]
    of_duties = _of_the_duties(found, system)
    if not class_heading(found):
        lines += of_duties
    lines += _of_this_vehicle(found, system, lines)
    for table in tables:
        lines += ["", *table_lines(table)]
    for record in records:
        lines += ["", f"Warm-up, {TITLES[record.name].lower()}:"]
        lines += [f"- {text}" for text in warmup_sentences(record, system)]
    lines += ["", *(f"- {text}" for text in codes)] if codes else []
    if class_heading(found):
        lines += of_duties
    return lines


def _what_was_done(found: Check) -> list[str]:
    """The repair, of a vehicle on which something was read or seen since."""
    from engcalc.words.page.paper_words import DONE

    done = (found.case.job.work_done or "").strip()
    return [f"{DONE}: {done}"] if done and found.case.evidence.after is not None else []


def _what_is_next(found: Check) -> list[str]:
    """The next check, where it follows without any odds, and what to mind."""
    from engcalc.words.answer.answer import cautions_with_answer, next_words

    text = next_words(found)
    return [*([f"Next: {text}"] if text else []), *(f"  ! {caution}" for caution in cautions_with_answer(found))]


def _of_this_vehicle(found: Check, system: UnitSystem, said: Sequence[str]) -> list[str]:
    """Whatever else was found on the vehicle in front of us, and of the case as a whole."""
    from engcalc.words.answer.reasons import of_the_class, reasons

    own = [reason for reason in reasons(found, system) if not of_the_class(reason, found)]
    return _reasons_as_list(own, found, said)


def _of_the_duties(found: Check, system: UnitSystem) -> list[str]:
    """What such a vehicle would do in its duties, under its own heading where a vehicle was judged; nothing of a bench
    on which nothing stands yet."""
    from engcalc.words.answer.answer import capacity_sentence, class_heading
    from engcalc.words.answer.reasons import duty_sentence, is_empty_lesson, of_the_class, reasons
    from engcalc.words.sizing.cooler_words import COOLERS, cooler_sentences
    from engcalc.words.sizing.sizing_words import cycle_sentences

    if is_empty_lesson(found):
        return []
    head = class_heading(found)
    capacity = capacity_sentence(found, system) if head else ""
    under = [capacity] if capacity else [f"{head}:"] if head else []
    duties = [said for duty in found.duties if (said := duty_sentence(duty, system)) not in capacity]
    own = [reason for reason in reasons(found, system) if of_the_class(reason, found)]
    lines = ["", *under, *duties]
    lines += _reasons_as_list(own, found, lines)
    for duty in found.duties:
        coolers = cooler_sentences(duty, system)
        lines += ["", f"{duty.name}, {COOLERS.lower()}:", *(f"- {said}" for said in coolers)] if coolers else []
    for course in found.courses:
        lines += ["", *cycle_sentences(course, system)]
    return _set_apart(lines, head) if head else lines


def _set_apart(lines: Sequence[str], head: str) -> list[str]:
    """What belongs under a heading, further in than what is said of the vehicle itself."""
    return [f"  {line}" if line and not line.startswith(head) else line for line in lines]


def _reasons_as_list(found: Sequence[Reason], check: Check, said: Sequence[str]) -> list[str]:
    """Reasons as a list, each sentence once; a warm-up has lines of its own elsewhere."""
    from engcalc.verdict import FindingCode
    from engcalc.words.terms.gathering import gathered

    rest = [reason for reason in found if reason.code != FindingCode.WARM_UP.value and not reason.in_answer]
    told = gathered(rest, [duty.name for duty in check.duties])
    above = " ".join(said)
    lines = [f"- {reason.text}" for reason in told if reason.text not in above]
    return ["", *lines] if lines else []
