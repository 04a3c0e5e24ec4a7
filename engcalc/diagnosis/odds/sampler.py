"""How likely the evidence is under each hypothesis: the integral over all that is unknown, by importance sampling.

For each hypothesis: a few prior draws; from the best of them damped Gauss-Newton steps, their derivatives by wide
ensemble differences, which smooth the valve's kink; a covariance mended by secants one standard deviation out along
its axes; then rounds of draws from a Student's t there, its place and width adapted to the weighted draws. All draws,
the prior's included, count by the deterministic mixture of what they were drawn from (balance heuristic: Veach & Guibas
1995; adaptive multiple importance sampling: Cornuet et al., Scand. J. Statist. 39 (2012) 798). All hypotheses run as
one ensemble; more rounds go to those still alive with few effective draws. How far the draws of a cause can be trusted
is told by the Pareto shape of their weights (:mod:`engcalc.diagnosis.odds.pareto`): where it is no good, the linear
fit's evidence counts beside the draws' until more of them are made.

Draws outlive what they were made for. Where later evidence is of the same runs (a hand reading, a thing seen), they
count again by its likelihood, and only where they cannot tell are there new ones (:meth:`Sampler.judge_again`): odds
for a first answer.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.diagnosis.checks.found_causes import surely_at_fault
from engcalc.diagnosis.evidence.likelihood import Likelihood, likelihood_of
from engcalc.diagnosis.evidence.observations import Observed
from engcalc.diagnosis.members.simulated import Hypothesis, Problem, Runner, Simulated, joined, simulate, with_states
from engcalc.diagnosis.odds.pareto import GOOD, pareto_k
from engcalc.diagnosis.odds.student_t import StudentT
from engcalc.diagnosis.odds.weights import cut, log_mean, place_by_draws, tempered
from engcalc.errors import Cancelled
from engcalc.units import Array
from engcalc.vehicle.unknowns import stratified_z
from engcalc.words.texts import diagnosis_texts

LEAST_ODDS = 1e-12  # of a cause that was found, however little the readings speak for it

Progress = Callable[[float, str], None] | None
Stop = Callable[[], bool] | None


@dataclass(frozen=True)
class Effort:
    """How much work a diagnosis may take: draws and rounds."""

    prior: int = 48
    steps: int = 2
    first: int = 24
    round: int = 1400  # draws of one further round, shared out
    rounds: int = 16
    wanted_likely: int = 400  # effective draws for a hypothesis above 10 %
    wanted_possible: int = 150  # above 0.5 %

    def over(self, layouts: int) -> Effort:
        """The work where there are several layouts: a run takes as long in each, so that fewer draws have to do.

        The odds of a cause are then known to 3 points (two standard errors at even odds) instead of 2.5.
        """
        if layouts < MANY_LAYOUTS:
            return self
        return replace(
            self,
            prior=max(self.prior // 2, 1),
            wanted_likely=3 * self.wanted_likely // 4,
            wanted_possible=2 * self.wanted_possible // 3,
            rounds=min(self.rounds, MOST_ROUNDS),
        )

    def again(self) -> Effort:
        """The work where draws of earlier evidence count again: a third of the effective ones do, for a quick answer,
        and one round has to bring them.

        The odds of a cause are then known to 5 points (two standard errors at even odds), where that round did.
        """
        return replace(
            self,
            wanted_likely=self.wanted_likely // 3,
            wanted_possible=self.wanted_possible // 3,
            rounds=min(self.rounds, 1),
        )


MANY_LAYOUTS = 4  # the ways to drive, where nobody noted which
MOST_ROUNDS = 2  # of so many layouts: a third one finds few draws lacking, and takes as long


LIKELY = 0.10
POSSIBLE = 0.005
# Odds from which a cause that is no more than possible has all the draws wanted for it, and the least share of them
# that one has: so the odds of a rare cause are known as closely, in points, as those of the others
IN_FULL = 0.02
LEAST_WANTED = 0.25
ALMOST = 0.8  # of the draws wanted, with which a cause is left as it is: a further round takes longer than it tells
DIFFERENCE = 0.7  # standard deviations; step of the ensemble differences
DAMPING = (0.0, 1.0, 4.0, 16.0, 64.0)
NARROWEST = 0.2  # standard deviations of the prior; an axis of the first draws is never narrower: kinks steepen a fit
WIDER = 1.15  # of the covariance of the first draws: tails rather too wide than too short
ENOUGH = 4.0  # effective draws for each dimension, from which place and width of the next are taken
ENOUGH_UNFITTED = 1.0  # the same where there was no fit: tempered to more, the prior's draws leave a place half way
TRUSTED = 4.0  # effective draws for each dimension, as many as the first fit's place and width count for beside them
PLAIN = 0.1  # share of effective draws from which on the prior itself is drawn from; by trials on six entries
LEAST_PLAIN = 0.04  # the same after a second look: further rounds then place their draws by those that count
FAR_OUT = 4.0  # nats below the nearest draw of any hypothesis, from which all draws of one may have missed the readings
LOOKED_AGAIN = 8  # times the first look's draws, of the few hypotheses of which too few draws count
LEAST_OF_A_LAYOUT = 10.0  # effective draws wanted for each layout of a possible cause, however small its part
HOPELESS = float(np.log(1e-6))  # nats below the leader, from which a cause is not drawn for any more
UNSURE = 4.0  # nats by which a few steps of the fit may lie below the best member; of trials, 2.8 in one of twenty
# The error of log evidence that repeats show over that which the draws tell: 1.1 to 1.3 by causes above 0.5 % in twenty
# diagnoses of six small cases by other seeds, 1.3 in sixty of a linear model whose evidence is known
REPEATS = 1.4
# The same where all draws are the prior's, spread evenly over it: 0.3 to 0.7 in the root mean square of each of four
# cases by six seeds, 0.95 for the worst of 33 causes
EVENLY_SPREAD = 0.9
MOST_SHORT = 3.0  # nats; by which evidence of few draws may be told to be too low
DOUBT = 2.0  # nats over the root of the effective draws, by which evidence from few of them may be too low


def _log_normal(z: Array) -> Array:
    return np.asarray(-0.5 * (z**2).sum(axis=1) - 0.5 * z.shape[1] * np.log(2.0 * np.pi))


@dataclass(eq=False)
class Draws:
    """One hypothesis under way: every draw made, its log likelihood, and what they were drawn from."""

    hypothesis: Hypothesis
    likelihood: Likelihood
    log_rate: float
    z: Array
    log_likelihood: Array
    parts: list[Simulated] = field(default_factory=list)
    prior: int = 0
    components: list[StudentT] = field(default_factory=list)
    centre: Array = field(default_factory=lambda: np.zeros(0))
    best: float = -np.inf
    J: Array = field(default_factory=lambda: np.zeros((0, 0)))
    covariance: Array = field(default_factory=lambda: np.zeros((0, 0)))
    severity_z: Array = field(default_factory=lambda: np.zeros((0, 0)))
    fitted: tuple[Array, Array] = field(default_factory=lambda: (np.zeros(0), np.zeros((0, 0))))  # place, covariance
    plain: bool = False  # the evidence is so wide that the prior itself is drawn from

    def log_weights(self) -> Array:
        """Log importance weights, normalised so that their mean is the evidence, the largest cut (:func:`cut`)."""
        return cut(self.uncut())

    def k(self) -> float:
        """Pareto shape of the weights' upper tail: up to ``GOOD`` their mean can be trusted."""
        return pareto_k(self.uncut())

    def fitted_evidence(self) -> float:
        """Log evidence by the fit alone: a normal law about the best member, its width the fit's (Laplace).

        Off by 0.6 nats in the median and by 2.8 in one of twenty (trials of 2026-11): a guide where draws are none.
        """
        if not self.fitted[1].size:
            return -np.inf
        _, log_det = np.linalg.slogdet(self.fitted[1])
        return float(self.best + 0.5 * log_det)

    def error(self) -> float:
        """Standard error of the log evidence [nats]: of the draws' mean, times what repeats show. That is more where
        they were placed by draws that count among them, and less where they are spread evenly. What the cut took of
        them belongs to it. Where their shape is no good, it is at least what the fit's evidence is above theirs, and
        what evidence from few of them may be too low by."""
        own = self.repeats() * float(np.sqrt(max(1.0 / self.effective() - 1.0 / len(self.z), 0.0)))
        own = float(np.hypot(own, log_mean(self.uncut()) - self.log_evidence()))
        if self.k() <= GOOD:
            return own
        above = min(self.fitted_evidence() - self.log_evidence(), MOST_SHORT)
        return max(own, above, DOUBT / float(np.sqrt(self.effective())))

    def repeats(self) -> float:
        """The error that repeats show over that of as many draws made at random."""
        spread_evenly = not self.components and self.effective() >= PLAIN * len(self.z) and self.k() <= GOOD
        return EVENLY_SPREAD if spread_evenly else REPEATS

    def counting(self) -> float:
        """Effective draws; those that are spread evenly by as many placed ones as tell the evidence as closely."""
        return self.effective() * (REPEATS / self.repeats()) ** 2

    def most_evidence(self) -> float:
        """Log evidence with the benefit of the doubt, where few draws carry it or their shape is no good."""
        told = self.log_evidence()
        if self.k() > GOOD:
            told = max(told, self.fitted_evidence())
        return told + DOUBT / float(np.sqrt(self.effective()))

    def judged_again(self, old: Draws) -> None:
        """Take the draws of an earlier likelihood over; they count by the one of now."""
        self.z = old.z
        self.severity_z = old.severity_z
        self.parts = list(old.parts)
        self.prior = old.prior
        self.components = list(old.components)
        self.plain = old.plain
        self.log_likelihood = self.likelihood(old.simulated())
        posterior = self.log_likelihood - 0.5 * (self.z**2).sum(axis=1)
        first = int(posterior.argmax())
        self.centre = self.z[first]
        self.best = float(posterior[first])
        self.covariance = old.covariance
        self.J = old.J
        self.fitted = self.centre, old.fitted[1]

    def uncut(self) -> Array:
        """Log importance weights as they are."""
        log_prior = _log_normal(self.z)
        terms = [np.log(self.prior) + log_prior] if self.prior else []
        terms += [np.log(c.count) + c.log_density(self.z) for c in self.components]
        stack = np.stack(terms)
        top = stack.max(axis=0)
        mixture = top + np.log(np.exp(stack - top).sum(axis=0)) - np.log(len(self.z))
        return np.asarray(self.log_likelihood + log_prior - mixture)

    def log_evidence(self) -> float:
        """Log of the integral of likelihood times prior."""
        return log_mean(self.log_weights())

    def weights(self) -> Array:
        """Importance weights, summing to 1."""
        log_w = self.log_weights()
        w = np.exp(log_w - log_w.max())
        return np.asarray(w / w.sum())

    def effective(self) -> float:
        """Effective number of draws: 1/sum of squared weights."""
        return float(1.0 / (self.weights() ** 2).sum())

    def simulated(self) -> Simulated:
        """All draws as one ensemble."""
        self.parts = [joined(self.parts)]
        return self.parts[0]


