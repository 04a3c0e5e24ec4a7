"""What was measured against what is expected or computed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite

from engcalc.case.case import Case, value_at
from engcalc.case.reading_words import WORDS
from engcalc.case.records import INSTRUMENTS, SPOT_PLACES
from engcalc.studies.checked import Check
from engcalc.studies.readings import PlaceReading, ReadingCheck
from engcalc.studies.rig import COVERAGE, MeasuredNumber, RigCheck
from engcalc.units import UnitSystem, plain_number, show
from engcalc.words.answer.finding_sentences import is_warm_early
from engcalc.words.page.picture_words import (
    EARLY_CAPTION,
    READINGS_CAPTION,
    READINGS_OF_PLACES,
    READINGS_TOLD,
    RIG_CAPTION,
    RIG_TOLD,
    RING_CAPTION,
    WORD_CAPTION,
)
from engcalc.words.terms.numbers import span, temperature
from engcalc.words.texts import plot_texts
from reports.plots.describe import Axis, Dot, Line, Mark, Marker, Row, Rows, Span, Tone, Words
from reports.plots.scale import axis, round_ticks, shown_one

KIND = "temperature"
OPEN_BAND = 35.0  # K; how far the band of a gauge's outermost word is drawn
RECORDS = {"before": "Before", "after": "After"}


def readings(check: Check, system: UnitSystem) -> Rows | None:
    """Each reading (less what its instrument misses) on the range of a healthy vehicle at that place and time.

    A reading amid healthy vehicles that lie far apart is left out, unless nothing else was read: it tells nothing.
    """
    of_coolant = (*check.history, *check.readings)
    elsewhere = [reading for reading in check.elsewhere if reading.tells or not of_coolant]
    shown = [_coolant_row(reading, check.case, system) for reading in of_coolant]
    shown += [_place_row(reading, check.case, system) for reading in elsewhere]
    if not shown:
        return None
    rows = tuple(row for row, _ in shown)
    values = [v for row in rows for bar in row.spans for v in (bar.low, bar.high)]
    values += [dot.at for row in rows for dot in row.dots]
    ringed = any(row.dots for row in rows)
    title, quantity = plot_texts.COOLANT_READINGS_AGAINST_A_HEALTHY_VEHICLE, "Coolant"
    if elsewhere:
        title, quantity = READINGS_OF_PLACES, "Temperature"
    words = Words(title, _caption(check, ringed=ringed), READINGS_TOLD.format(readings="; ".join(t for _, t in shown)))
    mark = Marker.RING if ringed else Marker.SQUARE
    key = (Dot(0.0, Tone.INK, "reading", mark), Dot(0.0, Tone.WORK, "healthy vehicle", Marker.SQUARE))
    return Rows(words, axis(quantity, KIND, system, values), rows, (), key)


def _coolant_row(reading: ReadingCheck, case: Case, system: UnitSystem) -> tuple[Row, str]:
    row = _reading_row(reading, case, system)
    expected = span(reading.expected_low, reading.expected_high, system)
    return row, f"{row.label}: read {_as_read(reading, system)}, expected {expected}"


def _place_row(reading: PlaceReading, case: Case, system: UnitSystem) -> tuple[Row, str]:
    """A hose or the vents' air: the same marks as for the coolant."""
    low, high = (shown_one(v, KIND, system) for v in (reading.expected_low, reading.expected_high))
    first, last = (temperature(T, system) for T in (reading.expected_low, reading.expected_high))
    lowest = reading.low if isfinite(reading.low) else reading.high - OPEN_BAND
    highest = reading.high if isfinite(reading.high) else reading.low + OPEN_BAND
    spans = (
        Span(low, high, Tone.WORK, "" if first == last else first, last),
        Span(shown_one(lowest, KIND, system), shown_one(highest, KIND, system), Tone.INK, thin=True),
    )
    measured = temperature(reading.measured, system)
    dot = Dot(shown_one(reading.measured, KIND, system), Tone.INK, measured, Marker.RING)
    dots = (dot,) if reading.word is None else ()
    label = place_label(reading, case, system)
    as_read = reading.word or temperature(reading.as_read, system)
    expected = span(reading.expected_low, reading.expected_high, system)
    return Row(label, spans, dots), f"{label}: read {as_read}, expected {expected}"


def _caption(check: Check, *, ringed: bool) -> str:
    """What the marks mean that are drawn."""
    every = (*check.history, *check.readings)
    words = [*(reading.word for reading in every), *(reading.word for reading in check.elsewhere)]
    early = any(is_warm_early(finding) for reading in every for finding in reading.findings)
    told = (
        (True, READINGS_CAPTION),
        (early, EARLY_CAPTION),
        (ringed, RING_CAPTION),
        (any(word is not None for word in words), WORD_CAPTION),
    )
    return " ".join(text for drawn, text in told if drawn)


