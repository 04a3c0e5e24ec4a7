"""Before and after the repair: two curves over what a healthy vehicle would show."""

from __future__ import annotations

from engcalc.diagnosis.before_after import BeforeAfter
from engcalc.units import UnitSystem
from engcalc.words.picture_words import PROOF_CAPTION
from engcalc.words.proof_words import proof_sentence
from reports.plots.describe import Chart, Line, Tone, Words
from reports.plots.lines import AxisQuantity, Swept, line_chart
from reports.plots.warmup import TIME, thinned


def before_after_chart(found: BeforeAfter, system: UnitSystem) -> Chart:
    """Both records as they were measured, and the band of a healthy vehicle on the second drive."""
    band = found.after.study.band
    swept = [
        Swept(
            "a healthy vehicle, second drive",
            band.time,
            band.middle,
            Tone.VALVE,
            Line.DOTTED,
            low=band.low,
            high=band.high,
        )
    ]
    for name, half, tone, line in (
        ("before", found.before, Tone.COOLANT, Line.DASHED),
        ("after", found.after, Tone.FIRST, Line.SOLID),
    ):
        if half.study.measured is not None:
            swept.append(Swept(name, *thinned(half.study.measured.time, half.study.measured.T), tone, line))
    words = Words(
        "Before and after the repair",
        PROOF_CAPTION,
        proof_sentence(found, system),
    )
    return line_chart(words, TIME, AxisQuantity("Coolant as the sensor shows it", "temperature"), swept, system)
