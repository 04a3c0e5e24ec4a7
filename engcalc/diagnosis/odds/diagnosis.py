"""The diagnosis: causes with odds that mean what they say, what carries them, and the next check worth making.

Every cause is simulated by the warm-up model with its severity and the vehicle's unknowns drawn from their priors, and
judged by Bayes' rule on all the evidence at once (:mod:`engcalc.diagnosis.odds.sampler`). Base rates by the reason for
the visit are data (:mod:`engcalc.causes.base_rates`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import combinations

import numpy as np

from engcalc.case.case import Case
from engcalc.causes.base_rates import PAIR_FACTOR, BaseRates, OtherRates
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.causes.catalogue.not_in_list import NOT_IN_LIST
from engcalc.diagnosis.checks.hand_checks import CHECKS
from engcalc.diagnosis.checks.next_check import CheckValue, information
from engcalc.diagnosis.checks.run_of_checks import CheckedVehicles
from engcalc.diagnosis.evidence.observations import Observed, ReadingGroup
from engcalc.diagnosis.evidence.posed import posed
from engcalc.diagnosis.evidence.sights import Measure, SeenItem
from engcalc.diagnosis.members.circuit_course import middle_course
from engcalc.diagnosis.members.simulated import Hypothesis, Problem, Runner, joined, simulate
from engcalc.diagnosis.odds.by_class import odds_by_class
from engcalc.diagnosis.odds.checks_by_odds import checked_vehicles, checks_in_order
from engcalc.diagnosis.odds.drawn_vehicles import drawn_vehicles
from engcalc.diagnosis.odds.kept import KeptDraws
from engcalc.diagnosis.odds.left_out import LeftOut, integrate_again
from engcalc.diagnosis.odds.sampler import LIKELY, POSSIBLE, Draws, Effort, Progress, Sampler, Stop
from engcalc.diagnosis.odds.weights import log_mean
from engcalc.logs.record import LogRecord
from engcalc.system.round_circuit import CircuitCourse
from engcalc.units import Array
from engcalc.vehicle.own_prior import OwnHistory
from engcalc.vehicle.run import latest_record
from engcalc.words.texts import diagnosis_texts

ALIKE = 1.6  # nats; causes whose evidence differs by less cannot be told apart by it (odds of 5 to 1)
GROUPED_FROM = 0.02  # probability from which a cause is named in a group
PAIRED = 5  # leading faults of which pairs are tried
CURVES = 3  # causes whose curve is predicted
CHECK_MEMBERS = 400  # vehicles drawn from the odds, in which checks are predicted
LEAST_VEHICLES = 24  # of them, of a cause
COUNTS = 0.1  # share of a cause's odds from which a layout counts in what a piece of evidence weighs
SEEN = "seen"  # kind of evidence that is no quantity

Piece = ReadingGroup | SeenItem | Measure
LOWEST_EFFECTIVE = 25.0  # effective draws under which a likely cause's odds are not to be relied on


@dataclass(frozen=True)
class SeverityRange:
    """How bad, if it is this cause: 5, 50 and 95 % of the odds; ``kind`` of quantity, SI."""

    label: str
    kind: str
    low: float
    median: float
    high: float


@dataclass(frozen=True)
class CauseOdds:
    """One cause (or pair): probability, the sampling error of it, how bad, and how many effective draws carry it."""

    fault: str
    probability: float
    error: float
    severity: tuple[SeverityRange, ...]
    effective: float
    log_evidence: float


class Stage(StrEnum):
    """How far a diagnosis is when it tells its odds before the end."""

    FIRST = "first odds"
    SINGLE = diagnosis_texts.ODDS_OF_SINGLE_CAUSES


@dataclass(frozen=True)
class EarlyOdds:
    """Odds before the final ones: the stage, and each cause with its probability, in falling order, summing to 1."""

    stage: Stage
    causes: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Group:
    """Causes that the evidence cannot separate, their summed probability, and the check that splits them best."""

    faults: tuple[str, ...]
    probability: float
    split_by: str | None


@dataclass(frozen=True)
class EvidenceWeight:
    """One piece of evidence: what was read, what a healthy vehicle and the best cause would show without knowing it,
    and by how many bits it moves the odds of the best cause against the runner-up and against healthy. All as the
    instrument shows it, with what it reads off there.

    ``best_between``: where nine in ten draws of the best cause lie without knowing it; their mean can lie far from the
    reading that some of them explain. ``kind`` of quantity, SI; ``SEEN`` for a thing seen: ``measured`` is then 1 or 0
    and the others are probabilities of seeing it. ``healthy_by_way``: what a healthy vehicle would show by each way in
    which it may have run, where nobody noted which; ``expected_healthy`` is then their mean by how likely each is.
    """

    item: str
    what: str
    measured: float
    expected_healthy: float
    expected_best: float
    best_between: tuple[float, float]
    kind: str
    weight: float
    weight_to_healthy: float
    healthy_by_way: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, eq=False)
class Curve:
    """What the sensor would show under a cause [K]: 5, 50 and 95 %, at times [s]."""

    fault: str
    time: Array
    low: Array
    median: Array
    high: Array


@dataclass(frozen=True, eq=False)
class Diagnosis:
    """The answer for one record. ``causes`` in falling order, summing to 1."""

    case: Case
    record: str
    source: str
    causes: tuple[CauseOdds, ...]
    groups: tuple[Group, ...]
    base_rates: BaseRates
    evidence: tuple[EvidenceWeight, ...]
    runner_up: str
    curves: tuple[Curve, ...]
    measured: tuple[Array, Array]
    next_checks: tuple[CheckValue, ...]
    effective_samples: Mapping[str, float]
    enough: bool
    members: int
    unused: tuple[str, ...]
    course: CircuitCourse | None = None  # round the circuit under the likeliest cause
    healthy_course: CircuitCourse | None = None  # and of a healthy vehicle, nothing of this record fitted
    own: OwnHistory | None = None  # what the odds expect of this very vehicle; None: what its class shows
    by_class: Mapping[str, float] = field(default_factory=dict)  # odds without ``own``, the likeliest first
    kept: KeptDraws | None = None  # for the next diagnosis of the same runs

    @property
    def best(self) -> CauseOdds:
        """The likeliest cause."""
        return self.causes[0]

    @property
    def next_check(self) -> CheckValue | None:
        """The check to make next."""
        return self.next_checks[0] if self.next_checks else None

    def probability(self, fault: str) -> float:
        """Odds of one cause, 0 where the vehicle cannot have it."""
        return next((c.probability for c in self.causes if c.fault == fault), 0.0)


def diagnose(
    case: Case,
    logs: Mapping[str, LogRecord],
    *,
    record: str | None = None,
    base_rates: Mapping[str, float] | None = None,
    instead: OtherRates | None = None,
    seed: int = 1,
    pairs: bool = False,
    effort: Effort | None = None,
    progress: Callable[[float, str], None] | None = None,
    early: Callable[[EarlyOdds], None] | None = None,
    cancelled: Stop = None,
    runner: Runner = simulate,
    earlier: Diagnosis | None = None,
    own: OwnHistory | None = None,
) -> Diagnosis:
    """Diagnose one record of a case, by default the latest in which something was read or seen.

    ``base_rates`` takes the place of the weights [per cent] of the causes that it names, over those of the case, and
    ``instead`` that of all shipped ones;
    ``pairs`` tries two faults at once among the leading ones, as a further stage. ``early`` is told the first odds as
    soon as there are any, and those of single causes before pairs are tried. ``runner`` runs the members, here or on
    two processes (:mod:`engcalc.diagnosis.members.two_processes`). ``earlier`` is a diagnosis of the same vehicle:
    where only readings, things seen or rates differ, its members judged anew give the first odds
    (:mod:`engcalc.diagnosis.odds.kept`). The answer is the same with it and without it. ``own`` is an earlier healthy
    record of the vehicle, from which its unknowns start in place of its class's; what its class alone would say is told
    beside it. Raises InputError when the case has no such record, Cancelled when told to stop.
    """
    prior = None if own is None else own.prior
    asked = posed(case, logs, latest_record(case) if record is None else record, base_rates, instead, prior)
    problem = asked.problem
    evidence = asked.evidence
    rates = asked.rates
    causes = asked.causes
    work = effort or Effort()
    half = 0.5 if pairs else 0.9
    first = Sampler(problem, evidence, causes, seed, work, _between(progress, 0.0, half), cancelled, runner)
    kept = None if earlier is None else earlier.kept
    if kept is not None and kept.fits(problem, [(h.key, h.layout) for h in causes]):
        if early is not None:
            quick = Sampler(problem, evidence, causes, seed, work, None, cancelled, runner)
            quick.judge_again(kept.draws)
            early(_early(Stage.FIRST, quick))
        first.looked_at(kept.draws)
        first.run()
    else:
        first.run(None if early is None else lambda: early(_early(Stage.FIRST, first)))
    samplers = [first]
    if pairs and (two := _pairs(problem, rates, first)):
        if early is not None:
            early(_early(Stage.SINGLE, first))
        second = Sampler(
            problem,
            evidence,
            two,
            seed + 1,
            work,
            _between(progress, half, 0.9, diagnosis_texts.TWO_FAULTS_AT_ONCE),
            cancelled,
            runner,
        )
        second.run()
        samplers.append(second)
    left_out = _integrated_again(evidence, samplers)
    found = _Answer(case, problem, evidence, rates, samplers, seed, left_out).diagnosis(cancelled)
    if own is not None:  # last, for it makes draws of its own
        found = replace(found, own=own, by_class=odds_by_class(samplers))
    if progress is not None:
        progress(1.0, "done")
    return found


def _integrated_again(evidence: Observed, samplers: Sequence[Sampler]) -> LeftOut:
    """What the weights of the evidence need: draws of the best cause, the runner-up and healthy for each piece left
    out, in the layouts that count."""
    draws = [d for s in samplers for d in s.draws]
    p = samplers[0].probabilities(draws)
    odds: dict[str, float] = {}
    for share, d in zip(p.tolist(), draws, strict=True):
        odds[d.hypothesis.key] = odds.get(d.hypothesis.key, 0.0) + share
    named = {*sorted(odds, key=lambda key: -odds[key])[:2], HEALTHY.key}
    weighty = {id(d) for share, d in zip(p.tolist(), draws, strict=True) if share >= COUNTS * odds[d.hypothesis.key]}
    left_out = LeftOut(evidence)
    for s in samplers:
        causes = [d for d in s.own if d.hypothesis.key in named and id(d) in weighty]
        integrate_again(s, causes, left_out)
    return left_out


def _between(progress: Progress, low: float, high: float, stage: str = "") -> Progress:
    if progress is None:
        return None
    return lambda f, words: progress(low + (high - low) * f, stage + words)


def _early(stage: Stage, sampler: Sampler) -> EarlyOdds:
    """The odds as the draws stand, each cause over its layouts."""
    odds: dict[str, float] = {}
    for p, d in zip(sampler.probabilities(sampler.draws).tolist(), sampler.draws, strict=True):
        odds[d.hypothesis.key] = odds.get(d.hypothesis.key, 0.0) + p
    return EarlyOdds(stage, tuple(sorted(odds.items(), key=lambda pair: -pair[1])))


def _pairs(problem: Problem, rates: BaseRates, first: Sampler) -> dict[Hypothesis, float]:
    """Pairs of the leading faults; a pair comes as often as both would by chance, times a factor."""
    p = first.probabilities(first.draws)
    order = sorted(zip(p.tolist(), first.draws, strict=True), key=lambda x: -x[0])
    no_pair = (HEALTHY, NOT_IN_LIST)
    single = dict.fromkeys(
        d.hypothesis.key for _, d in order if d.hypothesis.causes[0] not in no_pair and not d.hypothesis.traceless
    )
    leading = list(single)[:PAIRED]
    return {
        Hypothesis((CAUSES[a], CAUSES[b]), i): PAIR_FACTOR * rates.rates[a] * rates.rates[b] * share
        for a, b in combinations(leading, 2)
        if not _same_field(a, b)
        for i, share in enumerate(problem.shares)
    }


def _same_field(a: str, b: str) -> bool:
    """Whether two causes change the same field: then they are no pair."""
    first = {change.where for change in CAUSES[a].changes}
    return bool(first & {change.where for change in CAUSES[b].changes}) or (
        CAUSES[a].sensor is CAUSES[b].sensor and (not first)
    )


def errors_of(draws: Sequence[Draws], p: Array) -> dict[str, float]:
    """Standard error of the odds of each cause, from the errors of its draws' log evidence; ``p`` are their odds."""
    variance = np.array([d.error() ** 2 for d in draws])
    spread = float((p**2 * variance).sum())
    keys = np.array([d.hypothesis.key for d in draws])
    found = {}
    for key in dict.fromkeys(keys.tolist()):
        which = keys == key
        of_cause = float(p[which].sum())
        own = float((p[which] ** 2 * variance[which]).sum())
        of_others = max(spread - own, 0.0)
        found[key] = float(np.sqrt((1.0 - of_cause) ** 2 * own + of_cause**2 * of_others))
    return found


