"""An identity, a case with its check, and a signed report of it."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from less_effort import FEW

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import SUFFIX
from engcalc.diagnosis.odds.diagnosis import diagnose
from engcalc.studies.check import check
from engcalc.studies.checked import Check
from reports.build import export_report
from reports.identity import load_identity, make_identity
from reports.kinds import ReportKind
from ui.document import Document
from ui.window.dialogs.export import RecordAnswers

MOMENT = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
PASSWORD = "a long pässword"


@pytest.fixture(scope="session")
def moment() -> datetime:
    return MOMENT


@pytest.fixture(scope="session")
def password() -> str:
    return PASSWORD


def stretch_little(patch: pytest.MonkeyPatch) -> None:
    """Key stretching is looked at in test_identity; here it would take a second at each making and opening."""
    patch.setattr("reports.identity.KEY_ROUNDS", 1000)
    patch.setattr("reports.identity.MAC_ROUNDS", 2000)


@pytest.fixture
def few_rounds(monkeypatch: pytest.MonkeyPatch) -> None:
    """Identities that are quickly made, in this test."""
    stretch_little(monkeypatch)


@pytest.fixture(scope="session")
def identity_path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An author's identity, quick to open."""
    path = tmp_path_factory.mktemp("identity") / "author.p12"
    with pytest.MonkeyPatch.context() as patch:
        stretch_little(patch)
        make_identity(path, "Åsa Lindqvist", "Master technician, licence 1234", PASSWORD, MOMENT)
    return path


@pytest.fixture(scope="session")
def van_path() -> Path:
    return next(worked_examples.folder().rglob(f"van-no-heat{SUFFIX}"))


@pytest.fixture(scope="session")
def van_check(van_path: Path) -> Check:
    case = Document.read(van_path).resolve()
    assert isinstance(case, Case), case
    return check(case, members=20)


@pytest.fixture(scope="session")
def van_evidence(van_path: Path, van_check: Check) -> RecordAnswers:
    """The van's warm-ups, worked out when first asked for, as a window hands them from one dialog to the next; its
    causes by few draws, as the causes view would hand them."""
    causes = diagnose(van_check.case, {}, effort=FEW)
    return RecordAnswers(van_check, van_path.parent, diagnosis=causes)


@pytest.fixture
def document(van_path: Path) -> Document:
    return Document.read(van_path)


@pytest.fixture(scope="session")
def signed_report(
    tmp_path_factory: pytest.TempPathFactory, van_path: Path, van_check: Check, identity_path: Path
) -> Path:
    path = tmp_path_factory.mktemp("report") / "van.pdf"
    export_report(
        van_check,
        Document.read(van_path).text,
        ReportKind.CUSTOMER,
        path,
        now=MOMENT,
        identity=load_identity(identity_path, PASSWORD),
    )
    return path