class Sampler:
    """Draws for every hypothesis of a problem; :meth:`run` to the end, then read :attr:`draws`."""

    def __init__(
        self,
        problem: Problem,
        evidence: Observed,
        rates: Mapping[Hypothesis, float],
        seed: int,
        effort: Effort,
        progress: Progress = None,
        cancelled: Stop = None,
        runner: Runner = simulate,
    ) -> None:
        self.runner = runner
        self.found = surely_at_fault(problem.run.record.seen)
        self.problem = problem
        self.effort = effort.over(len(problem.layouts))
        self.seed = seed
        self.progress = progress
        self.cancelled = cancelled
        self.rng = np.random.default_rng([seed, 5])
        self.simulated_members = 0
        k = len(problem.unknowns)
        kinds: dict[tuple[float, bool], Likelihood] = {}
        self.draws: list[Draws] = []
        for hypothesis, rate in rates.items():
            kind = (hypothesis.broad, hypothesis.erratic)
            kinds.setdefault(kind, likelihood_of(evidence, hypothesis))
            self.draws.append(
                Draws(
                    hypothesis,
                    kinds[kind],
                    float(np.log(max(rate, 1e-300))),
                    np.zeros((0, k + hypothesis.severities)),
                    np.zeros(0),
                )
            )
        self.own = [d for d in self.draws if not d.hypothesis.traceless]
        self._looked: Sequence[Draws] = ()

    def run(self, first_odds: Callable[[], None] | None = None) -> None:
        """First look, steps to the best fit, draws about it, further rounds. Raises Cancelled.

        ``first_odds`` is called once, as soon as every hypothesis has draws about its best fit.
        """
        self._first_look()
        self._report(0.15, "first look done")
        for i in range(self.effort.steps):
            self._step()
            self._report(
                0.15 + 0.3 * (i + 1) / self.effort.steps, diagnosis_texts.CLOSING_IN_ON_WHAT_EACH_CAUSE_WOULD_SHOW
            )
        worth_it = self._worth_it()
        self._secants(worth_it)
        self._sample([(d, self.effort.first) for d in worth_it])
        self._refine(first_odds)

    def judge_again(self, earlier: Sequence[Draws]) -> None:
        """In place of :meth:`run`: draws of the same runs that were made for earlier evidence count by the evidence of
        now, and only what they cannot tell of it is drawn anew. ``earlier`` has all hypotheses. Raises Cancelled."""
        made = {(d.hypothesis.key, d.hypothesis.layout): d for d in earlier}
        for d in self.own:
            d.judged_again(made[d.hypothesis.key, d.hypothesis.layout])
        self.effort = self.effort.again()
        self._refine(None)

    def looked_at(self, earlier: Sequence[Draws]) -> None:
        """Before :meth:`run`: draws of the same runs; where its first look would run the same members, it takes them
        from there."""
        self._looked = [d for d in earlier if not d.hypothesis.traceless]

    def _refine(self, first_odds: Callable[[], None] | None) -> None:
        """Further rounds, after the first odds are told."""
        self._report(0.6, "first odds")
        if first_odds is not None:
            self._traceless()
            first_odds()
        for i in range(self.effort.rounds):
            shares = self._shares()
            if not shares:
                break
            self._adapt([d for d, _ in shares])
            self._sample(shares)
            self._report(0.6 + 0.35 * (i + 1) / self.effort.rounds, "refining the odds")
        self._traceless()

    def probabilities(self, draws: Sequence[Draws]) -> Array:
        """Odds of some hypotheses among themselves as they stand.

        A vehicle in which a fault was found is not healthy: what speaks for a healthy one speaks there for that fault
        and no other.
        """
        score = np.array([d.log_rate + d.log_evidence() for d in draws])
        p = np.exp(score - score.max())
        p = p / p.sum()
        found = np.array([d.hypothesis.key in self.found for d in draws])
        if not found.any():
            return np.asarray(p)
        healthy = np.array([d.hypothesis.key == HEALTHY.key for d in draws])
        by_odds = np.where(found, np.maximum(p, LEAST_ODDS), 0.0)
        return np.asarray(np.where(healthy, 0.0, p) + p[healthy].sum() * by_odds / by_odds.sum())

    def _report(self, fraction: float, words: str) -> None:
        if self.cancelled is not None and self.cancelled():
            raise Cancelled(diagnosis_texts.DIAGNOSIS_WAS_CANCELLED)
        if self.progress is not None:
            self.progress(fraction, words)

    def _ran(self, batch: list[tuple[Draws, Array]]) -> list[Simulated]:
        self.simulated_members += sum(len(z) for _, z in batch)
        return self.runner(self.problem, [(d.hypothesis, z) for d, z in batch], self.cancelled, None)

    def _add(self, batch: list[tuple[Draws, Array]]) -> None:
        """Run draws and keep them."""
        batch = [(d, z) for d, z in batch if len(z)]
        if batch:
            self._keep(batch, self._ran(batch))

    def _keep(self, batch: list[tuple[Draws, Array]], ran: list[Simulated]) -> None:
        k = len(self.problem.unknowns)
        for (d, z), s in zip(batch, ran, strict=True):
            d.z = np.concatenate((d.z, z))
            d.severity_z = d.z[:, k:]
            d.log_likelihood = np.concatenate((d.log_likelihood, d.likelihood(s)))
            d.parts.append(s)

    def _first_look(self) -> None:
        batch = [(d, stratified_z(self.rng, self.effort.prior, d.z.shape[1])) for d in self.own]
        if self._all_looked_at(batch):
            self._keep(batch, [d.simulated().taken(np.arange(self.effort.prior)) for d in self._looked])
        else:
            self._add(batch)
        reach = max(_closest(d) for d in self.own)
        self._place(self.own, reach)
        self._look_again(reach)

    def _look_again(self, reach: float) -> None:
        """More of the prior's draws for those of which too few count, where they are few: a fit of two or three takes
        six runs one after another, and each of those as long as a hundred members."""
        few = self._fitted()
        each = LOOKED_AGAIN * self.effort.prior
        if not few or each * len(few) > self.effort.round:
            return
        self._add([(d, stratified_z(self.rng, each, d.z.shape[1])) for d in few])
        self._place(few, reach)

    def _place(self, which: Sequence[Draws], reach: float) -> None:
        """The best of the prior's draws, and whether as many of them count as make a fit needless."""
        for d in which:
            d.prior = len(d.z)
        score = np.array([d.log_rate + d.log_evidence() for d in self.own])
        all_odds = float(score.max() + np.log(np.exp(score - score.max()).sum()))
        for d in which:
            self._placed(d, reach, all_odds)

    def _placed(self, d: Draws, reach: float, all_odds: float) -> None:
        """The same of one hypothesis.

        Draws all of which lie far out count nearly alike, for what the model may be wrong by has heavy tails: many of
        them tell nothing of a place nearer to the readings. ``reach`` is how near draws of any hypothesis come. One
        that would stay under what is drawn for, were all its draws as near as that, is left as it is; ``all_odds`` is
        the logarithm of all evidence with its rates.
        """
        posterior = d.log_likelihood - 0.5 * (d.z**2).sum(axis=1)
        first = int(posterior.argmax())
        size = d.z.shape[1]
        d.centre = d.z[first]
        d.best = float(posterior[first])
        d.covariance = np.eye(size)
        d.fitted = np.zeros(size), np.eye(size)
        many = d.effective() >= max(PLAIN * self.effort.prior, LEAST_PLAIN * len(d.z))
        short = reach - _closest(d)
        may_count = d.log_rate + d.log_evidence() + short - all_odds > np.log(0.5 * POSSIBLE)
        d.plain = many and (short < FAR_OUT or not may_count)

    def _all_looked_at(self, batch: list[tuple[Draws, Array]]) -> bool:
        """Whether the earlier draws begin with just these: then their runs are the same to the last digit."""
        return len(batch) == len(self._looked) and all(
            d.hypothesis == there.hypothesis and np.array_equal(z, there.z[: len(z)])
            for (d, z), there in zip(batch, self._looked, strict=True)
        )

    def _fitted(self) -> list[Draws]:
        """The hypotheses whose draws need a fit: one reading alone leaves most of a prior's draws in play."""
        return [d for d in self.own if not d.plain]

    def _worth_it(self) -> list[Draws]:
        """Of those, all whose evidence is not hopeless by a bound: no fit is wider than the prior, so that the evidence
        is at most the best member's likelihood with its prior. ``UNSURE`` is for a member that is not the best yet."""
        fitted = self._fitted()
        leader = max(d.log_rate + d.log_evidence() for d in self.own)
        leader = max([leader, *(d.log_rate + _linear_evidence(d) - UNSURE for d in fitted)])
        return [d for d in fitted if d.log_rate + d.best + UNSURE > leader + HOPELESS]

    def _step(self) -> None:
        """Differences about each centre, then damped Gauss-Newton steps, the best of which is taken."""
        batch = [
            (d, np.concatenate((d.centre[None], d.centre + _signs(d.centre) * np.eye(d.centre.size))))
            for d in self._fitted()
        ]
        candidates = []
        for (d, z), s in zip(batch, self._ran(batch), strict=True):
            r = d.likelihood.residuals(s)
            d.J = (r[:, 1:] - r[:, :1]) / np.diag(z[1:] - z[:1])
            candidates.append((d, self._candidates(d, r[:, 0])))
        for (d, z), s in zip(candidates, self._ran(candidates), strict=True):
            posterior = d.likelihood(s) - 0.5 * (z**2).sum(axis=1)
            best = int(posterior.argmax())
            if posterior[best] > d.best:
                d.centre = z[best]
                d.best = float(posterior[best])

    def _candidates(self, d: Draws, r: Array) -> Array:
        """Gauss-Newton steps at several dampings from the centre."""
        eye = np.eye(d.centre.size)
        normal = d.J.T @ d.J
        gradient = d.J.T @ r + d.centre
        steps = [np.linalg.solve(normal + (1.0 + damping) * eye, gradient) for damping in DAMPING]
        return np.array([d.centre - np.clip(step, -2.0, 2.0) for step in steps])

    def _secants(self, which: Sequence[Draws]) -> None:
        """The covariance of the linear fit, each axis mended by how far the posterior falls one deviation out."""
        batch = []
        for d in which:
            value, axes = np.linalg.eigh(d.J.T @ d.J + np.eye(d.centre.size))
            value = np.minimum(value, 1.0 / NARROWEST**2)
            out = (axes / np.sqrt(value)).T
            d.covariance = axes  # axes now, the covariance below
            d.J = np.sqrt(value)
            batch.append((d, np.concatenate((d.centre + out, d.centre - out))))
        for (d, z), s in zip(batch, self._ran(batch), strict=True):
            posterior = d.likelihood(s) - 0.5 * (z**2).sum(axis=1)
            n = d.centre.size
            fall = np.clip(2.0 * d.best - posterior[:n] - posterior[n:], 0.04, 6.0)  # 1 where the fit is linear
            scale = d.covariance * np.minimum(1.0 / (d.J * np.sqrt(fall)), 1.0)
            d.covariance = scale @ scale.T
            d.fitted = d.centre, d.covariance

    def _sample(self, shares: list[tuple[Draws, int]]) -> None:
        batch = []
        for d, n in shares:
            if d.plain:
                d.prior += n
                batch.append((d, stratified_z(self.rng, n, d.z.shape[1])))
                continue
            if not d.components or d.components[-1].count:
                d.components.append(StudentT(d.centre, WIDER * _root(d.covariance), 0))
            d.components[-1].count = n
            batch.append((d, d.components[-1].draw(self.rng, n)))
        self._add(batch)

    def draw_more(self, shares: list[tuple[Draws, int]]) -> None:
        """Further draws of some hypotheses from where they were drawn last, so many of each."""
        if shares:
            self._sample(shares)
            self._traceless()

    def draw_about(self, places: Sequence[tuple[Draws, Array, Array, int]]) -> None:
        """Further draws of some hypotheses from a Student's t of a mean and covariance, so many of each."""
        batch: dict[int, tuple[Draws, list[Array]]] = {}
        for d, mean, covariance, n in places:
            component = StudentT(mean, _root(covariance), n)
            d.components.append(component)
            batch.setdefault(id(d), (d, []))[1].append(component.draw(self.rng, n))
        self._add([(d, np.concatenate(z)) for d, z in batch.values()])
        self._traceless()

    def _shares(self) -> list[tuple[Draws, int]]:
        """Who gets how many of the next round's draws: those alive that lack effective ones, given the benefit of the
        doubt where few of them carry the evidence. More go to the likelier ones.

        A cause needs its effective draws in all its layouts together, each of them by its part: so the odds of a cause
        are as sure as if it had one layout.
        """
        score = np.array([d.log_rate + d.log_evidence() for d in self.own])
        most = np.array([d.log_rate + d.most_evidence() for d in self.own])
        p = np.minimum(np.exp(most - score.max()) / np.exp(score - score.max()).sum(), 1.0)
        of_cause: dict[str, float] = {}
        for d, share in zip(self.own, p.tolist(), strict=True):
            of_cause[d.hypothesis.key] = of_cause.get(d.hypothesis.key, 0.0) + share
        size = self.effort.round * len(self.problem.layouts)
        lacking = []
        for d, share in zip(self.own, p.tolist(), strict=True):
            whole = of_cause[d.hypothesis.key]
            of_all = self._wanted(whole)
            wanted = max(of_all * share / whole, min(LEAST_OF_A_LAYOUT, of_all))
            has = d.counting()
            if share > 0.5 * POSSIBLE and has < ALMOST * wanted:
                rate = max(has / len(d.z), 0.02)
                n = min((wanted - has) / rate, 0.5 * self.effort.round) * 1.15 + 16.0
                lacking.append((d, n, n * max(np.sqrt(share), 0.15)))
        total = sum(weight for _, _, weight in lacking)
        return [(d, max(16, round(min(n, weight * size / total)))) for d, n, weight in lacking]

    def _wanted(self, p: float) -> float:
        """Effective draws wanted of a cause whose odds are ``p``, in all its layouts together."""
        if p > 0.8 * LIKELY:
            return self.effort.wanted_likely
        return self.effort.wanted_possible * min(max(p / IN_FULL, LEAST_WANTED), 1.0)

    def _adapt(self, alive: Sequence[Draws]) -> None:
        """Place and width of the next draws from the weighted ones, tempered until enough of them count.

        A covariance of fourteen dimensions from some fifty draws is too rough to draw from (it leaves 8 % of the draws
        effective where the true one leaves 60 %), so the first fit's is mixed in as if it were draws too. A place is
        known far better: :func:`place_by_draws`.
        """
        for d in alive:
            d.plain = d.plain and d.effective() >= PLAIN * len(d.z)  # there are enough draws now to adapt to
            if d.plain:
                continue
            size = d.centre.size
            w = tempered(d.log_weights(), (ENOUGH if d.J.size else ENOUGH_UNFITTED) * size)
            seen = 1.0 / float((w**2).sum())
            keep = seen / (seen + TRUSTED * size)
            mean = w @ d.z
            spread = (d.z - mean).T @ ((d.z - mean) * w[:, None])
            d.centre = place_by_draws(d.fitted, mean, seen)
            d.covariance = keep * spread + (1.0 - keep) * d.fitted[1] + 1e-4 * np.eye(size)

    def _traceless(self) -> None:
        """Causes without a trace share the healthy vehicle's runs; only what a look tells differs.

        Their draws come from a generator of their own, so that first odds leave the final ones as they are.
        """
        rng = np.random.default_rng([self.seed, 6])
        for d in self.draws:
            if not d.hypothesis.traceless:
                continue
            healthy = next(
                x for x in self.own if x.hypothesis.key == "healthy" and x.hypothesis.layout == d.hypothesis.layout
            )
            extra = rng.standard_normal((len(healthy.z), d.hypothesis.severities))
            s = with_states(healthy.simulated(), d.hypothesis, extra)
            d.parts = [s]
            d.z = healthy.z
            sights = d.likelihood.of_sights(s) - healthy.likelihood.of_sights(healthy.simulated())
            d.log_likelihood = healthy.log_likelihood + sights
            d.prior = healthy.prior
            d.components = healthy.components
            d.severity_z = extra


def _closest(d: Draws) -> float:
    """The best log likelihood of the readings among the draws, whatever was seen besides."""
    of_sights = np.concatenate([d.likelihood.of_sights(part) for part in d.parts])
    return float((d.log_likelihood - of_sights).max())


def _signs(centre: Array) -> Array:
    """Steps of the differences, towards the prior's middle."""
    return np.where(centre > 0.0, -DIFFERENCE, DIFFERENCE)


def _linear_evidence(d: Draws) -> float:
    """Log evidence were the readings linear about the best member."""
    _, log_det = np.linalg.slogdet(d.J.T @ d.J + np.eye(d.centre.size))
    return float(d.best - 0.5 * log_det)


def _root(covariance: Array) -> Array:
    return np.asarray(np.linalg.cholesky(covariance), np.float64)
