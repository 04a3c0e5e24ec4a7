"""Refill and bleed on the command line."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ui.command.named_case import engine_case_and_system

if TYPE_CHECKING:
    from engcalc.studies.refill_check import RefillCheck
    from engcalc.units import Array, UnitSystem
    from ui.command.answer import Answer, JsonObject


def refill_command(options: argparse.Namespace) -> Answer:
    """``heatdocket refill``: mixture, what to drain and fill in, trapped air, steps. InputError with every fault."""
    from engcalc.words.lesson.bench_words import NO_REFILL

    case, system = engine_case_and_system(options, NO_REFILL)
    from engcalc.studies.refill_check import check_refill
    from engcalc.words.workshop.refill_words import refill_lines

    found = check_refill(case)
    return refill_json(found, system), refill_lines(found, system)


def refill_json(found: RefillCheck, system: UnitSystem) -> JsonObject:
    """The object that ``refill --json`` prints."""
    from engcalc.words.page.cautions import CAUTION_TEXTS
    from engcalc.words.workshop.refill_words import MAKERS_FIRST, refill_parts, refill_steps

    stands, to_fill, reading = found.protection, found.refill, found.reading
    return {
        "base": found.base.value,
        "concentration": _first_number(found.fraction),
        "freezing_degC": _celsius(stands.freezing),
        "boiling_degC": _celsius(stands.boiling),
        "boiling_without_cap_degC": _celsius(stands.boiling_open),
        "boiling_uncertainty_K": stands.boiling_uncertainty,
        "outside_data": bool(stands.outside[0]),
        "reading": None
        if reading is None
        else {
            "scale": found.scale.value,
            "as_read": _first_number(reading.as_read),
            "concentration": _first_number(reading.fraction),
            "uncertainty": reading.uncertainty,
            "off_scale": bool(reading.outside[0]),
        },
        "offered": None
        if found.offered is None
        else {"freezing_degC": _celsius(found.offered.freezing), "scale": found.offered.scale.value},
        "opened": found.joint.value,
        "drain_to_open_m3": _first_number(found.opening[0]),
        "drain_to_open_uncertainty_m3": _first_number(found.opening[1]),
        "target": _first_number(found.target),
        "refill": None
        if to_fill is None
        else {
            "drain_m3": _first_number(to_fill.drain),
            "product_m3": _first_number(to_fill.product),
            "water_m3": _first_number(to_fill.water),
            "reached": _first_number(to_fill.reached),
            "possible": bool(to_fill.possible[0]),
        },
        "growth_m3": _first_number(found.growth),
        "air_released_m3": _first_number(found.released),
        "not_gone_in_again_m3": _first_number(found.missing),
        "air_by_pressure_m3": _first_number(found.pressed),
        "makers_data": MAKERS_FIRST,
        "sentences": {k: list(v) for k, v in refill_parts(found, system).items()},
        "steps": [
            {"key": step.key, "text": step.text, "cautions": [CAUTION_TEXTS[key] for key in step.cautions]}
            for step in refill_steps(found)
        ],
    }


def _first_number(values: Array | None) -> float | None:
    from ui.command.as_json import number

    return None if values is None else number(float(values[0]))


def _celsius(values: Array) -> float | None:
    from ui.command.as_json import celsius

    return celsius(float(values[0]))
