"""Temperatures of one duty on one scale, and the margins of all duties."""

from __future__ import annotations

from collections.abc import Iterator

from engcalc.case.case import Case
from engcalc.studies.checked import Check, DutyCheck
from engcalc.studies.healthy_valve import has_valve
from engcalc.system.state import Status
from engcalc.units import UnitSystem, show
from engcalc.words.page.picture_words import PEAKS_TOLD, THIN_BAR_CAPTION, WOULD_SETTLE
from engcalc.words.terms.numbers import difference, temperature
from engcalc.words.texts import plot_texts
from reports.plots.describe import Dot, Line, Mark, Marker, Row, Rows, Span, Tone, Words
from reports.plots.scale import axis, shown_one

KIND = "temperature"
WORTH_SAYING = 1.0  # K; a healthy valve's temperature nearer than this to the present one is the same


def temperatures(duty: DutyCheck, case: Case, system: UnitSystem) -> Rows | None:
    """Coolant, air, valve, limit and boiling of one duty on one scale; None where nothing was solved."""
    if not bool(duty.point.solved[0]):
        return None
    rows = tuple(_rows(duty, case, system))
    marks = tuple(_marks(duty, system))
    values = [v for row in rows for span in row.spans for v in (span.low, span.high)]
    values += [dot.at for row in rows for dot in row.dots] + [mark.at for mark in marks]
    scale = axis("Temperature", KIND, system, values)
    return Rows(_words(duty, rows, marks, system), scale, rows, marks)


def _rows(duty: DutyCheck, case: Case, system: UnitSystem) -> Iterator[Row]:
    point = duty.point
    engine = _span(point.coolant_in[0], point.coolant_out[0], Tone.COOLANT, system)
    source = "engine" if has_valve(case) else "heat source"
    yield Row(plot_texts.COOLANT_INTO_AND_OUT_OF_THE.format(source=source), (engine,))
    yield from _healthy(duty, system)
    if float(point.radiator_mass_flow[0]) > 0.0:
        yield Row(
            plot_texts.COOLANT_OUT_OF_AND_INTO_THE_RADIATOR,
            (_span(point.radiator_out[0], point.core.flows.T_coolant_in[0], Tone.COOLANT, system),),
        )
    if float(point.air_mass_flow[0]) > 0.0:
        yield Row(
            plot_texts.AIR_INTO_AND_OUT_OF_THE_RADIATOR,
            (_span(point.air_in[0], point.core.T_air_out[0], Tone.AIR, system),),
        )
    valve = case.thermostat
    if valve.kind != "none":
        opens = point.opens_at[0]  # at this load
        opened = opens + valve.full_open[0] - valve.start_to_open[0]
        yield Row("Thermostat, opening range", (_span(opens, opened, Tone.VALVE, system),))
        yield Row(plot_texts.THERMOSTAT_WHAT_IT_FEELS, (), (_dot(point.wax[0], Tone.VALVE, Marker.TRIANGLE, system),))
    if float(point.heater_heat[0]) > 0.0:
        yield Row(plot_texts.CABIN_AND_AIR_FROM_ITS_VENTS, (_span(point.cabin[0], point.vent[0], Tone.HEATER, system),))


def _healthy(duty: DutyCheck, system: UnitSystem) -> Iterator[Row]:
    """What the same vehicle would hold with a healthy valve, where that differs."""
    healthy = float(duty.healthy.coolant_out[0])
    if bool(duty.healthy.solved[0]) and abs(healthy - float(duty.point.coolant_out[0])) > WORTH_SAYING:
        yield Row(
            plot_texts.OUT_OF_THE_ENGINE_WITH_A_HEALTHY_THERMOSTAT,
            (),
            (_dot(healthy, Tone.WORK, Marker.DIAMOND, system),),
        )


def _dot(kelvin: float, tone: Tone, shape: Marker, system: UnitSystem) -> Dot:
    return Dot(shown_one(kelvin, KIND, system), tone, _temperature_text(kelvin, system), shape)


def _span(one: float, other: float, tone: Tone, system: UnitSystem) -> Span:
    low, high = sorted((float(one), float(other)))
    return Span(
        shown_one(low, KIND, system),
        shown_one(high, KIND, system),
        tone,
        _temperature_text(low, system),
        _temperature_text(high, system),
    )


def _temperature_text(kelvin: float, system: UnitSystem) -> str:
    return show(float(kelvin), KIND, system)


