"""The cores that hold as a picture: how large each is, and how far under its limit it keeps the coolant."""

from __future__ import annotations

import numpy as np

from engcalc.studies.choice.core_search import CoreOption
from engcalc.studies.choice.least_core import LeastCore
from engcalc.units import UnitSystem, show
from engcalc.words.page.picture_words import CORES_CAPTION, FRONT_TOLD, LEAST_CORE_TOLD, PICK_CORE
from engcalc.words.sizing.least_core_words import core_words
from engcalc.words.terms.numbers import difference
from engcalc.words.texts import plot_texts
from reports.plots.describe import Chart, LabelledPoint, Line, Marker, Pick, Tone, Words
from reports.plots.lines import AxisQuantity, Guides, Swept, line_chart

TITLE = "Cores that hold"


def front_chart(found: LeastCore, system: UnitSystem) -> Chart | None:
    """Margin over volume of every core of the choice, the least one named; None where there is no choice.

    A pick's key is the core's place in the choice.
    """
    if found.least is None or len(found.front) < 2:
        return None
    ordered = sorted(found.front, key=lambda o: o.volume)
    words = Words(
        TITLE,
        CORES_CAPTION,
        FRONT_TOLD.format(
            title=TITLE,
            least=_spoken_least_core(found.least, system),
            many=len(ordered) - 1,
            largest=show(ordered[-1].volume, "volume", system),
        ),
    )
    marks = Swept(
        "core that holds",
        np.array([o.volume for o in ordered]),
        np.array([o.margin for o in ordered]),
        Tone.FIRST,
        Line.NONE,
        Marker.RING,
    )
    size = show(found.least.volume, "volume", system)
    least = LabelledPoint(found.least.volume, found.least.margin, f"least: {size}", Tone.COOLANT, Marker.DIAMOND)
    picks = tuple(
        Pick(str(i), option.volume, option.margin, f"{PICK_CORE}: {core_words(option.core, system)}")
        for i, option in sorted(enumerate(found.front), key=lambda pair: pair[1].volume)
    )
    return line_chart(
        words,
        AxisQuantity(plot_texts.VOLUME_OF_THE_CORE, "volume"),
        AxisQuantity(plot_texts.MARGIN_IN_THE_DUTY_LEAST_SURE, "temperature difference"),
        [marks],
        system,
        Guides(spots=(least,), picks=picks),
    )


def _spoken_least_core(least: CoreOption, system: UnitSystem) -> str:
    return LEAST_CORE_TOLD.format(core=core_words(least.core, system), margin=difference(least.margin, system))
