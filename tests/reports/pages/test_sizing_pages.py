"""What a sizing report holds, on how many pages."""

from __future__ import annotations

from collections.abc import Callable

from reports.kinds import Annex, ReportKind, usual_annex

Reports = Callable[..., bytes]
Texts = Callable[[bytes], list[str]]


def test_the_usual_sizing_report_is_whole_on_few_pages(report: Reports, page_texts: Texts) -> None:
    """Duties, how sure with intervals and shares of the variance, fan and pump on their curves, a short working."""
    assert usual_annex(ReportKind.SIZING) is Annex.SHORT
    texts = page_texts(report("track-day-car", ReportKind.SIZING, annex=Annex.SHORT))
    assert len(texts) <= 8
    text = " ".join(texts)
    for heading in (
        "Duties asked",
        "How sure",
        "The duty that decides: Track lap",
        "Left if it were known",
        "95 % lie below",
        "Fan and pump on their curves",
        "Fan and the air’s way: Track lap",
        "Pump and circuit: Track lap",
        "Working in short: Track lap",
        "Sources",
        "Signature",
    ):
        assert heading in text.replace("'", "’"), heading
    assert "Operating points" not in text  # the full annex has them
