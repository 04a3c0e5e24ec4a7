"""Where the heat goes: from the fuel to the crankshaft, the exhaust, the coolant and the air."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from engcalc.studies.checked import DutyCheck
from engcalc.system.state import OperatingPoint, Status
from engcalc.units import UnitSystem, plain_number, unit_for
from engcalc.words.page.picture_words import AUXILIARY_BESIDE, HEATER_TAKES_NOTHING, WAY_OF_THE_FUEL
from engcalc.words.terms.numbers import minutes, temperature
from engcalc.words.texts import plot_texts
from reports.plots.describe import Flow, FlowPart, Link, Tone, Words
from reports.plots.scale import shown_one

KIND, SMALL_KIND = "heat rate", "small heat rate"
SMALL = 1000.0  # W; below it heat is told in the smaller unit
LEAST = 1e-3  # of the whole; a smaller part is told in words only, its bar would be a hair


def heat_balance(duty: DutyCheck, system: UnitSystem) -> Flow | None:
    """The heat of one duty as a flow picture, in the heat unit of ``system``; None where there is no answer.

    A duty that boils is drawn at its boiling point, with the heat that finds no way out there.
    """
    point, boils = duty.point, duty.status is Status.BOILS
    stuck = (("stuck", plot_texts.FINDS_NO_WAY_OUT, "energy_residual", Tone.LIMIT),) if boils else ()
    into_coolant = _parts(
        point,
        (
            ("metal", "Metal", "heat_to_metal", Tone.METAL),
            ("extra", "Other sources", "extra_heat", Tone.FUEL),
            ("hot_tank", "Oil, hot tank", "hot_tank_heat", Tone.FUEL),
            ("cold_tank", "Oil, cold tank", "cold_tank_heat", Tone.FUEL),
            ("coolant_heater", "Coolant heater", "coolant_heater_heat", Tone.HEATER),
        ),
        system,
    )
    out_of_it = _parts(
        point,
        (
            ("surface", "Engine surface", "surface_heat", Tone.SURFACE),
            ("radiator", "Radiator", "radiator_heat", Tone.COOLANT),
            ("heater", "Heater", "heater_heat", Tone.HEATER),
            ("hoses", "Heater hoses", "hose_heat", Tone.SURFACE),
            *stuck,
        ),
        system,
    )
    if duty.status not in (Status.SOLVED, Status.BOILS) or not into_coolant or not out_of_it:
        return None
    fuel = _parts(point, (("fuel", "Fuel", "fuel_power", Tone.FUEL),), system)
    beside = (
        _parts(
            point,
            (
                ("brake", "Crankshaft", "brake_power", Tone.WORK),
                ("exhaust", "Exhaust", "heat_exhaust", Tone.EXHAUST),
                ("rest", "Rest", "heat_rest", Tone.REST),
            ),
            system,
        )
        if fuel
        else ()
    )
    from_fuel = (*beside, *(part for part in into_coolant if part.key == "metal"))
    links = [Link("fuel", part.key, part.amount) for part in from_fuel] if fuel else []
    columns = tuple(c for c in (fuel, (*beside, *into_coolant), out_of_it) if c)
    return Flow(
        _words(duty, columns, system), unit_for(KIND, system), columns, (*links, *in_order(into_coolant, out_of_it))
    )


def _parts(
    point: OperatingPoint, wanted: Sequence[tuple[str, str, str, Tone]], system: UnitSystem
) -> tuple[FlowPart, ...]:
    """The parts that are large enough to draw, each with its amount and, of the fuel, its share in words."""
    whole = max(float(point.fuel_power[0]), float(point.heat_to_metal[0]), float(point.extra_heat[0]), 1e-9)
    parts = []
    for key, label, field, tone in wanted:
        watts = float(getattr(point, field)[0])
        if watts > LEAST * whole:
            parts.append(FlowPart(key, label, shown_one(watts, KIND, system), heat_words(watts, system), tone))
    return tuple(parts)


def heat_words(watts: float, system: UnitSystem) -> str:
    """Heat in words to three digits, in watts below a kilowatt."""
    kind = SMALL_KIND if abs(watts) < SMALL else KIND
    return f"{plain_number(float(f'{shown_one(watts, kind, system):.3g}'))} {unit_for(kind, system)}"


def in_order(sources: Sequence[FlowPart], targets: Sequence[FlowPart]) -> tuple[Link, ...]:
    """Links that empty the sources into the targets one after another; the sums agree but for what was left out."""
    links: list[Link] = []
    left = [part.amount for part in sources]
    at = 0
    for target in targets:
        need = target.amount
        while need > 1e-9 * target.amount and at < len(sources):
            give = min(need, left[at])
            if give > 0.0:
                links.append(Link(sources[at].key, target.key, give))
            left[at] -= give
            need -= give
            at += left[at] <= 1e-9 * sources[at].amount
    return tuple(links)


def _words(duty: DutyCheck, columns: Sequence[Sequence[FlowPart]], system: UnitSystem) -> Words:
    drawn = [part for column in columns for part in column]
    told = "; ".join(f"{part.label.lower()} {part.words}" for part in drawn)
    boils = _boiling(duty.point, system) if duty.status is Status.BOILS else ""
    caption = " ".join(said for said in (boils, _caption(duty.point, system)) if said)
    return Words(
        plot_texts.WHERE_THE_HEAT_GOES.format(name=duty.name),
        caption,
        plot_texts.HEAT_BALANCE_OF.format(name=duty.name, told=told, boils=boils).strip(),
    )


def _boiling(point: OperatingPoint, system: UnitSystem) -> str:
    """That the picture is drawn at the boiling point, what finds no way out there, and how soon it boils."""
    missing, time = float(point.energy_residual[0]), float(point.time_to_boil[0])
    soon = (
        plot_texts.IT_BOILS_ABOUT_AFTER_THE_THERMOSTATS_RATING.format(minutes=minutes(time))
        if np.isfinite(time)
        else ""
    )
    boiling = temperature(float(point.boiling[0]), system)
    return plot_texts.DRAWN_AT_ITS_BOILING_POINT_OF.format(
        boiling=boiling, heat_words=heat_words(missing, system), soon=soon
    )


def _caption(point: OperatingPoint, system: UnitSystem) -> str:
    fuel, metal, extra, heater = (
        float(v[0]) for v in (point.fuel_power, point.heat_to_metal, point.extra_heat, point.heater_heat)
    )
    sentences = []
    if fuel > 0.0:
        share = plain_number(100.0 * metal / fuel, 2)
        sentences.append(WAY_OF_THE_FUEL.format(percent=share))
    if fuel > 0.0 and heater <= LEAST * max(fuel, metal, extra):
        sentences.append(HEATER_TAKES_NOTHING)
    auxiliary = float(point.auxiliary_heat[0])
    if auxiliary > 0.0:
        sentences.append(AUXILIARY_BESIDE.format(heat=heat_words(auxiliary, system)))
    return " ".join(sentences)
