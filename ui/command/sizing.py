"""Sizing on the command line."""

from __future__ import annotations

import argparse
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from engcalc.errors import InputError, InputFault
from engcalc.words.texts import command_texts, shared_texts
from ui.command.named_case import case_and_system, folder_of
from ui.command.progress import tell_progress

if TYPE_CHECKING:
    from engcalc.case.case import Case
    from engcalc.studies.choice.candidates import Candidate, Comparison, PartDuty
    from engcalc.studies.choice.core_builds import Room
    from engcalc.studies.choice.core_search import CoreOption
    from engcalc.studies.choice.heat_points import HeatFit
    from engcalc.studies.choice.least_core import LeastCore
    from engcalc.studies.choice.sizing import Option, Sizing
    from engcalc.studies.choice.tables import CataloguePart
    from engcalc.studies.crew import Crew
    from engcalc.studies.spread.sensitivity import Sensitivities
    from engcalc.units import UnitSystem
    from ui.command.answer import Answer, JsonObject


def size_command(options: argparse.Namespace) -> Answer:
    """``heatdocket size``: what holds the limit, ranked.

    Raises InputError with every fault of case and tables, and where there is only a bench; NoSolutionError when no duty
    has a steady state.
    """
    from engcalc.case.bench_rules import only_a_bench
    from engcalc.studies.choice.tables import tables_of
    from engcalc.words.lesson.teaching_words import DUTY_WANTED

    if options.template is not None:
        return _template(*options.template)
    if options.case is None:
        raise InputError((InputFault("CASE", "", command_texts.CASE_FILE_WANTED),))
    case, system = case_and_system(options)
    if only_a_bench(case):
        raise InputError((InputFault("duties", "", DUTY_WANTED),))
    parts = (*tables_of(case, folder_of(options.case)), *_parts(options.table or []))
    duty_index = None if options.duty is None else _duty(case, options.duty)
    from engcalc.errors import NoSolutionError
    from engcalc.studies.choice.sizing import size
    from engcalc.studies.crew import Crew
    from engcalc.studies.duties.course import limited_in_time
    from engcalc.studies.members import solve_duties
    from engcalc.studies.spread.sensitivity import sensitivity

    room = _room(options, case)
    if options.write is not None and room is None and options.adopt is None:
        wanted = command_texts.WRITE_NEEDS_A_PART_TO_PUT_IN
        raise InputError((InputFault("--write", str(options.write), wanted),))
    if options.adopt is not None:
        _adopt(options, case, parts)
    found = size(case, parts, duty_index)
    hangs = sensitivity(case, found.duty_index)
    answer = {**size_json(found, system), **_sensitivity(hangs)}
    lines = _lines(found, hangs, system)
    with Crew() as crew:
        least = None if room is None else _least(options, room, crew)
        compared = _compared(options, parts, case.job.candidates, crew)
    if least is not None:
        answer["least_core"] = least_core_json(least, system)
        lines = [*_least_lines(least, system), *_of_writing(options, least), "", *lines]
    if compared is not None:
        answer["compared"] = comparison_json(compared, system)
        lines = [*_comparison_lines(compared, system), "", *lines]
    if options.adopt is not None:
        lines = [command_texts.CASE_WITH_IN_IT_WRITTEN.format(write=options.write, adopt=options.adopt), "", *lines]
    if not solve_duties(case).solved.any() and not limited_in_time(case.duties):
        raise NoSolutionError("\n".join((command_texts.NO_DUTY_HAS_A_STEADY_STATE, *lines)), answer)
    return answer, lines


def _template(kind: str, file: str) -> Answer:
    """Write a table of parts to fill in. Raises InputError where there is no such kind, FileFault."""
    from engcalc.case.file import write_whole
    from engcalc.studies.choice.table_templates import PartKind, template

    if kind not in tuple(PartKind):
        raise InputError(
            (InputFault("--template", kind, command_texts.KINDS_OF_PARTS_WOULD_DO.format(kinds=", ".join(PartKind))),)
        )
    write_whole(Path(file), template(PartKind(kind)).encode(), fresh=True)
    return {"template": file}, [command_texts.TEMPLATE_WRITTEN.format(file=file)]


def _room(options: argparse.Namespace, case: Case) -> Room | None:
    """The room for a core: that of the command line, else that of the case."""
    from engcalc.studies.choice.core_builds import read_room, room_of

    return room_of(case) if options.room is None else read_room(options.room)


