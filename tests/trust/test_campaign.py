"""A slice of the recorded campaign; CAMPAIGN.md tells how much of it was run."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType

import pytest
from scripts import loaded


@pytest.fixture(scope="module")
def campaign() -> ModuleType:
    return loaded(Path(__file__).with_name("campaign.py"), "trust_campaign")


@pytest.fixture(autouse=True)
def few_rounds(monkeypatch):
    monkeypatch.setattr("reports.identity.KEY_ROUNDS", 1000)
    monkeypatch.setattr("reports.identity.MAC_ROUNDS", 2000)


def test_every_mutated_input_is_answered_or_refused_in_words(campaign, tmp_path):
    for run in campaign.fuzz_all(25, tmp_path):
        assert run.defects == []
        assert run.answered + run.refused == run.tried > 0


def test_a_killed_writer_leaves_everything_whole(campaign, tmp_path, monkeypatch):
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).resolve().parents[2]))
    run = campaign.kill_often(tmp_path, 2)
    assert (run.answered, run.defects) == (2, [])


def test_a_full_disk_and_a_vanished_folder_are_told_and_lose_nothing(campaign, tmp_path):
    for run in (campaign.full_disk(tmp_path, 3), campaign.vanished_folder(tmp_path, 3)):
        assert (run.refused, run.defects) == (3, [])
