"""The study's own arithmetic, and a slice of it: eight vehicles through generator, judge, table and pictures.

The judge has a small part of its draws here, for the sake of time: odds are rough, and only what holds for rough ones
is asserted: rows whole, entropies within their bounds, the log score of the true cause no worse than the base rates'
by more than chance. How well calibrated the judge is only the study can tell.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from scripts import loaded

HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def beside() -> Iterator[None]:
    sys.path.insert(0, str(HERE))  # the scripts import each other
    yield
    sys.path.remove(str(HERE))


@pytest.fixture(scope="module")
def scores(beside: None) -> ModuleType:
    return loaded(HERE / "scores.py")


@pytest.fixture(scope="module")
def study(beside: None) -> ModuleType:
    return loaded(HERE / "study.py")


@pytest.fixture(scope="module")
def rows(study: ModuleType) -> list[dict[str, str]]:
    study.EFFORT = study.Effort(prior=12, steps=1, first=8, round=1, rounds=0)
    study.SECOND_SEED, study.TWICE = 6, 6  # one that is quickly judged: it has a log, and its way of driving was noted
    return [study.judged(seed) for seed in range(1, 9)]


def test_the_calibration_error_of_a_liar_and_of_a_plain_dealer(scores: ModuleType) -> None:
    p = np.full(1000, 0.9)
    plain = (np.arange(1000) % 10 > 0).astype(np.float64)
    assert scores.expected_calibration_error(p, plain) == pytest.approx(0.0, abs=1e-9)
    assert scores.expected_calibration_error(p, np.zeros(1000)) == pytest.approx(0.9)


def test_chance_alone_gives_even_a_perfect_judge_an_error(scores: ModuleType) -> None:
    (few, _), (many, high) = scores.perfect(np.full(50, 0.5)), scores.perfect(np.full(4000, 0.5))
    assert few > 3.0 * many > 0.0
    assert high > many
    # ten bins of n/10 fair coins: mean |share - 1/2| = sqrt(2/pi) * 0.5/sqrt(n/10)  (half-normal mean)
    assert many == pytest.approx(np.sqrt(2.0 / np.pi) * 0.5 / np.sqrt(400.0), rel=0.1)


def test_eight_vehicles_go_through(study: ModuleType, scores: ModuleType, rows: list[dict[str, str]]) -> None:
    assert len({r["truth"] for r in rows}) >= 6
    assert all(0.0 < float(r["p_true"]) <= 1.0 for r in rows)
    for key in ("entropy", "entropy_prior"):
        assert all(0.0 <= float(r[key]) <= float(r["uniform"]) + 1e-4 for r in rows)  # five digits in a row
    gain = np.log2(scores.numbers(rows, "p_true") / scores.numbers(rows, "rate_true"))
    assert gain.mean() > -2.0 * gain.std() / np.sqrt(len(gain))
    lines = scores.table(rows)
    assert all(line.count("|") == lines[0].count("|") for line in lines)
    assert "nan" not in "".join(lines)


def test_a_study_goes_on_where_it_was_stopped(
    study: ModuleType, rows: list[dict[str, str]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, by_seed = tmp_path / "rows.csv", {int(r["seed"]): r for r in rows}
    monkeypatch.setattr(study, "Pool", _Here)
    monkeypatch.setattr(study, "judged", by_seed.__getitem__)
    assert len(list(study.run(range(1, 4), path, 1))) == 3
    path.write_text(path.read_text() + "4,healthy,hea")  # cut off while it was written
    assert [r["seed"] for r in study.run(range(1, 7), path, 1)] == ["4", "5", "6"]
    assert [r["seed"] for r in study.rows_in(path)] == ["1", "2", "3", "4", "5", "6"]
    assert study.rows_in(path)[3] == by_seed[4]


class _Here:
    """Stands for the pool of processes."""

    def __init__(self, jobs: int) -> None:
        self.jobs = jobs

    def __enter__(self) -> _Here:
        return self

    def __exit__(self, *_: object) -> None:
        return None

    def imap_unordered(self, do: Callable[[int], dict[str, str]], what: Sequence[int]) -> Iterator[dict[str, str]]:
        return map(do, what)


def test_the_pictures_are_drawn(beside: None, rows: list[dict[str, str]], tmp_path: Path) -> None:
    pictures = loaded(HERE / "pictures.py")
    for name, plot in (("reliability", pictures.reliability(rows)), ("entropy", pictures.entropy(rows))):
        pictures.save(plot, tmp_path / f"{name}.png")
        assert (tmp_path / f"{name}.png").read_bytes().startswith(b"\x89PNG")


def test_a_seed_is_one_vehicle(study: ModuleType) -> None:
    first, again, other = study.vehicle(3), study.vehicle(3), study.vehicle(4)
    assert first.truth == again.truth
    assert first.shown_end == again.shown_end
    assert first.shown_end != other.shown_end
