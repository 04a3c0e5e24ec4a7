"""A slice of the four verifiers side by side; VERIFIERS.md tells all of it."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType

import pytest
from scripts import loaded


@pytest.fixture(scope="module")
def verifiers() -> ModuleType:
    return loaded(Path(__file__).with_name("verifiers.py"), "trust_verifiers")


def test_ours_refuses_every_alteration_and_accepts_what_was_not_altered(verifiers, tmp_path, monkeypatch):
    monkeypatch.setattr("reports.identity.KEY_ROUNDS", 1000)
    monkeypatch.setattr("reports.identity.MAC_ROUNDS", 2000)
    sources = verifiers.reports(tmp_path)
    for data in sources:
        whole = verifiers.judged("unaltered", data, tmp_path)
        assert (whole.ours, whole.library, whole.poppler, whole.openssl) == (True, True, True, True)
    found = [verifiers.judged(kind, data, tmp_path) for kind, data in verifiers.altered(21, sources)]
    assert {one.kind for one in found} == set(verifiers.ALTERATIONS)
    assert [one for one in found if one.ours] == []
    assert not verifiers.too_trusting(found)
