"""Signed reports are kept with the job whose case they carry, and verified whenever they are opened."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path

import pytest
from reportlab.pdfgen.canvas import Canvas

from engcalc.errors import FileFault, InputError
from reports import fonts
from reports.identity import make_identity
from reports.signing import PageBox, Stamp, attach_case, sign_report
from reports.verifying import VerifyAnswer
from ui.book.jobs import add_case, find_jobs, show_job
from ui.book.reports import add_report, open_report

WHEN = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)


def report(path: Path, case: bytes | None) -> Path:
    """A signed page that carries a case, or none."""
    fonts.register()
    buffer = BytesIO()
    canvas = Canvas(buffer, invariant=1, lang="en")
    canvas.setFont(fonts.REGULAR, 12)
    canvas.drawString(60, 760, "coolant leaves at 88 °C")
    canvas.save()
    unsigned = buffer.getvalue() if case is None else attach_case(buffer.getvalue(), case)
    identity = make_identity(path.with_suffix(".p12"), "Ivo Hand", "Technician", "password", WHEN - timedelta(days=3))
    path.write_bytes(sign_report(unsigned, identity, Stamp(PageBox(-1, (60, 60, 290, 130)), "HD-1"), WHEN))
    return path


def test_a_report_goes_to_the_job_whose_case_it_carries(book, case, tmp_path):
    path = case("a", registration="ZZ 1")
    add_case(book, case("b", registration="ZZ 2"))
    job = add_case(book, path).job
    pdf = report(tmp_path / "bill.pdf", path.read_bytes())
    kept = add_report(book, pdf)
    assert (kept.job, kept.added) == (job, None)
    assert add_report(book, pdf).job == job
    (file,) = show_job(book, job).files
    data, verified = open_report(book, file.file)
    assert data == pdf.read_bytes()
    assert verified.outcome is VerifyAnswer.PASSED
    assert verified.author.signer == "Ivo Hand"
    assert [line.job for line in find_jobs(book, "bill")] == [job]


def test_a_report_of_an_unknown_case_brings_its_job_along(book, case, tmp_path):
    data = case("a", registration="ZZ 1", customer="Ada").read_bytes()
    kept = add_report(book, report(tmp_path / "bill.pdf", data))
    assert kept.added.new_job
    assert [line.customer for line in find_jobs(book, "ada")] == ["Ada"]
    assert bytes(book.connection.execute("SELECT text FROM cases").fetchone()[0]) == data


def test_a_report_without_a_case_needs_its_job_named(book, case, tmp_path):
    job = add_case(book, case("a")).job
    pdf = report(tmp_path / "bill.pdf", None)
    with pytest.raises(InputError, match="name the job with --job"):
        add_report(book, pdf)
    assert add_report(book, pdf, job).job == job
    with pytest.raises(InputError, match="number of a job"):
        add_report(book, pdf, 77)


def test_a_changed_report_is_kept_as_it_is_and_told_as_broken_when_opened(book, case, tmp_path):
    path = case("a")
    job = add_case(book, path).job
    pdf = report(tmp_path / "bill.pdf", path.read_bytes())
    data = bytearray(pdf.read_bytes())
    data[data.index(b"stream") + 20] ^= 1
    pdf.write_bytes(data)
    add_report(book, pdf, job)
    (file,) = show_job(book, job).files
    given, verified = open_report(book, file.file)
    assert given == bytes(data)
    assert verified.outcome is VerifyAnswer.FAILED


def test_only_a_report_is_opened_as_one(book, case):
    job = add_case(book, case("a", files={"p.png": b"picture"}, photos=["p.png"])).job
    (photo,) = show_job(book, job).files
    with pytest.raises(InputError, match="number of a report"):
        open_report(book, photo.file)
    with pytest.raises(FileFault, match="cannot be read"):
        add_report(book, Path("nowhere.pdf"))
