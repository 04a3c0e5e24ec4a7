"""The error that is told of a cause's evidence covers what other seeds make of it."""

from __future__ import annotations

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.evidence.observations import observed
from engcalc.diagnosis.members.simulated import Hypothesis, problem_of
from engcalc.diagnosis.odds.sampler import Effort, Sampler
from engcalc.vehicle import run
from engcalc.vehicle.run import runs_of

KEPT = ("healthy", "thermostat_stuck_open", "thermostat_opens_early", "sensor_reads_low")
SPOT = {"what": "coolant", "at": "10 min", "value": "50 degC", "instrument": "scan_tool"}
RECORD = {"ambient": "2 degC", "heater_setting": "off", "driving": "motorway", "spots": [SPOT]}
WORK = Effort(prior=100, round=200, rounds=1, wanted_likely=200, wanted_possible=200)
SEEDS = 5


def test_the_told_error_covers_five_repeats(monkeypatch: pytest.MonkeyPatch) -> None:
    """At full effort, all causes, 64 degC after 20 min: .45 told to .016, five seeds scatter by .010."""
    monkeypatch.setattr(run, "LEAST_RUN", 600.0)  # s; soon done
    case = resolve(CaseText({"format": FORMAT, "job": {"reason": "slow warm-up"}, "evidence": {"before": RECORD}}))
    assert isinstance(case, Case), case
    runs = runs_of(case, "before", {})
    rates = {Hypothesis((CAUSES[key],), 0): 0.25 for key in KEPT}
    evidence, told = [], []
    for seed in range(SEEDS):
        found = Sampler(problem_of(case, *runs), observed(runs[0][0]), rates, seed, WORK)
        found.run()
        evidence.append([d.log_evidence() for d in found.draws])
        told.append([d.error() for d in found.draws])
    scatter, mean_told = np.std(evidence, axis=0, ddof=1), np.sqrt(np.mean(np.square(told), axis=0))
    assert (mean_told > 0.01).all()
    assert (mean_told < 0.3).all()  # nats; not told so wide that it covers anything
    assert np.sqrt(np.mean((scatter / mean_told) ** 2)) < 1.2  # 16 degrees of freedom know it to a sixth
    assert (scatter < 1.6 * mean_told).all()
