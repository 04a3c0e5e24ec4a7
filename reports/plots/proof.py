"""Before and after the repair: two curves over what a healthy vehicle would show, over time or at the same heat."""

from __future__ import annotations

from engcalc.diagnosis.repair.before_after import BeforeAfter
from engcalc.units import Array, UnitSystem
from engcalc.words.diagnosis.proof_words import proof_sentence, so_far_sentence
from engcalc.words.page.picture_words import PROOF_CAPTION, SO_FAR_CAPTION
from engcalc.words.texts import plot_texts, shared_texts
from reports.plots.describe import Chart, Line, Tone, Words
from reports.plots.lines import AxisQuantity, Swept, line_chart
from reports.plots.warmup import TIME, thinned


def before_after_chart(found: BeforeAfter, system: UnitSystem) -> Chart:
    """Both records as they were measured, and the band of a healthy vehicle on the second drive."""
    before = found.before.study.measured
    lines = [] if before is None else [_before("before", before.time, before.T)]
    return _chart(
        found,
        lines,
        Words(plot_texts.BEFORE_AND_AFTER_THE_REPAIR, PROOF_CAPTION, proof_sentence(found, system)),
        system,
    )


def so_far_chart(found: BeforeAfter, system: UnitSystem) -> Chart:
    """The run after the repair as it grows, and the run before laid over it where as much heat had been put in."""
    at = found.at_same_heat
    lines = [] if at is None else [_before(plot_texts.BEFORE_AT_THE_SAME_HEAT, at.time, at.before)]
    words = Words(shared_texts.BEFORE_AND_AFTER_SO_FAR, SO_FAR_CAPTION, so_far_sentence(found, system))
    return _chart(found, lines, words, system)


def _before(name: str, time: Array, T: Array) -> Swept:
    return Swept(name, *thinned(time, T), Tone.COOLANT, Line.DASHED)


def _chart(found: BeforeAfter, before: list[Swept], words: Words, system: UnitSystem) -> Chart:
    """The run before as it is given, the run after as it was measured, and what a healthy vehicle would show on it."""
    band, after = found.after.study.band, found.after.study.measured
    healthy = Swept(
        plot_texts.HEALTHY_VEHICLE_SECOND_DRIVE,
        band.time,
        band.middle,
        Tone.VALVE,
        Line.DOTTED,
        low=band.low,
        high=band.high,
    )
    swept = [healthy, *before]
    if after is not None:
        swept.append(Swept("after", *thinned(after.time, after.T), Tone.FIRST, Line.SOLID))
    return line_chart(
        words, TIME, AxisQuantity(plot_texts.COOLANT_AS_THE_SENSOR_SHOWS_IT, "temperature"), swept, system
    )
