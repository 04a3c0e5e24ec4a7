"""The sampler on problems whose integral is known in closed form, with the simulator replaced by a linear one."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy import stats

from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.evidence.observations import Observed
from engcalc.diagnosis.members.simulated import Hypothesis
from engcalc.diagnosis.odds import sampler as sampler_module
from engcalc.diagnosis.odds.by_class import odds_by_class
from engcalc.diagnosis.odds.left_out import integrate_again
from engcalc.diagnosis.odds.sampler import FAR_OUT, POSSIBLE, Draws, Effort, Sampler
from engcalc.diagnosis.odds.weights import log_mean, tempered
from engcalc.errors import Cancelled
from engcalc.units import Array
from engcalc.vehicle.own_prior import CarriedUnknowns

UNKNOWNS, READINGS, NOISE = 9, 14, 0.4
WIDE = 1.5  # noise of one reading that decides little
RNG = np.random.default_rng(11)
MODELS = {
    f: (RNG.normal(size=(READINGS, UNKNOWNS + 1)) * 0.8, RNG.normal(size=READINGS))
    for f in ("healthy", "thermostat_stuck_open", "pump_weak")
}
TRUTH = MODELS["thermostat_stuck_open"]
DATA = TRUTH[1] + TRUTH[0] @ RNG.normal(size=UNKNOWNS + 1) + NOISE * RNG.normal(size=READINGS)


@dataclass
class Linear:
    """Stands for what came of members: readings as a linear function of z."""

    value: Array

    @property
    def members(self) -> int:
        return int(self.value.shape[-1])


@dataclass
class LinearLikelihood:
    """A normal likelihood of independent readings, as many of them as are told."""

    readings: int = READINGS
    noise: float = NOISE

    def residuals(self, s: Linear) -> Array:
        return (s.value - DATA[:, None])[: self.readings] / self.noise

    def of_sights(self, s: Linear) -> Array:
        return np.zeros(s.members)

    def __call__(self, s: Linear) -> Array:
        told = slice(self.readings)
        return np.asarray(stats.norm.logpdf(s.value[told], DATA[told, None], self.noise).sum(axis=0))


def exact(fault: str, columns: int, readings: int = READINGS, noise: float = NOISE) -> float:
    """Log evidence of the linear model: the readings are normal with covariance A A' + noise."""
    A, b = MODELS[fault]
    A = A[:readings, :columns]
    return float(stats.multivariate_normal.logpdf(DATA[:readings], b[:readings], A @ A.T + noise**2 * np.eye(readings)))


def simulate(problem: Any, batch: Any, cancelled: Any, drive: Any) -> list[Linear]:
    made = []
    for h, z in batch:
        A, b = MODELS[h.causes[0].key]
        made.append(Linear(b[:, None] + A[:, : z.shape[1]] @ z.T))
    return made


@pytest.fixture
def linear(monkeypatch: pytest.MonkeyPatch) -> dict[Hypothesis, float]:
    monkeypatch.setattr(sampler_module, "likelihood_of", lambda _evidence, _hypothesis: LinearLikelihood())
    return {Hypothesis((CAUSES[fault],), 0): 1.0 / 3.0 for fault in MODELS}


@pytest.fixture
def one_reading(linear: dict[Hypothesis, float], monkeypatch: pytest.MonkeyPatch) -> dict[Hypothesis, float]:
    monkeypatch.setattr(sampler_module, "likelihood_of", lambda _evidence, _hypothesis: LinearLikelihood(1, WIDE))
    return linear


def problem(layouts: int = 1, seen: dict[str, bool] | None = None) -> Any:
    """Stands for a problem, of which the sampler only asks how much is unknown, and what was seen."""
    run = SimpleNamespace(record=SimpleNamespace(seen=seen or {}))
    return SimpleNamespace(unknowns=[None] * UNKNOWNS, layouts=(None,) * layouts, run=run)


def ran(rates: dict[Hypothesis, float], seed: int = 1, layouts: int = 1, **more: Any) -> Sampler:
    found = Sampler(problem(layouts), Observed((), (), ()), rates, seed, Effort(), runner=simulate, **more)
    found.run()
    return found


