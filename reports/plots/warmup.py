"""Warm-ups as pictures: the record over what a healthy vehicle would show, what is left of it, and the other places."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from engcalc.system.in_time.warmed import felt_upper_hose
from engcalc.units import Array, UnitSystem, show
from engcalc.vehicle.settling import RecordEnd
from engcalc.vehicle.warmup_study import RecordStudy
from engcalc.words.page.picture_words import (
    ENDS_TOLD,
    HOSES_CAPTION,
    RAN_AS,
    RECORD_ENDS_OUTSIDE,
    RECORD_LEAVES,
    RECORD_STAYS,
    RESIDUAL_CAPTION,
    RESIDUAL_TOLD,
    WARMUP_CAPTION,
)
from engcalc.words.terms.numbers import minutes, temperature
from engcalc.words.texts import plot_texts, shared_texts
from reports.plots.describe import Chart, Line, Mark, Marker, Tone, Words
from reports.plots.lines import AxisQuantity, Guides, Swept, line_chart

TIME = AxisQuantity(shared_texts.TIME_SINCE_THE_START, "time", zero=True)
DIFFERENCE = "temperature difference"
MOST_POINTS = 600  # of one line: more than a picture is wide in points
PLACES = (  # of the simulation, that a hand or a thermometer can reach
    ("upper_hose", "upper hose", Tone.COOLANT, Line.DASHED),
    ("lower_hose", "lower hose", Tone.AIR, Line.SOLID),
    ("heater_in", "heater hose, inlet", Tone.HEATER, Line.SOLID),
    ("heater_out", "heater hose, outlet", Tone.HEATER, Line.DASHED),
    ("vent", "vent", Tone.THIRD, Line.SOLID),
    ("cabin", "cabin", Tone.INK, Line.DOTTED),
)


def thinned(time: Array, values: Array) -> tuple[Array, Array]:
    """At most ``MOST_POINTS`` of a series, evenly taken, the ends among them."""
    which = np.unique(np.linspace(0, time.size - 1, min(time.size, MOST_POINTS)).round().astype(int))
    return time[which], values[which]


def warmup_chart(record: RecordStudy, system: UnitSystem) -> Chart:
    """The measured curve, where there is one, over the band of a healthy vehicle; and the vehicle as described."""
    band, regulating = record.band, record.criterion.regulating if record.criterion is not None else None
    t, low, middle, high = band.time, band.low, band.middle, band.high
    swept = [Swept("a healthy vehicle", t, middle, Tone.VALVE, Line.DASHED, low=low, high=high)]
    swept += [*_measured_and_held_against(record), *_by_hand(record)]
    marks: tuple[Mark, ...] = (
        ()
        if regulating is None
        else (
            Mark(
                regulating,
                plot_texts.THERMOSTAT_STARTS_TO_OPEN.format(temperature=temperature(regulating, system)),
                Tone.MUTED,
            ),
        )
    )
    if record.settled.end is RecordEnd.BOILED and record.measured is None:
        boiling = float(record.nominal.boiling[0])
        marks += (Mark(boiling, f"boils, {temperature(boiling, system)}", Tone.LIMIT),)
    words = Words(plot_texts.COOLANT_AFTER_THE_START, _caption(record), _alternative(record, system))
    return line_chart(
        words,
        TIME,
        AxisQuantity(plot_texts.COOLANT_AS_THE_SENSOR_SHOWS_IT, "temperature"),
        swept,
        system,
        Guides(along_y=marks),
    )


def _measured_and_held_against(record: RecordStudy) -> Iterator[Swept]:
    """What was measured, and what it is held against besides the band."""
    if record.measured is None:
        yield Swept(
            plot_texts.THIS_VEHICLE_AS_DESCRIBED, record.nominal.time, record.nominal.sensor[:, 0], Tone.COOLANT
        )
        return
    if record.fitted is not None:
        yield Swept("fitted", record.fitted.warmup.time, record.fitted.sensor, Tone.FIRST, Line.DOTTED)
    yield Swept("measured", *thinned(record.measured.time, record.measured.T), Tone.COOLANT)


def _by_hand(record: RecordStudy) -> Iterator[Swept]:
    """Coolant temperatures that were read one at a time, by whatever instrument."""
    spots = [
        (float(s.at[0]), float(s.value[0]))
        for s in record.run.record.spots
        if s.what == "coolant" and s.at is not None and s.word is None
    ]
    if spots:
        time, T = np.array(sorted(spots)).T
        yield Swept("single readings", time, T, Tone.INK, Line.NONE, Marker.DIAMOND)


def _caption(record: RecordStudy) -> str:
    shaded = WARMUP_CAPTION
    measured = record.measured
    if measured is None:
        boils = (
            ""
            if record.settled.end is not RecordEnd.BOILED
            else (plot_texts.IT_BOILS_AFTER.format(minutes=minutes(float(record.nominal.boiled[0]))))
        )
        return f"{RAN_AS.format(source=record.run.source)} {shaded}{boils}"
    if measured.leaves_band is None:
        said = RECORD_ENDS_OUTSIDE if measured.ends_outside else RECORD_STAYS
        return said.format(shaded=shaded, side=measured.ends_outside)
    where = "below" if measured.leaves_below else "above"
    return RECORD_LEAVES.format(shaded=shaded, side=where, at=minutes(max(measured.leaves_band, 0.0)))


def _alternative(record: RecordStudy, system: UnitSystem) -> str:
    """The picture for someone who cannot see it: starts and ends."""
    ends = ((s.name, s.y) for s in _measured_and_held_against(record))
    said = [
        f"{name}: {show(float(y[0]), 'temperature', system)} to {show(float(y[-1]), 'temperature', system)}"
        for name, y in ends
    ]
    low, high = (show(float(y[-1]), "temperature", system) for y in (record.band.low, record.band.high))
    return ENDS_TOLD.format(courses="; ".join(said), low=low, high=high)


def residual_chart(record: RecordStudy, system: UnitSystem) -> Chart | None:
    """What is left of the record once vehicle's unknowns are fitted; None where nothing was fitted."""
    fitted = record.fitted
    if fitted is None:
        return None
    t, left = thinned(fitted.residual_time, fitted.residual)
    rms = show(fitted.rms, DIFFERENCE, system)
    marks = () if fitted.parts is None else (Mark(fitted.parts, "they part", Tone.LIMIT, Line.DOTTED),)
    parting = "no longer fits" if fitted.parts is not None else "fits throughout"
    words = Words(
        "Measured less fitted",
        RESIDUAL_CAPTION.format(rms=rms, parting=parting),
        RESIDUAL_TOLD.format(rms=rms, parting=parting),
    )
    return line_chart(
        words,
        TIME,
        AxisQuantity("Measured less fitted", DIFFERENCE, zero=True),
        [Swept("measured less fitted", t, left, Tone.COOLANT)],
        system,
        Guides(along_x=marks, along_y=(Mark(0.0, "", Tone.MUTED),)),
    )


def places_chart(record: RecordStudy, system: UnitSystem) -> Chart:
    """What hands and thermometers would find elsewhere, as the vehicle is described."""
    w = record.nominal
    swept = [Swept("coolant", w.time, w.coolant[:, 0], Tone.COOLANT)]
    places = {name: getattr(w, name) for name, *_ in PLACES}
    places["upper_hose"] = felt_upper_hose(w, float(np.min(record.run.drive.conditions.ambient)), record.side)
    swept += [Swept(label, w.time, places[name][:, 0], tone, line) for name, label, tone, line in PLACES]
    ends = "; ".join(f"{s.name} {show(float(s.y[-1]), 'temperature', system)}" for s in swept)
    words = Words(
        plot_texts.ELSEWHERE_IN_THE_VEHICLE_AS_DESCRIBED,
        HOSES_CAPTION,
        plot_texts.TEMPERATURES_AT_THE_END.format(ends=ends),
    )
    return line_chart(words, TIME, AxisQuantity("Temperature", "temperature"), swept, system)
