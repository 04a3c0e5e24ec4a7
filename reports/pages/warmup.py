"""The warm-up on paper: two curves and one sentence for the customer, then each record with what it says."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.vehicle.warmup_study import RecordStudy
from engcalc.words.proof_words import proof_sentence, proof_sentences
from engcalc.words.warmup_words import TITLES, warmup_sentences
from reports.figures import Figure
from reports.kinds import Order
from reports.layout import bullets, first_that_fits, heading, para, space, subheading
from reports.pages.pictures import figure
from reports.plots.proof import before_after_chart
from reports.plots.warmup import residual_chart, warmup_chart
from reports.tagging import Tagged
from reports.texts import plain

ON_PAGE_ONE = (0.72, 0.65, 0.58, 0.51)  # of the width, what fits: so that finding, sentence and curves share a page


def proof_part(order: Order, width: float) -> list[Flowable]:
    """What changed, for the customer: one sentence and two curves. Empty without two records laid together."""
    if order.records is None or order.records.both is None:
        return []
    both = order.records.both
    chart = before_after_chart(both, order.system)
    curves = [
        [
            Tagged(Figure(chart, share * width), "Figure", plain(chart.words.alternative)),
            para(chart.words.caption, "small"),
        ]
        for share in ON_PAGE_ONE
    ]
    return [heading("What changed"), para(proof_sentence(both, order.system), "lead"), first_that_fits(curves)]


def warmup_pages(order: Order, width: float) -> list[Flowable]:
    """Every record: its curve over the band of a healthy vehicle, what the fit leaves, and what they say."""
    if order.records is None:
        return []
    parts: list[Flowable] = [heading("The warm-up")]
    if order.records.both is not None:
        parts += bullets(proof_sentences(order.records.both, order.system)[1:])
    for record in order.records.study.records:
        parts += _record(record, order, width)
    return parts


def _record(record: RecordStudy, order: Order, width: float) -> list[Flowable]:
    return [
        space(4),
        subheading(TITLES[record.name]),
        *bullets(warmup_sentences(record, order.system)),
        *figure(warmup_chart(record, order.system), width),
        *figure(residual_chart(record, order.system), width),
    ]