def test_the_integral_is_the_closed_form(linear: dict[Hypothesis, float]) -> None:
    found = ran(linear)
    for d in found.draws:
        if d.effective() > 100.0:  # the others are ruled out and get no more draws
            columns = UNKNOWNS + d.hypothesis.severities
            # three standard errors of that many effective draws
            assert d.log_evidence() == pytest.approx(
                exact(d.hypothesis.causes[0].key, columns), abs=3.0 / np.sqrt(d.effective())
            )
    wanted = np.array([exact(d.hypothesis.causes[0].key, UNKNOWNS + d.hypothesis.severities) for d in found.draws])
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
    heard = Sampler(problem(), Observed((), (), ()), linear, 1, Effort(), runner=simulate)
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
    h = Hypothesis((CAUSES["healthy"],), 0)
    log_w = np.concatenate((np.zeros(99), [30.0]))
    d = Draws(h, None, 0.0, np.zeros((100, 2)), log_w, prior=100)  # no likelihood is asked for
    assert log_mean(d.log_weights()) < 30.0 - np.log(100.0) - np.log(8.0)


def test_one_reading_needs_no_fit_and_its_integral_is_the_closed_form(one_reading: dict[Hypothesis, float]) -> None:
    """One reading leaves much of the prior in play: a fit would cost more runs than it saves."""
    found = ran(one_reading)
    assert found.simulated_members == sum(len(d.z) for d in found.draws)  # none was run for a fit
    for d in found.draws:
        fault, columns = d.hypothesis.causes[0].key, UNKNOWNS + d.hypothesis.severities
        assert d.log_evidence() == pytest.approx(exact(fault, columns, 1, WIDE), abs=3.0 / np.sqrt(d.effective()))


def test_many_readings_are_fitted(linear: dict[Hypothesis, float]) -> None:
    assert not any(d.plain for d in ran(linear).draws)


def test_a_cause_needs_its_draws_in_all_its_layouts_together(one_reading: dict[Hypothesis, float]) -> None:
    """Four layouts alike: the same odds, as sure as asked, for less than twice the runs of one."""
    layouts = 4
    split = {Hypothesis(h.causes, i): rate / layouts for h, rate in one_reading.items() for i in range(layouts)}
    one, four = ran(one_reading), ran(split, layouts=layouts)
    p = four.probabilities(four.draws)
    for i, d in enumerate(one.draws):
        which = [k for k, other in enumerate(four.draws) if other.hypothesis.key == d.hypothesis.key]
        odds = one.probabilities(one.draws)[i]
        assert p[which].sum() == pytest.approx(odds, abs=0.05)  # five points
        if odds > 0.2:
            assert sum(four.draws[k].counting() for k in which) >= 0.9 * Effort().over(layouts).wanted_likely
    assert four.simulated_members < 2 * one.simulated_members


@pytest.mark.parametrize(
    ("layouts", "prior", "likely", "possible"),
    [(1, 48, 400, 150), (2, 48, 400, 150), (4, 24, 300, 100), (8, 24, 300, 100)],
)
def test_where_nobody_noted_how_it_ran_fewer_draws_have_to_do(
    layouts: int, prior: int, likely: int, possible: int
) -> None:
    found = Effort().over(layouts)
    assert (found.prior, found.wanted_likely, found.wanted_possible) == (prior, likely, possible)


def error_in_its_own(d: Draws) -> float | None:
    """By how much the log evidence is off, over its told error; None for a cause that is ruled out."""
    if d.effective() <= 100.0:
        return None
    columns = UNKNOWNS + d.hypothesis.severities
    return (d.log_evidence() - exact(d.hypothesis.causes[0].key, columns)) / d.error()


def test_the_told_error_is_that_of_repeats(linear: dict[Hypothesis, float]) -> None:
    off = [x for seed in range(40) for d in ran(linear, seed).draws if (x := error_in_its_own(d)) is not None]
    rms = float(np.sqrt(np.mean(np.square(off))))
    assert len(off) >= 40
    assert 0.7 < rms < 1.2  # 40 repeats tell it to a ninth; half or twice the error would be seen