def _least(options: argparse.Namespace, room: Room, crew: Crew) -> LeastCore:
    """The least core, its case written where asked for."""
    from engcalc.case.file import case_bytes, read_case, write_whole
    from engcalc.studies.choice.core_search import Least
    from engcalc.studies.choice.least_core import least_core

    told = None if options.json else partial(tell_progress, words=command_texts.SEEKS_THE_LEAST_CORE)
    found = least_core(read_case(options.case), room, Least(options.least), progress=told, crew=crew)
    if options.write is not None and found.text is not None and options.adopt is None:
        write_whole(options.write, case_bytes(found.text), fresh=True)
    return found


def _of_writing(options: argparse.Namespace, found: LeastCore) -> list[str]:
    """What became of the case that --write asks for with the least core in it."""
    if options.write is None or options.adopt is not None:
        return []
    if found.text is None:
        return [command_texts.WAS_NOT_WRITTEN.format(write=options.write)]
    return [command_texts.CASE_WITH_THIS_CORE_IN_IT_WRITTEN.format(write=options.write)]


def _least_lines(found: LeastCore, system: UnitSystem) -> list[str]:
    from engcalc.words.sizing.least_core_words import least_core_sentences, option_words

    lines = list(least_core_sentences(found, system))
    others = [f"- {option_words(found, option, system)}" for option in found.front[1:]]
    return [*lines, "", command_texts.LARGER_ONES_THAT_ARE_BETTER_IN_SOMETHING, *others] if others else lines


def _adopt(options: argparse.Namespace, case: Case, parts: tuple[CataloguePart, ...]) -> None:
    """Write the case with one part of the tables in it. Raises InputError where it does not go in."""
    from engcalc.case.file import case_bytes, read_case, write_whole
    from engcalc.case.resolve import Faults, resolve
    from engcalc.studies.choice.candidates import chosen_parts, with_part

    if options.write is None:
        raise InputError((InputFault("--adopt", options.adopt, command_texts.WRITE_WITH_THE_FILE_TO_WRITE_WOULD_DO),))
    (part,) = chosen_parts(parts, (options.adopt,), "--adopt")
    changed = with_part(read_case(options.case), case, part)
    resolved = resolve(changed)
    if isinstance(resolved, Faults):
        raise InputError(resolved.faults)
    write_whole(options.write, case_bytes(changed), fresh=True)


def _compared(
    options: argparse.Namespace, parts: tuple[CataloguePart, ...], named: tuple[str, ...], crew: Crew
) -> Comparison | None:
    """The parts side by side: those asked for, else those that the case names; None where neither names any."""
    from engcalc.case.file import read_case
    from engcalc.studies.choice.candidates import chosen_parts, compare_parts

    if options.compare is None and not named:
        return None
    asked = named if options.compare is None else tuple(n for n in options.compare.split(",") if n.strip())
    path = "job.candidates" if options.compare is None else "--compare"
    chosen = chosen_parts(parts, asked, path)
    if not chosen:
        wanted = command_texts.TABLE_OF_PARTS_WOULD_DO
        raise InputError((InputFault(path, options.compare or "", wanted),))
    told = None if options.json else partial(tell_progress, words=command_texts.LAYS_PARTS_SIDE_BY_SIDE)
    return compare_parts(read_case(options.case), chosen, progress=told, crew=crew)


def _comparison_lines(found: Comparison, system: UnitSystem) -> list[str]:
    from engcalc.words.sizing.candidate_words import HEAD, comparison_rows, comparison_sentences

    rows = comparison_rows(found, system)
    table = [" | ".join(row) for row in (HEAD, *rows)]
    return [
        command_texts.PARTS_SIDE_BY_SIDE,
        *(f"- {said}" for said in comparison_sentences(found, system)),
        "",
        *table,
    ]


def comparison_json(found: Comparison, system: UnitSystem) -> JsonObject:
    """The object ``compared`` that ``size --json`` prints."""
    from engcalc.words.sizing.candidate_words import comparison_sentences

    return {
        "candidates": [_candidate(candidate) for candidate in found.candidates],
        "notes": list(found.notes),
        "said": list(comparison_sentences(found, system)),
    }


def _candidate(candidate: Candidate) -> JsonObject:
    from engcalc.words.sizing.candidate_words import candidate_name
    from ui.command.as_json import number

    part = candidate.part
    fits = {} if part is None else {"fan": part.fan, "pump": part.pump}
    return {
        "name": candidate_name(candidate),
        "from_table": part is not None,
        "goes_in": candidate.checked is not None,
        "why_not": [{"path": f.path, "given": f.given, "wanted": f.wanted} for f in candidate.why_not],
        "sets": {} if part is None else dict(part.typed),
        "beside": {} if part is None else dict(part.beside),
        "curves": {
            what: {
                "points": int(fit.flow.size),
                "at_no_flow_Pa": number(fit.at_no_flow),
                "fall_Pa_s2_m6": number(fit.fall),
                "misses_rms_Pa": number(fit.rms),
                "misses_most_Pa": number(fit.worst),
            }
            for what, fit in fits.items()
            if fit is not None
        },
        "heat_fit": None if candidate.heat is None else _heat_fit(candidate.heat),
        "least_probability": number(candidate.least_probability),
        "duties": [_part_duty(duty) for duty in candidate.duties],
    }