class _Answer:
    """Turns draws into what a person asks for."""

    def __init__(
        self,
        case: Case,
        problem: Problem,
        evidence: Observed,
        rates: BaseRates,
        samplers: Sequence[Sampler],
        seed: int,
        left_out: LeftOut,
    ) -> None:
        self.case = case
        self.problem = problem
        self.evidence = evidence
        self.rates = rates
        self.samplers = samplers
        self.seed = seed
        self.draws = [d for s in samplers for d in s.draws]
        self.p = samplers[0].probabilities(self.draws)
        self.keys = list(dict.fromkeys(d.hypothesis.key for d in self.draws))
        self.of = {key: [i for i, d in enumerate(self.draws) if d.hypothesis.key == key] for key in self.keys}
        self.odds = {key: float(self.p[which].sum()) for key, which in self.of.items()}
        self.order = sorted(self.keys, key=lambda key: -self.odds[key])
        self.left_out = left_out

    def diagnosis(self, cancelled: Stop) -> Diagnosis:
        """Everything."""
        causes = self._causes()
        seen = self._vehicles(cancelled)
        checks = self._checks(seen)
        likely = [c for c in causes if c.probability > LIKELY]
        course, healthy_course = self._courses(cancelled)
        return Diagnosis(
            case=self.case,
            record=self.problem.run.name,
            source=self.problem.run.source,
            causes=causes,
            groups=self._groups(causes, seen, checks),
            base_rates=self.rates,
            evidence=self._evidence(),
            runner_up=self.order[1] if len(self.order) > 1 else "",
            curves=tuple(self._curve(key) for key in self.order[:CURVES]),
            measured=self.problem.run.curve,
            next_checks=checks,
            effective_samples={c.fault: c.effective for c in causes if c.probability > POSSIBLE},
            enough=all(c.effective >= LOWEST_EFFECTIVE for c in likely),
            members=sum(s.simulated_members for s in self.samplers),
            unused=self.evidence.unused,
            course=course,
            healthy_course=healthy_course,
            kept=KeptDraws(self.problem, self.samplers[0].draws),
        )

    def _causes(self) -> tuple[CauseOdds, ...]:
        found = []
        errors = errors_of(self.draws, self.p)
        for key in self.order:
            which = self.of[key]
            p = self.odds[key]
            error = errors[key]
            effective = sum(self.draws[i].effective() for i in which)
            found.append(CauseOdds(key, p, error, self._severity(which), effective, self._log_evidence(which)))
        return tuple(found)

    def _log_evidence(self, which: Sequence[int]) -> float:
        """Log evidence of a cause over its layouts by their shares."""
        shares = np.log([self.problem.shares[self.draws[i].hypothesis.layout] for i in which])
        total = np.array([self.draws[i].log_evidence() for i in which]) + shares
        return float(total.max() + np.log(np.exp(total - total.max()).sum()))

    def _severity(self, which: Sequence[int]) -> tuple[SeverityRange, ...]:
        found = []
        column = 0
        share = self.p[which] / max(self.p[which].sum(), 1e-300)
        both = zip(share, which, strict=True)
        weight = np.concatenate([s * self.draws[i].weights() for s, i in both])
        hypothesis = self.draws[which[0]].hypothesis
        for cause in hypothesis.causes:
            if cause.severity is not None:
                z = np.concatenate([self.draws[i].severity_z[:, column] for i in which])
                low, median, high = quantiles(cause.severity.value(z), weight)
                found.append(SeverityRange(cause.severity.label, cause.severity.kind, low, median, high))
            column += Hypothesis((cause,), 0).severities
        return tuple(found)

    def _curve(self, key: str) -> Curve:
        best = max(self.of[key], key=lambda i: self.p[i])
        d = self.draws[best]
        s = d.simulated()
        w = d.weights()
        bands = np.array([quantiles(row, w) for row in s.shown])
        return Curve(key, s.time, bands[:, 0], bands[:, 1], bands[:, 2])

    def _courses(self, cancelled: Stop) -> tuple[CircuitCourse, CircuitCourse]:
        """Round the circuit: the likeliest cause's members by their odds, and one healthy vehicle at its medians."""
        best = max(self.of[self.order[0]], key=lambda i: self.p[i])
        d = self.draws[best]
        run = self.problem.run
        healthy = Hypothesis((HEALTHY,), d.hypothesis.layout)
        plain = np.zeros((1, len(self.problem.unknowns)))
        (alone,) = simulate(self.problem, [(healthy, plain)], cancelled)
        ambient = float(np.min(run.drive.conditions.ambient))
        return middle_course(d.simulated(), d.weights(), ambient), middle_course(alone, np.ones(1), ambient)

    def _evidence(self) -> tuple[EvidenceWeight, ...]:
        """Weights by leaving one piece out at a time, with the draws that this takes (``_integrated_again``)."""
        if len(self.order) < 2:
            return ()
        best = self.order[0]
        second = self.order[1]
        healthy = HEALTHY.key if HEALTHY.key in self.of else best
        parts: list[Piece] = [*self.evidence.readings, *self.evidence.sights]
        found = []
        for part in parts:
            moved = {key: self._moved(key, part.item) for key in {best, second, healthy}}
            measured, kind = _measured(part)
            off = _shown_over_true(part)
            by_way = self._by_way(healthy, part) if isinstance(part, ReadingGroup) else {}
            if_healthy, _ = self._expected(self.of[healthy], part)
            likely, (low, high) = self._expected(self.of[best], part)
            found.append(
                EvidenceWeight(
                    part.item,
                    part.what,
                    off + measured,
                    off + if_healthy,
                    off + likely,
                    (off + low, off + high),
                    kind,
                    moved[best] - moved[second],
                    moved[best] - moved[healthy],
                    tuple((way, off + shown) for way, shown in by_way.items()),
                )
            )
        return tuple(sorted(found, key=lambda e: -abs(e.weight)))

    def _moved(self, key: str, without: str) -> float:
        """Bits that one piece of evidence adds to the score of a cause."""
        return (self._score(key, None) - self._score(key, without)) / float(np.log(2.0))

    def _log_weights(self, i: int, without: str | None) -> Array:
        """Of all the evidence, or without one piece."""
        d = self.draws[i]
        return d.log_weights() if without is None else self.left_out.log_weights(d, without)

    def _scores(self, which: Sequence[int], without: str | None) -> Array:
        return np.array([self.draws[i].log_rate + log_mean(self._log_weights(i, without)) for i in which])

    def _score(self, key: str, without: str | None) -> float:
        scores = self._scores(self.of[key], without)
        return float(scores.max() + np.log(np.exp(scores - scores.max()).sum()))

    def _by_way(self, key: str, part: Piece) -> dict[str, float]:
        """Mean of what a cause would show by each way in which it may have run; none where it is known."""
        ran: dict[str, list[int]] = {}
        for i in self.of[key]:
            ran.setdefault(self.problem.runs[self.draws[i].hypothesis.layout].driving, []).append(i)
        if len(ran) > 1:
            return {way: self._expected(which, part)[0] for way, which in ran.items()}
        return {}

    def _expected(self, which: Sequence[int], part: Piece) -> tuple[float, tuple[float, float]]:
        """What a cause would show in some of its layouts, not knowing this piece: the mean of its draws, and where
        nine in ten of them lie. Of a thing seen the mean alone, its probability."""
        scores = self._scores(which, part.item)
        share = np.exp(scores - scores.max())
        each = [self._shown(i, part) for i in which]
        shown = np.concatenate([values for values, _ in each])
        weight = np.concatenate([of_layout * w for of_layout, (_, w) in zip(share / share.sum(), each, strict=True)])
        mean = float((weight * shown).sum())
        if isinstance(part, SeenItem):
            return mean, (mean, mean)
        low, _, high = quantiles(shown, weight)
        return mean, (low, high)

    def _shown(self, i: int, part: Piece) -> tuple[Array, Array]:
        """What the draws of a cause would show in one layout, and their weights, which sum to 1."""
        s = self.draws[i].simulated()
        log_w = self._log_weights(i, part.item)
        w = np.exp(log_w - log_w.max())
        if isinstance(part, ReadingGroup):
            shown = part.place.predict(s, np.array(part.times[-1:]))[0]
        elif isinstance(part, Measure):
            shown = part.expected(s)
        else:
            shown = part.probability(s)
        return np.asarray(shown), w / w.sum()

    def _vehicles(self, cancelled: Stop) -> CheckedVehicles:
        """Vehicles drawn from the odds, and their run that the checks need."""
        unknowns = len(self.problem.unknowns)
        rng = np.random.default_rng([self.seed, 7])
        drawn = drawn_vehicles(self.draws, self.p, CHECK_MEMBERS, LEAST_VEHICLES, unknowns, rng)
        record = joined([d.simulated().taken(which) for d, which in drawn.which])
        return checked_vehicles(self.problem, drawn, record, cancelled, self.samplers[0].runner)

    def _checks(self, seen: CheckedVehicles) -> tuple[CheckValue, ...]:
        return checks_in_order(seen, self.problem, self.case, self.rates.reason)

    def _groups(
        self, causes: Sequence[CauseOdds], seen: CheckedVehicles, checks: Sequence[CheckValue]
    ) -> tuple[Group, ...]:
        left = [c for c in causes if c.probability >= GROUPED_FROM]
        found = []
        while left:
            first = left[0]
            others = left[1:]
            alike = [first, *(c for c in others if abs(c.log_evidence - first.log_evidence) < ALIKE)]
            left = [c for c in others if c not in alike]
            if len(alike) > 1:
                numbers = [self.keys.index(c.fault) for c in alike]
                split = self._splits(numbers, seen, checks)
                found.append(Group(tuple(c.fault for c in alike), sum(c.probability for c in alike), split))
        return tuple(found)

    def _splits(self, numbers: Sequence[int], seen: CheckedVehicles, checks: Sequence[CheckValue]) -> str | None:
        """The check that tells most of the causes of a group apart for a minute of work."""
        own = seen.of(numbers)
        worth = {v.key: information(CHECKS[v.key].outcome(own), own.cause, own.weight) / v.minutes for v in checks}
        return max(worth, key=lambda key: worth[key]) if worth else None


def _shown_over_true(part: Piece) -> float:
    """What the instrument shows more than there is [K]; 0 for what no instrument shows."""
    return part.bias if isinstance(part, ReadingGroup) else 0.0


def _measured(part: Piece) -> tuple[float, str]:
    """What was read and its kind; a curve by the mean of its last window."""
    if isinstance(part, SeenItem):
        return float(part.seen), SEEN
    if isinstance(part, Measure):
        return part.value, part.kind
    return part.values[-1], "temperature difference" if part.item == "key_on" else "temperature"


def quantiles(values: Array, weight: Array) -> tuple[float, float, float]:
    """Weighted 5, 50 and 95 %."""
    order = np.argsort(values)
    share = np.cumsum(weight[order])
    wanted = np.array([0.05, 0.5, 0.95]) * share[-1]
    low, median, high = np.interp(wanted, share, values[order])
    return float(low), float(median), float(high)
