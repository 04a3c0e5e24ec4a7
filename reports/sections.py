"""The sections of a report, one entry each: key, title, builder, for which kinds; they stand on paper in this order.

To add a section, write its builder in ``reports/pages`` and its entry here. The pages with the signatures come last and
are no section: :mod:`reports.build` adds them, for the places of the signatures are known only from there.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from reportlab.platypus.flowables import Flowable

from reports.kinds import Order, ReportKind
from reports.layout import heading
from reports.pages import closing, derivation, evidence, front, mending, refill, sizing
from reports.pages.causes import causes_part
from reports.pages.warmup import warmup_part

EVERY = tuple(ReportKind)
CUSTOMER = (ReportKind.CUSTOMER,)
SIZING = (ReportKind.SIZING,)


@dataclass(frozen=True)
class ReportSection:
    """One section of a report.

    ``build`` takes the order and the width of the page [pt] and gives what stands under the title; nothing where the
    case has nothing for the section, which then has no title either. ``heads_itself``: the builder writes the heading,
    since that holds more than the title, such as a duty's name.
    """

    key: str
    title: str
    build: Callable[[Order, float], list[Flowable]]
    kinds: tuple[ReportKind, ...] = EVERY
    heads_itself: bool = False

    def parts(self, order: Order, width: float) -> list[Flowable]:
        """Heading and body; empty where there is nothing to say."""
        body = self.build(order, width)
        if self.heads_itself or not body:
            return body
        return [heading(self.title), *body]


SECTIONS: tuple[ReportSection, ...] = (
    ReportSection("customer_page", front.TITLE, front.customer_page, CUSTOMER, heads_itself=True),
    ReportSection("sizing_page", sizing.TITLE, sizing.sizing_page, SIZING, heads_itself=True),
    ReportSection("reasons", "Why we say so", evidence.reasons_part),
    ReportSection("duties", "Duties asked", sizing.duties_part, SIZING),
    ReportSection("results", "Operating points", sizing.results_part, SIZING),
    ReportSection("hardest_duty", sizing.HARDEST, sizing.limits_part, SIZING, heads_itself=True),
    ReportSection("options", mending.OPTIONS, mending.options_part, SIZING, heads_itself=True),
    ReportSection("sensitivity", mending.SENSITIVITY, mending.sensitivity_part, SIZING, heads_itself=True),
    ReportSection("measured", "Predicted beside measured", sizing.measured_part, SIZING),
    ReportSection("causes", "What may be behind it", causes_part),
    ReportSection("warmup", "The warm-up", warmup_part),
    ReportSection("refill", "Refill and bleed", refill.refill_part),
    ReportSection("evidence", "What we measured and saw", evidence.evidence_part),
    ReportSection("working", derivation.WORKING, derivation.working_part, SIZING, heads_itself=True),
    ReportSection("inputs", "Inputs and where they come from", closing.inputs_part),
    ReportSection("assumptions", "Assumptions", closing.assumptions_part),
    ReportSection("uncertainty", "Uncertainty", closing.uncertainty_part),
    ReportSection("sources", "Sources", closing.sources_part),
    ReportSection("cautions", "Cautions", closing.cautions_part),
)


def sections_of(kind: ReportKind) -> tuple[ReportSection, ...]:
    """The sections of one kind of report, in order."""
    return tuple(section for section in SECTIONS if kind in section.kinds)
