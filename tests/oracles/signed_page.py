"""One page that is signed and carries a case: a report as far as the job book looks into it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path

from reportlab.pdfgen.canvas import Canvas

from reports import fonts
from reports.identity import make_identity
from reports.signing import PageBox, Stamp, attach_case, sign_report

WHEN = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)


def draft(case: bytes | None) -> bytes:
    """A page that nobody signed."""
    fonts.register()
    buffer = BytesIO()
    canvas = Canvas(buffer, invariant=1, lang="en")
    canvas.setFont(fonts.REGULAR, 12)
    canvas.drawString(60, 760, "coolant leaves at 88 °C")
    canvas.save()
    return buffer.getvalue() if case is None else attach_case(buffer.getvalue(), case)


def signed_page(path: Path, case: bytes | None) -> Path:
    """A signed page that carries a case, or none."""
    unsigned = draft(case)
    identity = make_identity(path.with_suffix(".p12"), "Ivo Hand", "Technician", "password", WHEN - timedelta(days=3))
    path.write_bytes(sign_report(unsigned, identity, Stamp(PageBox(-1, (60, 60, 290, 130)), "HD-1"), WHEN))
    return path
