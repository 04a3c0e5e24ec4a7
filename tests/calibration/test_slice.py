"""The study's own arithmetic, and a slice of it: three vehicles through generator, judge and table."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def study() -> ModuleType:
    sys.path.insert(0, str(HERE))  # study and vehicles are scripts beside this file
    try:
        spec = importlib.util.spec_from_file_location("study", HERE / "study.py")
        assert spec is not None
        assert spec.loader is not None
        made = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(made)
        return made
    finally:
        sys.path.remove(str(HERE))


def test_the_calibration_error_of_a_liar_and_of_a_plain_dealer(study: ModuleType) -> None:
    p = np.full(1000, 0.9)
    assert study.expected_calibration_error(p, np.arange(1000) % 10 > 0) == pytest.approx(0.0, abs=1e-9)
    assert study.expected_calibration_error(p, np.zeros(1000)) == pytest.approx(0.9)


def test_chance_alone_gives_even_a_perfect_judge_an_error(study: ModuleType) -> None:
    few, many = study.perfect(np.full(40, 0.5)), study.perfect(np.full(4000, 0.5))
    assert few > 3.0 * many > 0.0
    # ten bins of n/10 fair coins: mean |share - 1/2| = sqrt(2/pi) * 0.5/sqrt(n/10)  (half-normal mean)
    assert many == pytest.approx(np.sqrt(2.0 / np.pi) * 0.5 / np.sqrt(400.0), rel=0.1)


def test_three_vehicles_go_through(study: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(study, "EFFORT", study.Effort(prior=24, steps=1, first=16, round=200, rounds=1))
    rows = [study.judged(seed, second=False) for seed in (1, 2, 8)]
    assert all(0.0 < float(r["p_true"]) <= 1.0 for r in rows)
    assert all(float(r["entropy"]) <= float(r["entropy_prior"]) + 1.0 for r in rows)
    # the two sensors that read too high: the log jumps at once, and is told with hardly any work
    assert all(r["top"] == r["truth"] for r in rows if r["truth"] == "sensor_reads_high")
    lines = study.table(rows)
    assert lines[0].startswith("| what")
    assert all(line.count("|") == lines[0].count("|") for line in lines)


def test_a_seed_is_one_vehicle(study: ModuleType) -> None:
    first, again, other = study.vehicle(3), study.vehicle(3), study.vehicle(4)
    assert first.truth == again.truth
    assert first.shown_end == again.shown_end
    assert first.shown_end != other.shown_end
