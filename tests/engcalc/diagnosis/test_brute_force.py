"""The evidence of three causes by brute force beside the sampler's: plain draws of the prior, far more of them.

The likelihood is the product's own; what is held against another road is the integral over all that is unknown. With
ten times the draws, and the table of tests/calibration/RESULTS.md:

    python tests/engcalc/diagnosis/test_brute_force.py
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.evidence.likelihood import likelihood_of
from engcalc.diagnosis.evidence.observations import Observed, observed
from engcalc.diagnosis.members.simulated import Hypothesis, Problem, problem_of, simulate
from engcalc.diagnosis.odds.sampler import Draws, Effort, Sampler
from engcalc.vehicle.run import runs_of

THREE = ("healthy", "thermostat_stuck_open", "sensor_reads_low")
RECORD = {
    "ambient": "2 degC",
    "heater_setting": "low",
    "driving": "country road",
    "spots": [
        {"what": "coolant", "at": f"{minutes} min", "value": f"{T} degC", "instrument": "scan_tool"}
        for minutes, T in ((6, 47), (12, 70), (20, 74))
    ],
}
AT_ONCE = 2000  # members of one ensemble
DRAWS, MANY = 2000, 20000  # of each cause, in the test and for the table


class Evidence(NamedTuple):
    """A cause's log evidence by the sampler and by brute force, with their standard errors [nats]."""

    sampled: float
    told: float
    brute: float
    scatter: float

    @property
    def apart(self) -> float:
        """By how many of their errors together they are apart."""
        return (self.sampled - self.brute) / float(np.hypot(self.told, self.scatter))


def both_ways(draws: int) -> Iterator[tuple[str, Evidence]]:
    """Three causes of one record with three readings, by either road."""
    case = resolve(CaseText({"format": FORMAT, "thermostat": {"side": "outlet"}, "evidence": {"before": RECORD}}))
    assert isinstance(case, Case), case
    runs = runs_of(case, "before", {})
    problem, evidence = problem_of(case, *runs), observed(runs[0][0])
    sampler = Sampler(
        problem, evidence, {Hypothesis((CAUSES[key],), 0): 1.0 / len(THREE) for key in THREE}, 1, Effort()
    )
    sampler.run()
    rng = np.random.default_rng(2026)
    for d in sampler.draws:
        log_l = np.concatenate(
            [
                _log_likelihoods(problem, evidence, d, rng.standard_normal((AT_ONCE, d.z.shape[1])))
                for _ in range(draws // AT_ONCE)
            ]
        )
        top = float(log_l.max())
        weight = np.exp(log_l - top)
        error = float(weight.std() / weight.mean() / np.sqrt(len(weight)))
        yield d.hypothesis.key, Evidence(d.log_evidence(), d.error(), top + float(np.log(weight.mean())), error)


def _log_likelihoods(problem: Problem, evidence: Observed, d: Draws, z: np.ndarray) -> np.ndarray:
    (ran,) = simulate(problem, [(d.hypothesis, z)])
    return likelihood_of(evidence, d.hypothesis)(ran)


def test_three_causes_have_the_evidence_that_brute_force_gives_them() -> None:
    found = dict(both_ways(DRAWS))
    assert list(found) == list(THREE)
    for key, of in found.items():
        assert of.told < 0.2, key  # nats
        assert of.scatter < 0.12, key
        assert abs(of.apart) < 3.0, key
    assert np.sqrt(np.mean([of.apart**2 for of in found.values()])) < 2.0
    # and they are far enough apart that the wrong one of them would show
    assert max(of.brute for of in found.values()) - min(of.brute for of in found.values()) > 1.0


if __name__ == "__main__":
    for cause, of in both_ways(MANY):
        sys.stdout.write(
            f"| {cause} | {of.sampled:.3f} ± {of.told:.3f} | {of.brute:.3f} ± {of.scatter:.3f} | {of.apart:+.1f} |\n"
        )
        sys.stdout.flush()