def test_draws_that_are_spread_evenly_tell_more_than_is_said_of_them(one_reading: dict[Hypothesis, float]) -> None:
    """One linear reading is the best case of even spreading: the told error covers repeats, and the draws are few."""
    off = []
    for seed in range(20):
        for d in ran(one_reading, seed).draws:
            assert d.plain
            assert not d.components
            wanted = exact(d.hypothesis.causes[0].key, UNKNOWNS + d.hypothesis.severities, 1, WIDE)
            off.append((d.log_evidence() - wanted) / d.error())
    assert 0.1 < float(np.sqrt(np.mean(np.square(off)))) < 1.0
    # by as many of them as were placed ones: (1.4/0.9)^2
    assert d.counting() == pytest.approx(2.42 * d.effective(), rel=1e-3)


def test_a_rare_cause_is_asked_for_fewer_draws(one_reading: dict[Hypothesis, float]) -> None:
    wanted = Sampler(problem(), Observed((), (), ()), one_reading, 1, Effort(), runner=simulate)._wanted
    assert [wanted(p) for p in (0.5, 0.081, 0.079, 0.02)] == [400, 400, 150, 150]
    assert wanted(0.01) == pytest.approx(75.0)
    assert wanted(0.005) == wanted(0.001) == pytest.approx(37.5)


def looked(rates: dict[Hypothesis, float], monkeypatch: pytest.MonkeyPatch, round_: int) -> Sampler:
    """After the first look, of readings that leave few of a prior's draws in play."""
    monkeypatch.setattr(sampler_module, "likelihood_of", lambda _evidence, _hypothesis: LinearLikelihood(2, 0.5))
    found = Sampler(problem(), Observed((), (), ()), rates, 3, Effort(round=round_), runner=simulate)
    found._first_look()
    return found


