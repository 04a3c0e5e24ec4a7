"""Page one of a lesson: what is asked, and the answer; of a rig that its points agree or not, never that it holds."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.words.answer.answer import headline
from engcalc.words.answer.explained import why_undersized
from engcalc.words.answer.plainly import plain
from engcalc.words.answer.reasons import duty_sentence
from engcalc.words.page.paper_words import LESSON_ANSWER, LESSON_ASKED
from reports.kinds import Order
from reports.layout import boxed, bullets, heading, para
from reports.pages.front import head_part
from reports.pages.pictures import figures_abreast
from reports.pages.verdicts import ink_of
from reports.plots.registry import ChosenDuty, Paper, Screen, drawn_at, pictures_at


def lesson_page(order: Order, width: float) -> list[Flowable]:
    """What is asked and answered, each duty in a sentence, and the charts with the points on them."""
    check = order.check
    asked = (check.case.job.complaint or "").strip()
    return [
        *head_part(order, width),
        *([heading(LESSON_ASKED), para(asked, "quote")] if asked else []),
        heading(LESSON_ANSWER),
        boxed(
            [para(text, "lead" if i == 0 else "body") for i, text in enumerate(_lesson_answer(order))],
            width,
            ink_of(check),
        ),
        *bullets([duty_sentence(duty, order.system) for duty in check.duties]),
        *_charts(order, width),
    ]


def _charts(order: Order, width: float) -> list[Flowable]:
    """The bench's pictures, without those that stand where predicted and measured are compared."""
    chosen = ChosenDuty(order.check, None)
    made = (one.build(chosen, order.system) for one in pictures_at(Screen.BENCH) if one.paper is None)
    drawn = (*made, *drawn_at(Paper.LESSON_PAGE, chosen, order.system))
    return figures_abreast([plot for plot in drawn if plot is not None], width)


def _lesson_answer(order: Order) -> list[str]:
    """Of a rig what its points say and what follows; else the verdict and why."""
    check = order.check
    if check.bench is not None:
        return [headline(check, order.system), plain(check).if_left]
    if check.rig:
        told = plain(check)
        return [told.lead, told.if_left]
    why = why_undersized(check, order.system)
    return [headline(check, order.system), *([why] if why else [])]
