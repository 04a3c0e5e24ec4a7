"""The charts of one duty on the command line: their points, their curves as JSON, what short ways cost."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from engcalc.words.texts import command_texts
from ui.command.named_case import SYSTEMS, resolved

if TYPE_CHECKING:
    from engcalc.case.case import Case
    from ui.command.answer import Answer


def charts_command(options: argparse.Namespace) -> Answer:
    """``heatdocket charts``: InputError where the duty is not there, NoSolutionError where it never settles."""
    from engcalc.case.bench_rules import has_duty_to_draw
    from engcalc.case.file import read_case
    from engcalc.errors import InputError, InputFault, NoSolutionError
    from engcalc.studies.teaching import shortcuts, taught
    from engcalc.words.lesson.teaching_words import DUTY_WANTED, NO_POINT, SHORTCUT_LEAD, shortcut_rows
    from reports.plots.registry import Paper, drawn_at

    case, system = resolved(read_case(options.case), options.case), SYSTEMS[options.units]
    if not has_duty_to_draw(case):
        raise InputError((InputFault("duties", "", DUTY_WANTED),))
    found = taught(case, _duty_of(case, options.duty))
    if not found.solved:
        raise NoSolutionError(f"{found.duty.name}: {NO_POINT}")
    plots = drawn_at(Paper.TEACHING, found, system)
    costs = shortcuts(found)
    lines = [
        line for plot in plots for line in (plot.words.title, f"  {plot.words.alternative}", f"  {plot.words.caption}")
    ]
    rows = shortcut_rows(float(found.core.Q[0]), costs, system) if costs else ()
    told = [SHORTCUT_LEAD, *("  " + ": ".join(part for part in (way, heat, off) if part) for way, heat, off in rows)]
    return _json(found, costs), [*lines, *(told if rows else [])]


def _duty_of(case: Case, name: str | None) -> int:
    from engcalc.errors import InputError, InputFault

    names = [duty.name or f"duty {i + 1}" for i, duty in enumerate(case.duties)]
    if not names:
        raise InputError((InputFault("duties", "", command_texts.CASE_WITH_A_DUTY),))
    if name is None:
        return 0
    if name not in names:
        raise InputError((InputFault("--duty", name, "one of " + "; ".join(names)),))
    return names.index(name)


def _json(found: Any, costs: Any) -> dict[str, Any]:
    """Every curve in SI, lists of numbers; null where a chart does not apply."""
    from engcalc.studies.teaching import along_core, fan_and_way, lumped_warmup, pump_and_circuit

    return {
        "duty": found.duty.name,
        "fan": _curves(fan_and_way(found)),
        "pump": _curves(pump_and_circuit(found)),
        "radiator": _fields(along_core(found)),
        "lump": _fields(lumped_warmup(found)),
        "approximations": [{"by": c.by.value, "heat_W": c.heat, "error": c.error} for c in costs],
    }


def _curves(curves: Any) -> dict[str, Any] | None:
    if curves is None:
        return None
    flow, pressure = curves.point
    return {**_numbers(curves), "point": {"flow_m3_s": flow, "pressure_Pa": pressure}}


def _fields(curves: Any) -> dict[str, Any] | None:
    return None if curves is None else _numbers(curves)


def _numbers(curves: Any) -> dict[str, Any]:
    import numpy as np

    found = {name: getattr(curves, name) for name in curves.__dataclass_fields__}
    return {
        name: value.tolist() if isinstance(value, np.ndarray) else value
        for name, value in found.items()
        if name != "point"
    }
