"""Signed reports are kept with the job whose case they carry, and verified whenever they are opened."""

from __future__ import annotations

from pathlib import Path

import pytest
from signed_page import draft, signed_page

from engcalc.errors import FileFault, InputError
from reports.verifying import VerifyAnswer
from ui.book.in_use import BookInUse
from ui.book.jobs import add_case, find_jobs, show_job
from ui.book.reports import add_report, add_report_beside, open_report
from ui.command.main import main


def test_a_report_goes_to_the_job_whose_case_it_carries(book, case, tmp_path):
    path = case("a", registration="ZZ 1")
    add_case(book, case("b", registration="ZZ 2"))
    job = add_case(book, path).job
    pdf = signed_page(tmp_path / "bill.pdf", path.read_bytes())
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
    kept = add_report(book, signed_page(tmp_path / "bill.pdf", data))
    assert kept.added.new_job
    assert [line.customer for line in find_jobs(book, "ada")] == ["Ada"]
    assert bytes(book.connection.execute("SELECT text FROM cases").fetchone()[0]) == data


def test_a_report_without_a_case_needs_its_job_named(book, case, tmp_path):
    job = add_case(book, case("a")).job
    pdf = signed_page(tmp_path / "bill.pdf", None)
    with pytest.raises(InputError, match="name the job with --job"):
        add_report(book, pdf)
    assert add_report(book, pdf, job).job == job
    with pytest.raises(InputError, match="number of a job"):
        add_report(book, pdf, 77)


def test_a_changed_report_is_kept_as_it_is_and_told_as_broken_when_opened(book, case, tmp_path):
    path = case("a")
    job = add_case(book, path).job
    pdf = signed_page(tmp_path / "bill.pdf", path.read_bytes())
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


def kept_reports(book, job: int) -> list[str]:
    return [file.name for file in show_job(book, job).files if file.kind == "report"]


def test_a_report_signed_before_its_job_was_kept_is_kept_with_it(book, case, tmp_path):
    """Two ways to it: the program that signed it knows it, or it lies beside the case under its name."""
    path = case("a", registration="ZZ 1")
    known = signed_page(tmp_path / "elsewhere.pdf", path.read_bytes())
    signed_page(path.with_name("a.pdf"), path.read_bytes())
    in_use = BookInUse(book.path, now=book.now)
    kept = in_use.keep(path, signed=(known, tmp_path / "deleted.pdf"))
    assert kept_reports(book, kept.job) == ["elsewhere.pdf", "a.pdf"]
    assert [line for line in kept.said if "a.pdf: kept with job 1" in line]
    in_use.keep(path, signed=(known,))
    assert kept_reports(book, kept.job) == ["elsewhere.pdf", "a.pdf"], "once each"


def test_what_lies_beside_a_case_and_is_not_of_it_is_left(book, case, tmp_path):
    path = case("a", registration="ZZ 1")
    job = add_case(book, path).job
    assert add_report_beside(book, path, job) is None
    beside = path.with_name("a.pdf")
    signed_page(beside, case("b", registration="ZZ 2").read_bytes())
    assert add_report_beside(book, path, job) is None
    beside.write_bytes(draft(path.read_bytes()))
    assert add_report_beside(book, path, job) is None, "nobody signed it"
    assert kept_reports(book, job) == []


def test_the_command_line_keeps_the_report_beside_a_case_too(book, case, capsys):
    path = case("a", registration="ZZ 1")
    signed_page(path.with_name("a.pdf"), path.read_bytes())
    assert main(["book", str(book.path), "add", str(path)]) == 0
    assert "a.pdf: kept with job 1" in capsys.readouterr().out
    assert kept_reports(book, 1) == ["a.pdf"]
