"""What heads the first page of every kind: the shop, a danger where there is one, whose vehicle it is."""

from __future__ import annotations

import io

from reportlab.platypus import Image
from reportlab.platypus.flowables import Flowable

from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.grounds import GroundCode
from engcalc.words.answer.answer import carrying
from engcalc.words.diagnosis.conclusion_words import CAN_FREEZE, DANGER_HEADS, next_step_of
from engcalc.words.diagnosis.told_by_customer import reason_for_visit
from engcalc.words.terms.numbers import capital
from reports.kinds import USUAL_TITLES, Order
from reports.layout import FONT, RULE, boxed, bullets, facts_abreast, para, title
from reports.letterhead import Letterhead
from reports.pages.verdicts import ink_of
from reports.tagging import Tagged, tagged_table
from reports.texts import cut

GROUNDS_TOLD = 3  # grounds that page one tells; all of them stand behind
LOGO_WIDTH, LOGO_HEIGHT = 130.0, 44.0  # pt, at most
LONGEST_FACT = 160  # characters of a fact on page one; the carried case has it whole


def head_part(order: Order, width: float, longest: int = LONGEST_FACT) -> list[Flowable]:
    """Letterhead, danger, title, vehicle and job: how every first page begins. ``longest``: characters of one fact."""
    return [
        *letterhead_part(order.letterhead, width),
        *danger_part(order, width),
        title(cut(order.check.case.job.title or USUAL_TITLES[order.kind], longest)),
        *who_and_what(order, width, longest),
    ]


def letterhead_part(shop: Letterhead | None, width: float) -> list[Flowable]:
    """The shop's logo and name on the left, how to reach it on the right; empty where nobody named a shop."""
    if shop is None:
        return []
    logo = [] if shop.logo is None else [_logo(shop)]
    named = [para(shop.name, "shop")]
    logo_width = logo[0].width + 12.0 if logo else 0.0
    left = (width - logo_width) * 0.56
    cells, columns = [named, [para(shop.contact, "contact")]], [left, width - logo_width - left]
    if logo:
        cells, columns = [logo, *cells], [logo_width, *columns]
    look = [
        FONT,
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 0),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
        ("LINEBELOW", (0, 0), (-1, -1), 0.5, RULE),
    ]
    return [tagged_table([cells], layout=True, colWidths=columns, style=look, spaceAfter=10)]


def _logo(shop: Letterhead) -> Tagged:
    """The logo within its room, as a picture with words in its place."""
    found = shop.logo
    if found is None:
        raise AssertionError("a letterhead without a logo draws none")
    scale = min(LOGO_WIDTH / found.width, LOGO_HEIGHT / found.height)
    drawn = Image(io.BytesIO(found.data), width=found.width * scale, height=found.height * scale, hAlign="LEFT")
    logo = Tagged(drawn, "Figure", f"Logo of {shop.name}")
    logo.width = found.width * scale
    return logo


def danger_part(order: Order, width: float) -> list[Flowable]:
    """Where something was found that can hurt: may it be driven, why, what to do, and what to mind."""
    check = order.check
    found = conclude(check)
    head = CAN_FREEZE if found.lead.code is GroundCode.FREEZES else DANGER_HEADS.get(found.danger)
    if head is None:
        return []
    step = next_step_of(found)
    why = " ".join(carrying(check, order.system)[:GROUNDS_TOLD])
    act = [] if step is None else [para(step.text, "strong"), *bullets(step.caution_texts)]
    return [boxed([para(head, "lead"), para(why), *act], width, ink_of(check))]


def who_and_what(order: Order, width: float, longest: int) -> list[Flowable]:
    """The vehicle, its owner and the work order; the shop stands above in its letterhead."""
    job = order.check.case.job
    vehicle = [
        ("Vehicle", job.vehicle),
        ("Registration", job.registration),
        ("VIN", job.vin),
        ("Odometer", job.odometer),
    ]
    paper = [
        ("Customer", job.customer),
        ("Work order", job.work_order),
        ("Reason", capital(reason_for_visit(order.check.case))),
        ("Date", job.date or f"{order.now:%Y-%m-%d}"),
        ("Prepared by", job.prepared_by),
    ]
    left, right = ([(label, cut(text or "", longest)) for label, text in some] for some in (vehicle, paper))
    return facts_abreast(left, right, width)
