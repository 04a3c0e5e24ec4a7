"""The signature: who signs, what the signature says and what it does not, and room for two marks."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from reportlab.platypus.flowables import Flowable

from engcalc.words.page.paper_words import (
    COVERS_THE_CASE,
    COVERS_THE_PAGES,
    HOW_TO_CHECK,
    IS_A_DRAFT,
    ISSUED_BY,
    SELF_MADE,
)
from engcalc.words.texts import page_texts, report_texts
from reports import fonts
from reports.identity import Identity
from reports.kinds import Order
from reports.layout import MUTED, RULE, facts, heading, para, space, together
from reports.signing import PageBox
from reports.verification import AUTHOR_FIELD, REVIEWER_FIELD

BOX_HEIGHT = 74.0  # pt
GAP = 16.0  # pt, between the two boxes


class SignatureBoxes(Flowable):  # type: ignore[misc]  # the page library carries no types
    """Two boxes side by side, for author and reviewer; once drawn, it knows where on which page they lie."""

    def __init__(self, width: float) -> None:
        super().__init__()
        self.width, self.height = width, BOX_HEIGHT + 16.0
        self.author: PageBox | None = None
        self.reviewer: PageBox | None = None

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Its size does not depend on the room."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw frames and captions and note the places."""
        box_width = (self.width - GAP) / 2
        right = box_width + GAP
        with self.canv.element("Div", title=AUTHOR_FIELD):  # the field comes in beneath it when it is signed
            self.author = self._box(0.0, box_width, "Author's signature")
        with self.canv.element("Div", title=REVIEWER_FIELD):
            self.reviewer = self._box(right, box_width, page_texts.REVIEWERS_SIGNATURE_IF_ANY)

    def _box(self, left: float, width: float, caption: str) -> PageBox:
        canvas: Any = self.canv
        x, y = canvas.absolutePosition(left, 0)
        box = (round(x), round(y), round(x + width), round(y + BOX_HEIGHT))  # signature fields lie on whole points
        with canvas.artifact():
            canvas.setStrokeColor(RULE)
            canvas.setLineWidth(0.5)
            canvas.setDash(3, 2)
            canvas.rect(left + box[0] - x, box[1] - y, box[2] - box[0], box[3] - box[1])
            canvas.setDash()
        with canvas.element("P"), canvas.content():
            canvas.setFillColor(MUTED)
            canvas.setFont(fonts.REGULAR, 8)
            canvas.drawString(left, BOX_HEIGHT + 4, caption)
        return PageBox(canvas.getPageNumber() - 1, box)


@dataclass(frozen=True)
class SignedPaper:
    """What the signature of a paper says: by whom, of which paper, made when. ``signer`` is None for a draft;
    ``credential`` serves a certificate that carries none; ``carries_case``: the numbers can be run again from it."""

    signer: Identity | None
    report_id: str
    now: datetime
    credential: str = ""
    carries_case: bool = True

    @property
    def made_on(self) -> str:
        """When it was made, in words."""
        return f"{self.now:%Y-%m-%d %H:%M %Z}"

    @property
    def what_it_says(self) -> str:
        """What a signature shows and what it does not."""
        return COVERS_THE_CASE if self.carries_case else COVERS_THE_PAGES


def of_order(order: Order) -> SignedPaper:
    """The signature of a report."""
    return SignedPaper(order.signer, order.report_id, order.now, order.check.case.job.credential or "")


def signature_part(paper: SignedPaper, boxes: SignatureBoxes, width: float) -> list[Flowable]:
    """The signature's heading, words and boxes, on one page."""
    return [
        together(
            [
                heading("Signature"),
                *_signer(paper, width),
                *_how_to_check(paper),
                para(paper.what_it_says, "small"),
                *facts([("Report", paper.report_id), ("Made on", paper.made_on)], width),
                boxes,
            ]
        )
    ]


def signed_block(paper: SignedPaper, boxes: SignatureBoxes, width: float) -> list[Flowable]:
    """The same in less room, for the foot of the customer's second page."""
    return [
        heading("Signature"),
        *_signer(paper, width, "small"),
        boxes,
        space(6),
        *_how_to_check(paper),
        para(
            page_texts.REPORT_MADE_ON.format(
                what_it_says=paper.what_it_says, report_id=paper.report_id, made_on=paper.made_on
            ),
            "small",
        ),
    ]


def _how_to_check(paper: SignedPaper) -> list[Flowable]:
    return [] if paper.signer is None else [para(HOW_TO_CHECK, "small")]


def _signer(paper: SignedPaper, width: float, words: str = "body") -> list[Flowable]:
    signer = paper.signer
    if signer is None:
        return [para(IS_A_DRAFT)]
    credential = signer.credential or paper.credential
    said = [
        ("Signed by", signer.name),
        ("Credential", f"{credential} ({report_texts.STATED_BY_THE_SIGNER})" if credential else None),
        ("Fingerprint", signer.fingerprint),
    ]
    issuer = signer.certificate.issuer.rfc4514_string()
    return [
        *facts(said, width),
        para(SELF_MADE if signer.self_issued else ISSUED_BY.format(issuer=issuer), words),
    ]
