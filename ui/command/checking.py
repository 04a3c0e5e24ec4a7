"""The check on the command line."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ui.command.named_case import case_and_system

if TYPE_CHECKING:
    from engcalc.studies.checked import Check
    from engcalc.units import UnitSystem
    from ui.command.answer import Answer


def check_command(options: argparse.Namespace) -> Answer:
    """``heatdocket check``: the verdict for every duty, and of the warm-up where a schedule, typed pairs or a log are
    there. Raises NoSolutionError when no duty has a solution."""
    from engcalc.diagnosis.whole_check import check_with_records
    from engcalc.errors import NoSolutionError
    from engcalc.system.state import Status
    from engcalc.vehicle.run import read_logs
    from engcalc.verdict import FindingCode
    from engcalc.words.answer import headline
    from engcalc.words.codes import code_sentences
    from engcalc.words.gathering import gathered
    from engcalc.words.reasons import duty_sentence, reasons
    from engcalc.words.sizing_words import cycle_sentences
    from engcalc.words.warmup_words import TITLES, warmup_sentences
    from ui.command.as_json import check_json
    from ui.command.warming import record_json

    case, system = case_and_system(options)
    whole = check_with_records(case, read_logs(case, options.case.parent))
    found, records = whole.check, whole.records
    answer = check_json(found, system)
    answer["warmup"] = {record.name: record_json(record, system) for record in records}
    if not any(duty.status is Status.SOLVED or duty.peak is not None for duty in found.duties):
        why = " ".join(reason.text for reason in reasons(found, system))
        raise NoSolutionError(f"No duty has a steady state. {why}", answer)
    lines = [headline(found, system), *_what_is_next(found), ""]
    lines += _duties_apart(found, system)
    lines += [duty_sentence(duty, system) for duty in found.duties]
    rest = [r for r in reasons(found, system) if r.code != FindingCode.WARM_UP.value]  # each has its own lines below
    told = gathered(rest, [duty.name for duty in found.duties])
    said = set(lines)
    lines += ["", *(f"- {reason.text}" for reason in told if reason.text not in said and reason.text not in lines[0])]
    for course in found.courses:
        lines += ["", *cycle_sentences(course, system)]
    for record in records:
        lines += ["", f"Warm-up, {TITLES[record.name].lower()}:"]
        lines += [f"- {text}" for text in warmup_sentences(record, system)]
    codes = code_sentences(found.case)
    answer["codes"] = list(codes)
    lines += ["", *(f"- {text}" for text in codes)] if codes else []
    lines += [f"note: {warning}" for warning in found.case.warnings]
    return answer, lines


def _what_is_next(found: Check) -> list[str]:
    """The next check with its cautions, where it follows without any odds."""
    from engcalc.diagnosis.conclusion import conclude
    from engcalc.words.answer import says_what_is_next
    from engcalc.words.conclusion_words import next_step_of

    conclusion = conclude(found)
    step = next_step_of(conclusion)
    if step is None or not says_what_is_next(conclusion):
        return []
    return [f"Next: {step.text}", *(f"  ! {caution}" for caution in step.caution_texts)]


def _duties_apart(found: Check, system: UnitSystem) -> list[str]:
    """The verdict over the duties under its own name, where the first line is not of them."""
    from engcalc.diagnosis.conclusion import conclude
    from engcalc.words.answer import capacity_sentence, speaks_for_the_class

    if speaks_for_the_class(conclude(found)):
        return []
    said = capacity_sentence(found, system)
    return [said] if said else []
