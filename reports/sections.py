"""The sections of a report, one entry each: key, title, builder, for which kinds; they stand on paper in this order.

To add a section, write its builder in ``reports/pages`` and its entry here. The customer's own two pages and the
signature are no sections: :mod:`reports.build` makes them, for the places of the signatures are known only from there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from reportlab.platypus.flowables import Flowable

from engcalc.words.diagnosis.conclusion_words import CAPACITY_QUESTION
from engcalc.words.lesson.teaching_words import CHARTS_TITLE
from engcalc.words.page.paper_words import (
    CURVES_TITLE,
    HEART,
    HOW_SURE,
    LESSON_TITLE,
    SHORT_WORKING,
    SIZING_TITLE,
    SYMBOLS_TITLE,
)
from engcalc.words.sizing.cooler_words import COOLERS
from reports.kinds import Annex, Order, ReportKind
from reports.layout import heading
from reports.pages import bench, closing, derivation, evidence, heart, lesson, mending, refill, rig, sizing
from reports.pages.candidates import candidates_part
from reports.pages.causes import causes_part
from reports.pages.curves import curves_part
from reports.pages.least_core import least_core_part
from reports.pages.symbols import symbols_part
from reports.pages.teaching import charts_part
from reports.pages.warmup import warmup_part

CUSTOMER, SIZING, LESSON = ReportKind.CUSTOMER, ReportKind.SIZING, ReportKind.LESSON
ALWAYS, SHORT, FULL = Annex.NONE, Annex.SHORT, Annex.FULL
EVERY_SHORT = {CUSTOMER: SHORT, SIZING: SHORT, LESSON: SHORT}
EVERY_FULL = {CUSTOMER: FULL, SIZING: FULL, LESSON: FULL}
STUDY = {SIZING: ALWAYS}


@dataclass(frozen=True)
class ReportSection:
    """One section of a report.

    ``build`` takes the order and the width of the page [pt] and gives what stands under the title; nothing where the
    case has nothing for the section, which then has no title either. ``from_annex`` says for each kind the least annex
    with which the section stands; a kind that is not in it never has the section. ``heads_itself``: the builder writes
    the heading, since that holds more than the title, such as a duty's name.
    """

    key: str
    title: str
    build: Callable[[Order, float], list[Flowable]]
    from_annex: Mapping[ReportKind, Annex]
    heads_itself: bool = False

    def stands_in(self, kind: ReportKind, annex: Annex) -> bool:
        """Whether a report of this kind with this annex has the section."""
        least = self.from_annex.get(kind)
        return least is not None and least <= annex

    def parts(self, order: Order, width: float) -> list[Flowable]:
        """Heading and body; empty where there is nothing to say."""
        body = self.build(order, width)
        if self.heads_itself or not body:
            return body
        return [heading(self.title), *body]


SECTIONS: tuple[ReportSection, ...] = (
    ReportSection("sizing_page", SIZING_TITLE, sizing.sizing_page, STUDY, heads_itself=True),
    ReportSection("lesson_page", LESSON_TITLE, lesson.lesson_page, {LESSON: ALWAYS}, heads_itself=True),
    ReportSection("reasons", "Why we say so", evidence.reasons_part, {CUSTOMER: SHORT, SIZING: ALWAYS, LESSON: ALWAYS}),
    ReportSection("evidence", "What we measured and saw", evidence.evidence_part, EVERY_SHORT),
    ReportSection("causes", "What may be behind it", causes_part, EVERY_SHORT),
    ReportSection("duties", "Duties asked", sizing.duties_part, {SIZING: ALWAYS, LESSON: SHORT}),
    ReportSection(
        "courses", "", sizing.courses_part, {SIZING: ALWAYS, LESSON: SHORT, CUSTOMER: FULL}, heads_itself=True
    ),
    ReportSection("heart", HEART, heart.heart_part, {CUSTOMER: SHORT, SIZING: ALWAYS, LESSON: ALWAYS}),
    ReportSection("capacity", CAPACITY_QUESTION, evidence.duties_part, EVERY_SHORT),
    ReportSection("results", "Operating points", sizing.results_part, {SIZING: FULL, LESSON: SHORT, CUSTOMER: FULL}),
    ReportSection("coolers", COOLERS, sizing.coolers_part, {SIZING: ALWAYS, LESSON: SHORT, CUSTOMER: FULL}),
    ReportSection("how_sure", HOW_SURE, sizing.how_sure_part, {SIZING: ALWAYS, LESSON: SHORT, CUSTOMER: FULL}),
    ReportSection("hardest_duty", sizing.HARDEST, sizing.limits_part, STUDY, heads_itself=True),
    ReportSection("options", mending.OPTIONS, mending.options_part, STUDY, heads_itself=True),
    ReportSection("least_core", "The least core that holds", least_core_part, STUDY),
    ReportSection("candidates", "Parts side by side", candidates_part, STUDY),
    ReportSection("sensitivity", mending.SENSITIVITY, mending.sensitivity_part, {SIZING: FULL}, heads_itself=True),
    ReportSection("curves", CURVES_TITLE, curves_part, {SIZING: SHORT}),
    ReportSection("short_working", SHORT_WORKING, derivation.short_working_part, {SIZING: SHORT}, heads_itself=True),
    ReportSection("charts", CHARTS_TITLE, charts_part, {LESSON: ALWAYS}),
    ReportSection("measured", "Predicted beside measured", sizing.measured_part, {SIZING: ALWAYS, LESSON: ALWAYS}),
    ReportSection("warmup", "The warm-up", warmup_part, EVERY_FULL),
    ReportSection("refill", "Refill and bleed", refill.refill_part, EVERY_FULL),
    ReportSection(
        "point_working", "Working of the points", rig.point_working_part, {LESSON: ALWAYS}, heads_itself=True
    ),
    ReportSection("bench", "Worked on the bench", bench.bench_part, {LESSON: ALWAYS}),
    ReportSection(
        "bench_working", "Working on the bench", bench.bench_working_part, {LESSON: ALWAYS}, heads_itself=True
    ),
    ReportSection(
        "working",
        derivation.WORKING,
        derivation.working_part,
        {CUSTOMER: FULL, SIZING: FULL, LESSON: ALWAYS},
        heads_itself=True,
    ),
    ReportSection("symbols", SYMBOLS_TITLE, symbols_part, {LESSON: ALWAYS}),
    ReportSection("inputs", "Inputs and where they come from", closing.inputs_part, EVERY_SHORT),
    ReportSection("assumptions", "Assumptions", closing.assumptions_part, EVERY_FULL),
    ReportSection("uncertainty", "Uncertainty", closing.uncertainty_part, EVERY_FULL),
    ReportSection("sources", "Sources", closing.sources_part, EVERY_SHORT),
    ReportSection("cautions", "Cautions", closing.cautions_part, EVERY_SHORT),
)


WORKING_KEYS = ("point_working", "bench_working", "working")
"""Sections that derive every number line by line."""


def sections_of(kind: ReportKind, annex: Annex) -> tuple[ReportSection, ...]:
    """The sections of one kind of report with this annex, in order."""
    return tuple(section for section in SECTIONS if section.stands_in(kind, annex))