def test_a_few_causes_are_looked_at_again_instead_of_fitted(
    linear: dict[Hypothesis, float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two readings leave 1 to 5 of 48 draws; of 432 there are 24 of one cause, and fewer than 4 % of the others."""
    once, again = (looked(linear, monkeypatch, most) for most in (3 * 8 * 48 - 1, 3 * 8 * 48))
    few = [i for i, d in enumerate(once.own) if not d.plain]
    assert few
    for i, d in enumerate(again.own):
        assert len(d.z) == d.prior == 48 * (9 if i in few else 1)
        assert np.array_equal(d.z[:48], once.own[i].z)
        best = int((d.log_likelihood - 0.5 * (d.z**2).sum(axis=1)).argmax())
        assert np.array_equal(d.centre, d.z[best])
    assert [d.plain for d in once.own] == [False] * 3
    assert [d.plain for d in again.own] == [False, True, False]
    assert again.own[1].effective() > 0.04 * 432
    assert all(len(d.z) == 48 for d in once.own)  # three together would be more than a round


class NothingLeftOut:
    """Evidence of one piece, whose leaving out changes nothing."""

    evidence = SimpleNamespace(items=("curve",))

    def uncut(self, d: Draws, _item: str) -> Array:
        return d.uncut()


def test_few_draws_of_the_prior_are_followed_by_more_of_it(one_reading: dict[Hypothesis, float]) -> None:
    """24 draws have no tail to tell a shape by. A width told by them would bring the evidence down by 0.9 nats."""
    found = Sampler(problem(), Observed((), (), ()), one_reading, 2, Effort(prior=24, rounds=0), runner=simulate)
    found.run()
    integrate_again(found, found.own, NothingLeftOut())  # stands for it
    for d in found.own:
        assert d.plain
        assert not d.components
        assert len(d.z) == d.prior == 124
        wanted = exact(d.hypothesis.causes[0].key, UNKNOWNS + d.hypothesis.severities, 1, WIDE)
        assert d.log_evidence() == pytest.approx(wanted, abs=3.0 * d.error())


def test_the_error_of_few_draws_is_at_least_what_the_fit_is_above_them(linear: dict[Hypothesis, float]) -> None:
    d = next(x for x in ran(linear).draws if x.hypothesis.key == "thermostat_stuck_open")
    few = np.argsort(d.log_likelihood)[:20]
    d.z, d.log_likelihood = d.z[few], d.log_likelihood[few]
    above = d.fitted_evidence() - d.log_evidence()
    assert above > 3.0
    assert d.error() >= 3.0


def test_draws_of_earlier_evidence_count_again_by_the_closed_form(
    linear: dict[Hypothesis, float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Draws made for all readings but two, judged by all of them: what they cannot tell is drawn anew."""
    monkeypatch.setattr(
        sampler_module, "joined", lambda parts: Linear(np.concatenate([p.value for p in parts], axis=-1))
    )
    monkeypatch.setattr(sampler_module, "likelihood_of", lambda _evidence, _hypothesis: LinearLikelihood(READINGS - 2))
    before = ran(linear)
    monkeypatch.setattr(sampler_module, "likelihood_of", lambda _evidence, _hypothesis: LinearLikelihood())
    members: list[int] = []

    def counted(problem: Any, batch: Any, cancelled: Any, drive: Any) -> list[Linear]:
        members.append(sum(len(z) for _, z in batch))
        return simulate(problem, batch, cancelled, drive)

    again = Sampler(problem(), Observed((), (), ()), linear, 2, Effort(), runner=counted)
    again.judge_again(before.draws)
    off = [x for d in again.draws if (x := error_in_its_own(d)) is not None]
    assert off
    assert max(abs(x) for x in off) < 3.0
    assert sum(members) < 0.5 * before.simulated_members


def test_a_cause_that_is_hopeless_by_a_bound_is_not_drawn_for(linear: dict[Hypothesis, float]) -> None:
    hopeless = Hypothesis((CAUSES["pump_weak"],), 0)
    found = ran({**linear, hopeless: 1e-30})
    (dropped,) = [d for d in found.draws if d.hypothesis == hopeless]
    assert not dropped.components
    assert max(found.draws, key=lambda d: d.log_evidence()).components
    wanted = ran(linear)
    odds = dict(zip((d.hypothesis.key for d in found.draws), found.probabilities(found.draws), strict=True))
    for d, p in zip(wanted.draws, wanted.probabilities(wanted.draws), strict=True):
        if d.hypothesis != hopeless:
            assert odds[d.hypothesis.key] == pytest.approx(p, abs=0.03)


def test_few_draws_of_a_bad_shape_are_given_the_fits_evidence(linear: dict[Hypothesis, float]) -> None:
    d = next(x for x in ran(linear).draws if x.hypothesis.key == "thermostat_stuck_open")
    columns = UNKNOWNS + d.hypothesis.severities
    assert d.fitted_evidence() == pytest.approx(exact("thermostat_stuck_open", columns), abs=0.7)
    assert d.most_evidence() == pytest.approx(d.log_evidence() + 2.0 / np.sqrt(d.effective()))
    d.z, d.log_likelihood = d.z[:20], d.log_likelihood[:20]  # so few that their shape cannot be told
    assert d.k() == np.inf
    assert d.most_evidence() >= d.fitted_evidence()


class HeavyTailed(LinearLikelihood):
    """The same with the tails of Student's t: far out, twice as far away is hardly less likely."""

    def __call__(self, s: Linear) -> Array:
        away = (self.residuals(s) ** 2).sum(axis=0)
        return np.asarray(-4.0 * np.log1p(away / 4.0))


def test_draws_that_all_lie_far_out_call_for_a_fit(
    linear: dict[Hypothesis, float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Many of them count, all alike: that tells nothing of a place nearer to the readings."""
    monkeypatch.setattr(sampler_module, "likelihood_of", lambda _evidence, _hypothesis: HeavyTailed(noise=0.1))
    A, b = MODELS["healthy"]
    monkeypatch.setitem(MODELS, "healthy", (A, b + 20.0))
    plain = {}
    for far_out in (np.inf, FAR_OUT):
        monkeypatch.setattr(sampler_module, "FAR_OUT", far_out)
        found = Sampler(problem(), Observed((), (), ()), linear, 1, Effort(), runner=simulate)
        found._first_look()
        plain[far_out] = [d.plain for d in found.own]
    far, *others = [d.log_likelihood.max() for d in found.own]
    assert far < max(others) - FAR_OUT
    assert plain == {np.inf: [True, True, True], FAR_OUT: [False, True, True]}


@pytest.mark.parametrize(("times_what_is_drawn_for", "fitted"), [(0.5, False), (2.0, True)])
def test_one_that_would_count_for_nothing_as_near_as_the_nearest_is_not_fitted(
    linear: dict[Hypothesis, float], monkeypatch: pytest.MonkeyPatch, times_what_is_drawn_for: float, fitted: bool
) -> None:
    """Its evidence, were all its draws as much likelier as the nearest of all, under half of ``POSSIBLE``."""
    monkeypatch.setattr(sampler_module, "likelihood_of", lambda _evidence, _hypothesis: HeavyTailed(noise=0.1))
    A, b = MODELS["healthy"]
    monkeypatch.setitem(MODELS, "healthy", (A, b + 20.0))
    looked = Sampler(problem(), Observed((), (), ()), linear, 1, Effort(), runner=simulate)
    looked._first_look()
    far, *others = looked.own
    lift = max(d.log_likelihood.max() for d in others) - far.log_likelihood.max()
    rest = np.logaddexp(*(d.log_rate + d.log_evidence() for d in others))
    wanted = np.log(times_what_is_drawn_for * 0.5 * POSSIBLE) + rest - lift - far.log_evidence()
    rates = {h: float(np.exp(wanted)) if h is far.hypothesis else rate for h, rate in linear.items()}
    again = Sampler(problem(), Observed((), (), ()), rates, 1, Effort(prior=48), runner=simulate)
    monkeypatch.setattr(again, "_look_again", lambda _reach: None)  # the same draws, placed by the rates alone
    again._first_look()
    assert [d.plain for d in again.own] == [not fitted, True, True]


# ---- a vehicle's own history, and what its class alone would say -----------------------------------------------------


def ran_with_own(rates: dict[Hypothesis, float], seed: int, mean: float, width: float) -> Sampler:
    """As ``ran``, each unknown of the vehicle known from a record of its own: about a mean, so wide."""
    own = CarriedUnknowns(np.full(UNKNOWNS, mean), width * np.eye(UNKNOWNS))

    def of_this_vehicle(problem: Any, batch: Any, cancelled: Any, drive: Any) -> list[Linear]:
        known = [(h, np.hstack((own.z(u[:, :UNKNOWNS]), u[:, UNKNOWNS:]))) for h, u in batch]
        return simulate(problem, known, cancelled, drive)

    posed = SimpleNamespace(**vars(problem()), own=(own,))
    found = Sampler(posed, Observed((), (), ()), rates, seed, Effort(), runner=of_this_vehicle)
    found.run()
    return found


def exact_odds(readings: int, noise: float, mean: float = 0.0, width: float = 1.0) -> dict[str, float]:
    """Odds of the linear model in closed form: unknowns about a mean, so wide; severities as everywhere."""
    log_evidence = {}
    for fault, (whole, b) in MODELS.items():
        A = whole[:readings, : UNKNOWNS + Hypothesis((CAUSES[fault],), 0).severities]
        own = np.concatenate((np.full(UNKNOWNS, width), np.ones(A.shape[1] - UNKNOWNS)))
        expected = b[:readings] + A[:, :UNKNOWNS].sum(axis=1) * mean
        covariance = (A * own**2) @ A.T + noise**2 * np.eye(readings)
        log_evidence[fault] = float(stats.multivariate_normal.logpdf(DATA[:readings], expected, covariance))
    score = np.exp(np.array(list(log_evidence.values())) - max(log_evidence.values()))
    return dict(zip(log_evidence, (score / score.sum()).tolist(), strict=True))


@pytest.mark.parametrize("seed", [1, 2, 10])
def test_what_the_class_alone_says_is_the_closed_form(one_reading: dict[Hypothesis, float], seed: int) -> None:
    """By the normal law of one reading (SciPy): by draws of the vehicle's own law, the odds of its class."""
    by_class, by_own = exact_odds(1, WIDE), exact_odds(1, WIDE, mean=0.6, width=0.6)
    assert max(abs(by_class[key] - by_own[key]) for key in by_class) > 0.35
    sampler = ran_with_own(one_reading, seed, mean=0.6, width=0.6)
    p = {d.hypothesis.key: x for d, x in zip(sampler.draws, sampler.probabilities(sampler.draws), strict=True)}
    assert p == pytest.approx(by_own, abs=0.04)
    assert odds_by_class([sampler]) == pytest.approx(by_class, abs=0.12)  # of twenty seeds 0.11 at most, 0.03 mostly


def test_where_the_draws_cannot_tell_of_the_class_nothing_is_said(one_reading: dict[Hypothesis, float]) -> None:
    """A vehicle known to a twentieth of its class in nine ways: its draws never reach most of the class."""
    assert odds_by_class([ran_with_own(one_reading, 1, mean=2.0, width=0.05)]) == {}
