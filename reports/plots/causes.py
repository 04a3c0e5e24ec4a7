"""What the likeliest causes would show, over what was measured."""

from __future__ import annotations

import numpy as np

from engcalc.case.records import Record
from engcalc.diagnosis.odds.diagnosis import Curve, Diagnosis
from engcalc.units import Array, UnitSystem, show
from engcalc.words.diagnosis.causes import cause_label
from engcalc.words.diagnosis.causes_told import named_causes
from engcalc.words.page.picture_words import CAUSES_CAPTION
from engcalc.words.texts import plot_texts, shared_texts
from reports.plots.describe import Chart, Line, Marker, Tone, Words
from reports.plots.lines import AxisQuantity, Swept, line_chart

TIME = AxisQuantity(shared_texts.TIME_SINCE_THE_START, "time", zero=True)
TONES = ((Tone.COOLANT, Line.SOLID), (Tone.AIR, Line.DASHED), (Tone.HEATER, Line.DOTTED))
MOST_POINTS = 120  # of what was measured, each drawn as a point


def curves_chart(found: Diagnosis, record: Record, system: UnitSystem) -> Chart:
    """The sensor under each leading cause that the list names, 5 to 95 % of its odds shaded, and what was measured."""
    named = [cause.fault for cause in named_causes(found)]
    curves = sorted((c for c in found.curves if c.fault in named), key=lambda curve: named.index(curve.fault))
    swept = [_swept(curve, *style) for curve, style in zip(curves, TONES, strict=False)]
    time, T = _measured(found, record)
    if time.size:
        swept.append(Swept("measured", time, T, Tone.INK, Line.NONE, Marker.RING))
    told = "; ".join(
        plot_texts.AT_THE_END.format(
            cause_label=cause_label(c.fault), median=show(float(c.median[-1]), "temperature", system)
        )
        for c in curves
    )
    words = Words(
        plot_texts.WHAT_EACH_CAUSE_WOULD_SHOW,
        CAUSES_CAPTION,
        f"{told}.",
    )
    return line_chart(
        words, TIME, AxisQuantity(plot_texts.COOLANT_AS_THE_SENSOR_SHOWS_IT, "temperature"), swept, system
    )


def _swept(curve: Curve, tone: Tone, line: Line) -> Swept:
    label = cause_label(curve.fault)
    return Swept(label, curve.time, curve.median, tone, line, low=curve.low, high=curve.high)


def _measured(found: Diagnosis, record: Record) -> tuple[Array, Array]:
    """The curve of log or typed pairs, thinned, and the coolant readings taken by hand."""
    time, T = found.measured
    which = (
        np.unique(np.linspace(0, time.size - 1, min(time.size, MOST_POINTS)).round().astype(int))
        if time.size
        else np.zeros(0, dtype=int)
    )
    read = [s for s in record.spots if s.what == "coolant" and s.at is not None and s.word is None]
    spots = [(float(s.at[0]), float(s.value[0])) for s in read if s.at is not None]
    hands = np.array(spots, dtype=np.float64).reshape(-1, 2)
    return np.concatenate((time[which], hands[:, 0])), np.concatenate((T[which], hands[:, 1]))