def _marks(duty: DutyCheck, system: UnitSystem) -> Iterator[Mark]:
    boiling = float(duty.point.boiling[0])
    ambient = float(duty.duty.ambient[0])
    yield Mark(shown_one(ambient, KIND, system), f"outside {temperature(ambient, system)}", Tone.AIR, Line.DOTTED)
    if duty.limit < boiling:
        yield Mark(shown_one(duty.limit, KIND, system), f"limit {temperature(duty.limit, system)}", Tone.LIMIT)
    yield Mark(shown_one(boiling, KIND, system), f"boils {temperature(boiling, system)}", Tone.BOILING, Line.DASHED)


def _words(duty: DutyCheck, rows: tuple[Row, ...], marks: tuple[Mark, ...], system: UnitSystem) -> Words:
    told = [f"{row.label}: {span.low_words} to {span.high_words}" for row in rows for span in row.spans]
    told += [f"{row.label}: {dot.words}" for row in rows for dot in row.dots] + [mark.words for mark in marks]
    caption = _caption(duty, system)
    return Words(f"Temperatures: {duty.name}", caption, f"Temperatures of {duty.name}. " + "; ".join(told) + ".")


def _caption(duty: DutyCheck, system: UnitSystem) -> str:
    """How far the coolant is from its limit, the swing of a switching fan included."""
    if duty.margin is None:  # it boils in its time, behind a harder duty
        return WOULD_SETTLE
    far = difference(duty.margin, system)
    side = "below" if duty.margin >= 0.0 else "above"
    return PEAKS_TOLD.format(far=far, side=side)


def margins(check: Check, system: UnitSystem) -> Rows | None:
    """Every duty on one scale: engine outlet with its 5 to 95 % spread, and the duty's limit. One that boils is drawn
    at its boiling point."""
    drawn = (Status.SOLVED, Status.BOILS)
    solved = [duty for duty in check.duties if duty.status in drawn]
    if not solved:
        return None
    rows = tuple(_margin_row(duty, system) for duty in solved)
    values = [v for row in rows for span in row.spans for v in (span.low, span.high)]
    values += [dot.at for row in rows for dot in row.dots]
    told = "; ".join(f"{row.label}: {', '.join(dot.words for dot in row.dots)}" for row in rows)
    missing = "; ".join(duty.name for duty in check.duties if duty.status not in drawn)
    boiling = "; ".join(duty.name for duty in solved if duty.status is Status.BOILS)
    not_drawn = plot_texts.AT_BOILING_WHERE_IT_DOES_NOT_SETTLE.format(boiling=boiling) if boiling else ""
    not_drawn += plot_texts.NOT_DRAWN_WITHOUT_AN_ANSWER.format(missing=missing) if missing else ""
    words = Words(
        plot_texts.COOLANT_OUT_OF_THE_ENGINE_AGAINST_THE_LIMIT,
        THIN_BAR_CAPTION.format(not_drawn=not_drawn),
        plot_texts.COOLANT_OUT_OF_THE_ENGINE_AND_LIMIT.format(told=told, not_drawn=not_drawn),
    )
    key = (Dot(0.0, Tone.COOLANT, plot_texts.COOLANT_OUT_OF_THE_ENGINE), Dot(0.0, Tone.LIMIT, "limit", Marker.SQUARE))
    return Rows(words, axis("Temperature", KIND, system, values), rows, (), key)


def _gets_to(duty: DutyCheck) -> float:
    """Engine outlet [K] where the duty settles; of one with a duration its peak, or boiling where it boils in it."""
    if duty.duration is None:
        return float(duty.point.coolant_out[0])
    return float(duty.point.boiling[0]) if duty.peak is None or duty.boils else duty.peak


def _margin_row(duty: DutyCheck, system: UnitSystem) -> Row:
    spans: tuple[Span, ...] = ()
    if duty.spread_low is not None and duty.spread_high is not None:
        spans = (
            Span(
                shown_one(duty.spread_low, KIND, system),
                shown_one(duty.spread_high, KIND, system),
                Tone.COOLANT,
                thin=True,
            ),
        )
    return Row(
        duty.name,
        spans,
        (_dot(_gets_to(duty), Tone.COOLANT, Marker.DISC, system), _dot(duty.limit, Tone.LIMIT, Marker.SQUARE, system)),
    )
