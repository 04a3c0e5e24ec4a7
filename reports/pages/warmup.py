"""The warm-up on paper: two curves and one sentence for the customer, then each record with what it says."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.vehicle.warmup_study import RecordStudy
from engcalc.words.proof_words import proof_sentence, proof_sentences
from engcalc.words.warmup_words import TITLES, warmup_sentences
from reports.figures import Figure
from reports.kinds import Order
from reports.layout import bullets, first_that_fits, heading, para, space, subheading
from reports.pages.pictures import figures
from reports.plots.describe import Plot
from reports.plots.registry import Paper, drawn_at
from reports.tagging import Tagged
from reports.texts import plain

ON_PAGE_ONE = (0.72, 0.65, 0.58, 0.51)  # of the width, what fits: so that finding, sentence and curves share a page


def proof_part(order: Order, width: float) -> list[Flowable]:
    """What changed, for the customer: one sentence and two curves. Empty without two records laid together."""
    if order.records is None or order.records.both is None:
        return []
    both = order.records.both
    plots = drawn_at(Paper.PROOF, both, order.system)
    sizes = [[part for plot in plots for part in _untitled(plot, share * width)] for share in ON_PAGE_ONE]
    return [heading("What changed"), para(proof_sentence(both, order.system), "lead"), first_that_fits(sizes)]


def _untitled(plot: Plot, width: float) -> list[Flowable]:
    """A picture with its caption; the sentence above it is title enough."""
    picture = Tagged(Figure(plot, width), "Figure", plain(plot.words.alternative))
    return [picture, para(plot.words.caption, "small")]


def warmup_part(order: Order, width: float) -> list[Flowable]:
    """Every record: its curve over the band of a healthy vehicle, what the fit leaves, and what they say."""
    if order.records is None:
        return []
    parts: list[Flowable] = []
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
        *figures(Paper.WARMUP, record, order.system, width),
    ]
