"""The signature: who signs, what the signature says and what it does not, and room for two marks."""

from __future__ import annotations

from typing import Any

from reportlab.platypus.flowables import Flowable

from reports import fonts
from reports.identity import HOW_TO_CHECK
from reports.kinds import Order
from reports.layout import MUTED, RULE, facts, heading, para, room, space
from reports.signing import STATED, PageBox

BOX_HEIGHT = 74.0  # pt
GAP = 16.0  # pt, between the two boxes
WHAT_IT_SAYS = (
    "A signature shows whether anything was changed since, and by whom it was made. It covers every page "
    "and the attached case, from which anyone can run the numbers again. Only the reviewer's field may "
    "still be filled."
)
SELF_ISSUED = (
    "The signer made this identity: the name and the credential are the signer's word and are not vouched "
    "for by others."
)
VOUCHED = "The identity was issued by {issuer}; whether to trust that issuer is the reader's choice."
DRAFT = "This is a draft. It is not signed; anyone may have changed it."


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
        with self.canv.artifact():
            self.author = self._box(0.0, box_width, "Author's signature")
            self.reviewer = self._box(box_width + GAP, box_width, "Reviewer's signature, if any")

    def _box(self, left: float, width: float, caption: str) -> PageBox:
        canvas: Any = self.canv
        canvas.setStrokeColor(RULE)
        canvas.setLineWidth(0.5)
        x, y = canvas.absolutePosition(left, 0)
        box = (round(x), round(y), round(x + width), round(y + BOX_HEIGHT))  # signature fields lie on whole points
        canvas.setDash(3, 2)
        canvas.rect(left + box[0] - x, box[1] - y, box[2] - box[0], box[3] - box[1])
        canvas.setDash()
        canvas.setFillColor(MUTED)
        canvas.setFont(fonts.REGULAR, 8)
        canvas.drawString(left, BOX_HEIGHT + 4, caption)
        return PageBox(canvas.getPageNumber() - 1, box)


def signature_part(order: Order, boxes: SignatureBoxes, width: float) -> list[Flowable]:
    """The signature's heading, words and boxes, on one page."""
    return [
        room(330),
        heading("Signature"),
        *_signer(order, width),
        *_how_to_check(order),
        para(WHAT_IT_SAYS, "small"),
        *facts([_number(order), ("Made on", _made_on(order))], width),
        boxes,
    ]


def signed_block(order: Order, boxes: SignatureBoxes, width: float) -> list[Flowable]:
    """The same in less room, for the foot of the customer's second page."""
    return [
        heading("Signature"),
        *_signer(order, width, "small"),
        boxes,
        space(6),
        *_how_to_check(order),
        para(f"{WHAT_IT_SAYS} Report {order.report_id}, made on {_made_on(order)}.", "small"),
    ]


def _number(order: Order) -> tuple[str, str]:
    return "Report", order.report_id


def _made_on(order: Order) -> str:
    return f"{order.now:%Y-%m-%d %H:%M %Z}"


def _how_to_check(order: Order) -> list[Flowable]:
    return [] if order.signer is None else [para(HOW_TO_CHECK, "small")]


def _signer(order: Order, width: float, words: str = "body") -> list[Flowable]:
    signer = order.signer
    if signer is None:
        return [para(DRAFT)]
    credential = signer.credential or order.check.case.job.credential or ""
    said = [
        ("Signed by", signer.name),
        ("Credential", f"{credential} ({STATED})" if credential else None),
        ("Fingerprint", signer.fingerprint),
    ]
    issuer = signer.certificate.issuer.rfc4514_string()
    return [
        *facts(said, width),
        para(SELF_ISSUED if signer.self_issued else VOUCHED.format(issuer=issuer), words),
    ]
