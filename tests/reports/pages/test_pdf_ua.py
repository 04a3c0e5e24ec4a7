"""PDF/UA-2 (ISO 14289-2): what veraPDF says of every kind of paper, and the structure that it looks for.

veraPDF checks what a machine can: 1,728 rules. Whether the words in place of a picture say what it shows, it cannot.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pytest
import verapdf

from engcalc.units import UnitSystem
from reports.identity import Identity
from reports.kinds import Annex, ReportKind
from reports.layout import PAGE_SIZES, RunningLines, compose, frame_width, para, title
from reports.pages.signature import SignatureBoxes, SignedPaper, signed_block
from reports.signing import Stamp, countersign, sign_report
from reports.verification import FoundState
from reports.verifying import verify_report

KINDS = [
    ("repaired", ReportKind.CUSTOMER, UnitSystem.SI, Annex.FULL),
    ("repaired", ReportKind.CUSTOMER, UnitSystem.US, Annex.NONE),
    ("track-day-car", ReportKind.SIZING, UnitSystem.SI, Annex.FULL),
    ("bench-exchanger", ReportKind.LESSON, UnitSystem.SI, Annex.FULL),
]


@pytest.fixture(scope="module")
def papers(author: Identity, reviewer: Identity, moment: datetime) -> tuple[bytes, bytes, bytes]:
    """A page with the boxes of its signatures: as a draft, signed, and countersigned."""
    size = PAGE_SIZES[UnitSystem.SI]
    width = frame_width(size)
    boxes = SignatureBoxes(width)
    story = [title("A paper"), para("One line."), *signed_block(SignedPaper(author, "R-1", moment), boxes, width)]
    draft = compose(story, RunningLines("A paper", "left", "right", "footer", False, size, subject="Report R-1"))
    assert boxes.author is not None
    signed = sign_report(draft, author, Stamp(boxes.author, "R-1"), moment, reviewer=boxes.reviewer)
    return draft, signed, countersign(signed, reviewer, "R-1", moment)


def test_the_fields_stand_in_the_tree_beneath_their_captions(papers: tuple[bytes, bytes, bytes]) -> None:
    """ISO 32000-2 clause 14.7.5.3: a Form that shows the widget, which finds its way back by its own number."""
    _, signed, both = papers
    assert verify_report(both).state is FoundState.INTACT
    for data in (signed, both):
        with pikepdf.open(BytesIO(data)) as pdf:
            root = pdf.Root.StructTreeRoot
            owners = {int(root.ParentTree.Nums[i]): root.ParentTree.Nums[i + 1] for i in range(0, 6, 2)}
            fields = {str(field.T): field for field in pdf.Root.AcroForm.Fields}
            assert set(fields) == {"Author", "Reviewer"}
            for name, field in fields.items():
                form = owners[int(field.StructParent)]
                assert form.S == "/Form"
                assert form.K.Obj.objgen == field.objgen
                assert str(form.P.T) == name
                assert form.objgen in [kid.objgen for kid in form.P.K if kid.get("/Type") == "/StructElem"]
                assert str(field.Contents) == f"{name}'s signature"
            assert int(root.ParentTreeNextKey) == len(owners)


def test_the_outline_leads_to_headings_of_the_tree(papers: tuple[bytes, bytes, bytes]) -> None:
    """Each line leads to its heading's element, and to its place for programs that know no tree."""
    with pikepdf.open(BytesIO(papers[0])) as pdf:
        line: Any = pdf.Root.Outlines.First
        roles = []
        while line is not None:
            assert line.A.S == "/GoTo"
            assert line.A.D[0].Type == "/Page"
            roles.append(str(line.A.SD[0].S))
            line = line.get("/Next")
        assert roles == ["/H1", "/H2"]
        document = pdf.Root.StructTreeRoot.K
        assert str(document.NS.NS) == "http://iso.org/pdf2/ssn"
        meta = pdf.open_metadata()
        assert (meta["pdfuaid:part"], meta["pdfuaid:rev"]) == ("2", "2024")


@pytest.mark.skipif(verapdf.classes() is None, reason="veraPDF, a compiler of Java or libjaxb-java is not here")
def test_an_independent_checker_finds_no_fault(
    papers: tuple[bytes, bytes, bytes], report: Callable[..., bytes], tmp_path: Path
) -> None:
    data = [*papers, *(report(name, kind, system, annex=annex) for name, kind, system, annex in KINDS)]
    files = [tmp_path / f"{number}.pdf" for number in range(len(data))]
    for path, one in zip(files, data, strict=True):
        path.write_bytes(one)
    for found in verapdf.ask("ua2", files):
        assert found.rules > 1700
        assert found.checks > 1000
        assert found.failed == ()


@pytest.mark.skipif(verapdf.classes() is None, reason="veraPDF, a compiler of Java or libjaxb-java is not here")
def test_the_checker_sees_what_is_missing(papers: tuple[bytes, bytes, bytes], tmp_path: Path) -> None:
    """It says so if a field is described by nothing or the root is no element of PDF 2.0."""
    path = tmp_path / "bare.pdf"
    with pikepdf.open(BytesIO(papers[1])) as pdf:
        del pdf.Root.AcroForm.Fields[0].Contents
        del pdf.Root.StructTreeRoot.K.NS
        pdf.save(path)
    failed = verapdf.ask("ua2", [path])[0].failed
    assert any(one.startswith("8.10.2.3-1") for one in failed)
    assert any(one.startswith("8.2.5.2-2") for one in failed)
