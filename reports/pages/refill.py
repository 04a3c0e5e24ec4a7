"""Refill and bleed on paper: what the mixture stands, what goes in, what air is left; steps with their cautions."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.words.page.cautions import CAUTION_TEXTS
from engcalc.words.workshop.refill_words import MAKERS_FIRST, STEPS, refill_parts, refill_steps
from reports.kinds import Order
from reports.layout import bullets, facts, para, subheading
from reports.pages.values import as_given, label_of

LABELS = 150.0  # pt; the width of the entries' names


def refill_part(order: Order, width: float) -> list[Flowable]:
    """The refill as entered; empty where nobody entered one."""
    found = order.check.refill
    if found is None:
        return []
    typed = [path for path, given in found.case.given.items() if path.startswith("refill.") and given.typed]
    parts: list[Flowable] = [
        para(MAKERS_FIRST),
        *facts([(label_of(path), as_given(found.case, path, order.system)) for path in typed], width, LABELS),
    ]
    for head, sentences in refill_parts(found, order.system).items():
        parts += [subheading(head), *bullets(sentences)] if sentences else []
    parts.append(subheading(STEPS))
    for number, step in enumerate(refill_steps(found), 1):
        parts += [
            para(f"{number}. {step.text}"),
            *bullets([f"Caution: {CAUTION_TEXTS[key]}" for key in step.cautions], "small bullet"),
        ]
    return parts