def _heat_fit(fit: HeatFit) -> JsonObject:
    from ui.command.as_json import number

    return {
        "ua_scale": number(fit.factor),
        "misses_rms": number(fit.rms),
        "misses": [number(float(miss)) for miss in fit.misses],
        "heat_W": [number(float(heat)) for heat in fit.points.heat],
    }


def _part_duty(one: PartDuty) -> JsonObject:
    from ui.command.as_json import celsius, number

    duty = one.duty
    return {
        "duty": duty.name,
        "verdict": duty.verdict,
        "coolant_out_degC": celsius(duty.coolant_out) if duty.peak is not None else None,
        "peak_degC": celsius(duty.peak),
        "margin_K": number(duty.margin),
        "holds_probability": number(one.probability),
        "limited_by": None if one.limits is None else one.limits.words["limiting"],
        "air_drop_Pa": number(one.air_drop),
        "coolant_drop_Pa": number(one.coolant_drop),
        "one_fan_flow_m3_s": number(one.fan_flow),
        "one_fan_pressure_Pa": number(one.fan_pressure),
    }


def least_core_json(found: LeastCore, system: UnitSystem) -> JsonObject:
    """The object ``least_core`` that ``size --json`` prints."""
    from engcalc.words.sizing.least_core_words import least_core_sentences
    from ui.command.as_json import number

    why = found.nothing_fits
    return {
        "room_m": [found.room.height, found.room.width, found.room.depth],
        "least_of": found.wanted.value,
        "builds_tried": found.builds,
        "core": None if found.least is None else _core(found.least),
        "holds_probability": number(found.probability),
        "front": [
            _core(option) if option == found.least else {**_core(option), "holds_probability": None}
            for option in found.front
        ],
        "freed": [
            {
                "path": one.path,
                "before": number(one.before),
                "bound": number(one.bound),
                "taken": number(one.taken),
            }
            for one in found.freed
        ],
        "nothing_fits": None
        if why is None
        else {
            "duty": why.duty,
            "margin_K": None if why.at_least else number(why.margin),
            "holds_probability": number(why.probability),
            "wanted_probability": number(why.wanted),
            "short_K": number(why.short),
            "short_at_least": why.at_least,
            "least_growth": None if why.least_growth is None else why.least_growth.dimension,
            "room_factors": {growth.dimension: number(growth.factor) for growth in why.growths},
            "changes": [option.change.name for option in why.changes],
        },
        "said": list(least_core_sentences(found, system)),
    }


def _core(option: CoreOption) -> JsonObject:
    from ui.command.as_json import number

    core, build = option.core, option.core.build
    return {
        "core_height_m": number(core.height),
        "core_width_m": number(core.width),
        "core_depth_m": number(build.depth),
        "tube_rows": build.rows,
        "tubes_per_row": core.tubes,
        "tube_width_m": number(build.tube_width),
        "fin_pitch_m": number(1.0 / build.fin_density),
        "passes": build.passes,
        "volume_m3": number(option.volume),
        "mass_kg": number(option.mass),
        "least_sure": option.least_sure,
        "margin_K": number(option.margin),
        "holds_probability": number(option.probability),
        "air_drop_Pa": number(option.air_drop),
        "coolant_drop_Pa": number(option.coolant_drop),
        "fan_air_power_W": number(option.fan_air_power),
    }


def _parts(tables: list[Path]) -> tuple[CataloguePart, ...]:
    """The parts of every table, or the faults of all of them."""
    from engcalc.studies.choice.tables import read_table

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
            (InputFault("duties", str(number), shared_texts.NUMBER_OF_A_DUTY.format(duties_count=len(case.duties))),)
        )
    return number - 1


def _lines(found: Sizing, hangs: Sensitivities, system: UnitSystem) -> list[str]:
    from engcalc.words.sizing.sizing_words import hangs_on, mending, option_lines, why

    lines = [*why(found, system), "", *mending(found, system), "", command_texts.ALL_CHANGES_TRIED]
    lines += [f"- {text}" for text in option_lines(found.options, system)]
    return [*lines, "", *hangs_on(hangs, system)]


def size_json(found: Sizing, system: UnitSystem) -> JsonObject:
    """The object that ``size --json`` prints."""
    from engcalc.words.sizing.sizing_words import mending, why
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
