"""The sampler on problems whose integral is known in closed form, with the simulator replaced by a linear one."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy import stats

from engcalc.errors import Cancelled
from engcalc.evidence import sampler as sampler_module
from engcalc.evidence.causes import CAUSES, Fault
from engcalc.evidence.observations import Observed
from engcalc.evidence.sampler import Draws, Effort, Sampler, log_mean, tempered
from engcalc.evidence.simulated import Hypothesis
from engcalc.units import Array

UNKNOWNS, READINGS, NOISE = 9, 14, 0.4
RNG = np.random.default_rng(11)
MODELS = {f: (RNG.normal(size=(READINGS, UNKNOWNS + 1)) * 0.8, RNG.normal(size=READINGS))
          for f in (Fault.HEALTHY, Fault.STUCK_OPEN, Fault.LOW_COOLANT)}
TRUTH = MODELS[Fault.STUCK_OPEN]
DATA = TRUTH[1] + TRUTH[0] @ RNG.normal(size=UNKNOWNS + 1) + NOISE * RNG.normal(size=READINGS)


@dataclass
class Linear:
    """Stands for what came of members: readings as a linear function of z."""

    value: Array

    @property
    def members(self) -> int:
        return int(self.value.shape[-1])


class LinearLikelihood:
    """A normal likelihood of independent readings."""

    def predicted(self, s: Linear) -> Array:
        return s.value

    def whitened(self, predicted: Array) -> Array:
        return (predicted - DATA[:, None]) / NOISE

    def __call__(self, s: Linear) -> Array:
        return np.asarray(stats.norm.logpdf(s.value, DATA[:, None], NOISE).sum(axis=0))


def exact(fault: Fault, columns: int) -> float:
    """Log evidence of the linear model: the readings are normal with covariance A A' + noise."""
    A, b = MODELS[fault]
    A = A[:, :columns]
    return float(stats.multivariate_normal.logpdf(DATA, b, A @ A.T + NOISE**2 * np.eye(READINGS)))


@pytest.fixture
def linear(monkeypatch: pytest.MonkeyPatch) -> dict[Hypothesis, float]:
    def simulate(problem: Any, batch: Any, cancelled: Any = None, drive: Any = None) -> list[Linear]:
        made = []
        for h, z in batch:
            A, b = MODELS[h.causes[0].fault]
            made.append(Linear(b[:, None] + A[:, :z.shape[1]] @ z.T))
        return made

    monkeypatch.setattr(sampler_module, "simulate", simulate)
    monkeypatch.setattr(sampler_module, "likelihood_of", lambda _evidence, _hypothesis: LinearLikelihood())
    return {Hypothesis((CAUSES[fault],), 0): 1.0 / 3.0 for fault in MODELS}


def ran(rates: dict[Hypothesis, float], seed: int = 1, **more: Any) -> Sampler:
    found = Sampler(SimpleNamespace(unknowns=[None] * UNKNOWNS), Observed((), (), ()), rates, seed, Effort(), **more)
    found.run()
    return found


def test_the_integral_is_the_closed_form(linear: dict[Hypothesis, float]) -> None:
    found = ran(linear)
    for d in found.draws:
        if d.effective() > 100.0:  # the others are ruled out and get no more draws
            columns = UNKNOWNS + d.hypothesis.severities
            # three standard errors of that many effective draws
            assert d.log_evidence() == pytest.approx(exact(d.hypothesis.causes[0].fault, columns),
                                                     abs=3.0 / np.sqrt(d.effective()))
    wanted = np.array([exact(d.hypothesis.causes[0].fault, UNKNOWNS + d.hypothesis.severities) for d in found.draws])
    p = np.exp(wanted - wanted.max())
    assert found.probabilities(found.draws) == pytest.approx(p / p.sum(), abs=0.03)
    best = max(found.draws, key=lambda d: d.log_evidence())
    assert best.effective() >= Effort().wanted_likely


def test_the_posterior_mean_is_the_closed_form(linear: dict[Hypothesis, float]) -> None:
    d = next(x for x in ran(linear).draws if x.hypothesis.key == "thermostat_stuck_open")
    A, b = TRUTH
    precision = A.T @ A / NOISE**2 + np.eye(UNKNOWNS + 1)
    mean = np.linalg.solve(precision, A.T @ (DATA - b) / NOISE**2)
    deviation = np.sqrt(np.diag(np.linalg.inv(precision)))
    assert np.abs((d.weights() @ d.z - mean) / deviation).max() < 4.0 / np.sqrt(d.effective())


def test_a_seed_gives_the_same_odds_and_another_gives_nearly_the_same(linear: dict[Hypothesis, float]) -> None:
    first, again, other = (s.probabilities(s.draws) for s in (ran(linear, 1), ran(linear, 1), ran(linear, 2)))
    assert first.tolist() == again.tolist()
    assert first == pytest.approx(other, abs=0.05)  # five points


def test_work_is_told_and_can_be_stopped(linear: dict[Hypothesis, float]) -> None:
    told: list[float] = []
    ran(linear, progress=lambda fraction, _words: told.append(fraction))
    assert told == sorted(told)
    assert told[-1] <= 1.0
    with pytest.raises(Cancelled, match="cancelled"):
        ran(linear, cancelled=lambda: True)


def test_first_odds_are_told_once_and_leave_the_final_ones_as_they_are(linear: dict[Hypothesis, float]) -> None:
    heard = Sampler(SimpleNamespace(unknowns=[None] * UNKNOWNS), Observed((), (), ()), linear, 1, Effort())
    told: list[list[float]] = []
    heard.run(lambda: told.append(heard.probabilities(heard.draws).tolist()))
    assert len(told) == 1
    assert sum(told[0]) == pytest.approx(1.0)
    unheard = ran(linear, 1)
    assert heard.probabilities(heard.draws).tolist() == unheard.probabilities(unheard.draws).tolist()


def test_tempering_leaves_enough_draws_and_does_nothing_where_there_are() -> None:
    log_w = np.concatenate((np.zeros(99), [50.0]))
    w = tempered(log_w, 20.0)
    assert 1.0 / (w**2).sum() == pytest.approx(20.0, rel=0.05)
    assert tempered(np.zeros(100), 20.0) == pytest.approx(np.full(100, 0.01))


def test_one_draw_far_out_does_not_carry_all() -> None:
    h = Hypothesis((CAUSES[Fault.HEALTHY],), 0)
    d = Draws(h, None, 0.0, np.zeros((100, 2)), np.concatenate((np.zeros(99), [30.0])), prior=100)  # type: ignore[arg-type]  # no likelihood is asked for
    assert log_mean(d.log_weights()) < 30.0 - np.log(100.0) - np.log(8.0)
