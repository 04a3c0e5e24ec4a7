"""The least core that fits the room and holds every duty, the choice of those that hold, or why none fits."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.studies.choice.core_search import CoreOption
from engcalc.studies.choice.least_core import LeastCore
from engcalc.units import UnitSystem
from engcalc.words.sizing.least_core_words import (
    CORES_HEAD,
    core_in_short,
    least_core_sentences,
    option_chance,
)
from engcalc.words.texts import page_texts
from reports.kinds import Order
from reports.layout import HeadedTable, abreast, grid, half_width, para, subheading, together
from reports.pages.pictures import figures_beside
from reports.pages.values import quantity
from reports.plots.registry import Paper

MOST_CORES = 4  # of the choice: the rest stand in the program


def least_core_part(order: Order, width: float) -> list[Flowable]:
    """The answer in sentences, the picture of the choice and its cores; empty where no core was sought."""
    found = order.least_core
    if found is None:
        return []
    said = [para(sentence) for sentence in least_core_sentences(found, order.system)]
    if len(found.front) < 2:
        return said
    rows = [_row(found, option, order.system) for option in found.front[:MOST_CORES]]
    head = (CORES_HEAD, "Volume", "Mass", "Margin", "Holds", "Air drop", "Coolant drop")
    table = HeadedTable(
        head, rows, frozenset({1, 2, 3, 5, 6}), small=True, shares=(0.4, 0.09, 0.08, 0.08, 0.12, 0.11, 0.12)
    )
    half = half_width(width)
    beside = abreast(said, figures_beside(Paper.LEAST_CORE, found, order.system, half), width)
    return [together([beside]), subheading(page_texts.CORES_TO_CHOOSE_FROM), grid(table, width)]


def _row(found: LeastCore, option: CoreOption, system: UnitSystem) -> tuple[str, ...]:
    return (
        core_in_short(option.core, system),
        quantity(option.volume, "volume", system),
        quantity(option.mass, "mass", system),
        quantity(option.margin, "temperature difference", system, 2),
        option_chance(found, option),
        quantity(option.air_drop, "pressure difference", system),
        quantity(option.coolant_drop, "pump pressure", system),
    )
