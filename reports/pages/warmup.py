"""The warm-up on paper: each record with what it says, and what both together prove."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.vehicle.warmup_study import RecordStudy
from engcalc.words.answer.warmup_words import TITLES, warmup_sentences
from engcalc.words.diagnosis.proof_words import proof_sentences
from reports.kinds import Order
from reports.layout import bullets, space, subheading
from reports.pages.pictures import figures
from reports.plots.registry import Paper


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
