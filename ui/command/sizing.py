"""Sizing on the command line."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from engcalc.errors import InputError, InputFault
from ui.command.named_case import case_and_system

if TYPE_CHECKING:
    from engcalc.case.case import Case
    from engcalc.studies.sensitivity import Sensitivities
    from engcalc.studies.sizing import Option, Sizing
    from engcalc.studies.tables import CataloguePart
    from engcalc.units import UnitSystem
    from ui.command.answer import Answer, JsonObject


def size_command(options: argparse.Namespace) -> Answer:
    """``heatdocket size``: what holds the limit, ranked.

    Raises InputError with every fault of case and tables, NoSolutionError when no duty has a steady state.
    """
    from engcalc.studies.tables import tables_of

    case, system = case_and_system(options)
    parts = (*tables_of(case, options.case.resolve().parent), *_parts(options.table or []))
    duty_index = None if options.duty is None else _duty(case, options.duty)
    from engcalc.errors import NoSolutionError
    from engcalc.studies.course import limited_in_time
    from engcalc.studies.members import solve_duties
    from engcalc.studies.sensitivity import sensitivity
    from engcalc.studies.sizing import size

    found = size(case, parts, duty_index)
    hangs = sensitivity(case, found.duty_index)
    answer = {**size_json(found, system), **_sensitivity(hangs)}
    lines = _lines(found, hangs, system)
    if not solve_duties(case).solved.any() and not limited_in_time(case.duties):
        raise NoSolutionError("\n".join(("No duty has a steady state.", *lines)), answer)
    return answer, lines


def _parts(tables: list[Path]) -> tuple[CataloguePart, ...]:
    """The parts of every table, or the faults of all of them."""
    from engcalc.studies.tables import read_table

    parts: list[CataloguePart] = []
    faults: list[InputFault] = []
    for table in tables:
        try:
            parts += read_table(table)
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(tuple(faults))
    return tuple(parts)


def _duty(case: Case, number: int) -> int:
    if not 1 <= number <= len(case.duties):
        raise InputError(
            (InputFault("duties", str(number), f"the number of a duty, 1 to {len(case.duties)}, would do"),)
        )
    return number - 1


def _lines(found: Sizing, hangs: Sensitivities, system: UnitSystem) -> list[str]:
    from engcalc.words.sizing_words import hangs_on, mending, option_lines, why

    lines = [*why(found, system), "", *mending(found, system), "", "All changes tried, by gain:"]
    lines += [f"- {text}" for text in option_lines(found.options, system)]
    return [*lines, "", *hangs_on(hangs, system)]


def size_json(found: Sizing, system: UnitSystem) -> JsonObject:
    """The object that ``size --json`` prints."""
    from engcalc.words.sizing_words import mending, why
    from ui.command.as_json import celsius, number

    needed, together = found.needed, found.together
    return {
        "needed_ua_W_K": number(needed.UA),
        "options": [_option(o) for o in found.options],
        "limiting": None if found.limiting.side is None else found.limiting.side.value,
        "duty": found.name,
        "holds": found.holds,
        "boils": found.boils,
        "coolant_out_degC": None if found.boils else celsius(found.coolant_out),
        "limit_degC": celsius(found.limit),
        "margin_K": None if found.boils else number(found.margin),
        "wanted_margin_K": number(found.wanted_margin),
        "ua_W_K": number(float(found.point.core.UA[0])),
        "needed": {
            "duty": needed.name,
            "reach": needed.reach.value,
            "scale": number(needed.scale),
            "ua_now_W_K": number(needed.UA_now),
            "target_degC": celsius(needed.target),
        },
        "gains_K": {side.value: number(gain) for side, gain in found.limiting.gains.items()},
        "together": None if together is None else {**_option(together), "of": [o.change.name for o in found.best]},
        "why": list(why(found, system)),
        "mending": list(mending(found, system)),
    }


def _option(option: Option) -> JsonObject:
    from ui.command.as_json import celsius, number

    return {
        "change": option.change.name,
        "coolant_out_degC": None if option.boils else celsius(option.coolant_out),
        "gain_K": number(option.gain),
        "feasible": option.feasible,
        "side": option.side.value,
        "holds": option.holds,
        "boils": option.boils,
        "margin_K": None if option.boils else number(option.margin),
        "at_least": option.at_least,
        "spoils": list(option.spoils),
        "from_table": option.change.from_table,
        "caution": option.change.caution or None,
        "paths": list(option.change.values),
        "why_not": [{"path": f.path, "given": f.given, "wanted": f.wanted} for f in option.why_not],
    }


def _sensitivity(found: Sensitivities) -> JsonObject:
    """Each input's change of the engine outlet over its step, and the share of each resistance."""
    from ui.command.as_json import number

    return {
        "sensitivities": [
            {"path": s.path, "label": s.label, "change_K": number(s.change), "step": s.step.value} for s in found.ranked
        ],
        "held": [{"path": path, "reason": reason} for path, reason in found.held],
        "resistance_shares": {
            name: {s.name: number(s.share) for s in shares}
            for name, shares in (
                ("thermal", found.thermal),
                ("air_flow", found.air_flow),
                ("coolant_flow", found.coolant_flow),
            )
        },
    }