def _as_read(reading: ReadingCheck, system: UnitSystem) -> str:
    """The reading as it was read, with what it comes to less what its instrument misses; or its word."""
    if reading.word is not None:
        return reading.word
    read, measured = (temperature(T, system) for T in (reading.as_read, reading.measured))
    return (
        read if read == measured else plot_texts.ABOUT_CORRECTED_FOR_THE_INSTRUMENT.format(read=read, measured=measured)
    )


def _ends(reading: ReadingCheck) -> tuple[float, float]:
    """Between which temperatures [K] the reading lies: its uncertainty about it, or the band of its word."""
    if reading.word is None:
        u = COVERAGE * reading.uncertainty
        return reading.measured - u, reading.measured + u
    band = WORDS["dash_gauge"][reading.word]
    low = band.low if isfinite(band.low) else band.high - OPEN_BAND
    return low, band.high if isfinite(band.high) else low + OPEN_BAND


def _reading_row(reading: ReadingCheck, case: Case, system: UnitSystem) -> Row:
    low, high = (shown_one(v, KIND, system) for v in (reading.expected_low, reading.expected_high))
    first, last = (temperature(T, system) for T in (reading.expected_low, reading.expected_high))
    expected = Span(low, high, Tone.WORK, "" if first == last else first, last)
    lowest, highest = (shown_one(T, KIND, system) for T in _ends(reading))
    whisker = Span(
        lowest,
        highest,
        Tone.INK,
        thin=True,
    )
    dot = Dot(shown_one(reading.measured, KIND, system), Tone.INK, temperature(reading.measured, system), Marker.RING)
    dots = (dot,) if reading.word is None else ()  # a word is a band, and no point in it
    return Row(reading_label(reading, case, system), (expected, whisker), dots)


def place_label(reading: PlaceReading, case: Case, system: UnitSystem) -> str:
    """The name of a reading elsewhere than of the coolant: which record, where, when, and the instrument."""
    said = f", \u201c{reading.word}\u201d" if reading.word else ""
    place = SPOT_PLACES[reading.what]
    return f"{RECORDS[reading.record]}, {place}, {_when_and_by(reading.path, reading.at, case, system)}{said}"


def _when_and_by(path: str, at: float | None, case: Case, system: UnitSystem) -> str:
    when = "no time noted" if at is None else f"at {show(at, 'time', system)}"
    return f"{when}, {INSTRUMENTS[value_at(case, f'{path}.instrument')]}"


def reading_label(reading: ReadingCheck, case: Case, system: UnitSystem) -> str:
    """A reading's name: which record, when, and the instrument."""
    said = f", \u201c{reading.word}\u201d" if reading.word else ""
    return f"{RECORDS[reading.record]}, {_when_and_by(reading.path, reading.at, case, system)}{said}"


def rig(check: Check) -> Rows | None:
    """Each measured point of a rig as measured over computed, with the expanded uncertainty of the measurement."""
    if not check.rig:
        return None
    rows = tuple(row for i, point in enumerate(check.rig) for row in _rig_rows(i, point))
    ends = [v for row in rows for bar in row.spans for v in (bar.low, bar.high)]
    ticks = round_ticks(min(*ends, 0.0), max(*ends, 0.0))
    told = "; ".join(f"{row.label}: {row.dots[0].words}" for row in rows)
    words = Words(
        "Measured against computed",
        RIG_CAPTION,
        RIG_TOLD.format(points=told),
    )
    zero = Mark(0.0, "as computed", Tone.MUTED, Line.DASHED)
    return Rows(
        words, Axis(plot_texts.MEASURED_OVER_COMPUTED, "fraction", "%", (ticks[0], ticks[-1]), ticks), rows, (zero,)
    )


def _rig_rows(index: int, point: RigCheck) -> Iterator[Row]:
    figures: Sequence[tuple[str, MeasuredNumber, Tone]] = (
        (plot_texts.HEAT_FROM_THE_COOLANT, point.heat_hot, Tone.COOLANT),
        (plot_texts.HEAT_INTO_THE_AIR, point.heat_cold, Tone.AIR),
        ("conductance UA", point.UA, Tone.VALVE),
    )
    for label, figure, tone in figures:
        if figure.computed:
            at = 100.0 * figure.difference
            half = 100.0 * COVERAGE * figure.uncertainty / abs(figure.computed)
            sign = "+" if at > 0.0 else ""
            yield Row(
                f"Point {index + 1}, {label}",
                (Span(at - half, at + half, tone, thin=True),),
                (Dot(at, tone, f"{sign}{plain_number(at, 2)} %"),),
            )
