"""The case that a command line names, resolved, and the system of units it asks for."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from engcalc.case.bench_rules import has_engine
from engcalc.case.file import read_case
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import CaseText
from engcalc.errors import InputError, InputFault
from engcalc.units import UnitSystem
from engcalc.words.texts import shared_texts
from ui.carrying import with_remarks

if TYPE_CHECKING:
    from engcalc.case.case import Case

SYSTEMS = {"SI": UnitSystem.SI, "US": UnitSystem.US}
"""The system of units by the word that ``--units`` takes."""


def case_and_system(options: argparse.Namespace) -> tuple[Case, UnitSystem]:
    """The named case in SI and the system of units asked for. InputError with every fault of the case."""
    text = read_case(options.case)
    return resolved(text, options.case), SYSTEMS[options.units]


def engine_case_and_system(options: argparse.Namespace, refusal: str) -> tuple[Case, UnitSystem]:
    """As above, of a case with an engine; InputError with ``refusal`` where there is only a bench."""
    case, system = case_and_system(options)
    if not has_engine(case):
        raise InputError(
            (InputFault("vehicle.class", case.vehicle.class_, shared_texts.VEHICLE_WOULD_DO.format(refusal=refusal)),)
        )
    return case, system


def folder_of(case: Path) -> Path:
    """The folder in which the files that a case names are looked for."""
    return case.absolute().parent


def resolved(text: CaseText, path: Path) -> Case:
    """The case in SI, with the duties that its log fills; ``path`` is its file. InputError with every fault, of a
    rig's points too."""
    case = resolve(text)
    if isinstance(case, Faults):
        raise InputError(case.faults)
    if any(duty.log_time is not None for duty in case.duties):
        from engcalc.vehicle.logged_duties import with_logged_duties

        case = with_logged_duties(case, folder_of(path))
    if case.rig or case.problems:
        from engcalc.studies.rig import with_possible_points

        case = with_possible_points(case)
    return with_remarks(case, text, folder_of(path))
