"""The check on the command line."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from engcalc.case.file import read_case
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import CaseText
from engcalc.errors import InputError
from engcalc.units import System

if TYPE_CHECKING:
    from engcalc.case.case import Case
    from engcalc.studies.check import Check
    from ui.command.main import Answer

SYSTEMS = {"SI": System.SI, "US": System.US}


def resolved(text: CaseText) -> Case:
    """The case in SI; raises InputError with every fault."""
    case = resolve(text)
    if isinstance(case, Faults):
        raise InputError(case.faults)
    return case


def checked(options: argparse.Namespace) -> tuple[CaseText, Check, System]:
    """The text of the case that was named, its check, and the system of units asked for."""
    text = read_case(options.case)
    case = resolved(text)  # a bad case is refused before anything heavy is loaded
    from engcalc.studies.check import check

    return text, check(case), SYSTEMS[options.units]


def check_command(options: argparse.Namespace) -> Answer:
    """``heatdocket check``: the verdict for every duty. Raises NoSolutionError when no duty has a solution."""
    _, found, system = checked(options)
    from engcalc.errors import NoSolutionError
    from engcalc.system.state import Status
    from engcalc.words.gathering import gathered
    from engcalc.words.reasons import duty_sentence, headline, reasons
    from ui.command.as_json import check_json

    answer = check_json(found, system)
    if not any(duty.status is Status.SOLVED for duty in found.duties):
        why = " ".join(reason.text for reason in reasons(found, system))
        raise NoSolutionError(f"No duty has a steady state. {why}", answer)
    lines = [headline(found, system), ""]
    lines += [duty_sentence(duty, system) for duty in found.duties]
    told = gathered(reasons(found, system), [duty.name for duty in found.duties])
    said = set(lines)
    lines += ["", *(f"- {reason.text}" for reason in told if reason.text not in said and reason.text not in lines[0])]
    lines += [f"note: {warning}" for warning in found.case.warnings]
    return answer, lines
