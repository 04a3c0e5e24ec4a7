"""What a judged run saves against a finer one, and what that costs: less than the draws leave open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.evidence.likelihood import likelihood_of
from engcalc.diagnosis.evidence.observations import observed
from engcalc.diagnosis.members import simulated
from engcalc.diagnosis.members.simulated import Hypothesis, Problem, problem_of, simulate
from engcalc.diagnosis.odds.diagnosis import diagnose
from engcalc.diagnosis.odds.sampler import Effort
from engcalc.logs.record import LogRecord
from engcalc.system.in_time.drive import Drive
from engcalc.units import Array
from engcalc.vehicle.run import read_logs, runs_of

pytestmark = pytest.mark.fresh

KEYS = ("healthy", "thermostat_opens_early", "low_coolant")
CURVE = [[minute, f"{T} degC"] for minute, T in ((5, 38), (10, 62), (15, 79), (20, 84))]
RECORD: dict[str, Any] = {"ambient": "2 degC", "heater_setting": "unknown", "driving": "town", "curve": CURVE}


def test_films_renewed_more_seldom_leave_the_likelihood_as_it_is() -> None:
    case = resolve(CaseText({"format": FORMAT, "thermostat": {"side": "inlet"}, "evidence": {"before": RECORD}}))
    assert isinstance(case, Case), case
    runs = runs_of(case, "before", {})
    p, evidence, rng = problem_of(case, *runs), observed(runs[0][0]), np.random.default_rng(2)
    batch = []
    for key in KEYS:
        h = Hypothesis((CAUSES[key],), 0)
        batch.append((h, rng.standard_normal((10, len(p.unknowns) + h.severities))))

    def judged(renewal: float) -> tuple[Array, Array]:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(simulated, "JUDGED_RENEWAL", renewal)
            ran = simulate(p, batch)
        told = [likelihood_of(evidence, h)(s) for (h, _), s in zip(batch, ran, strict=True)]
        return np.concatenate([s.shown for s in ran], axis=1), np.concatenate(told)

    assert simulated.JUDGED_RENEWAL == 24.0  # s
    (T, told), (T_fine, told_fine) = judged(24.0), judged(6.0)
    # K; an opening valve, for half a minute: 1.4 at most among 540 members of three records
    assert 0.0 < np.abs(T - T_fine).max() < 1.5
    assert np.sqrt(np.mean((T - T_fine) ** 2)) < 0.2  # K; 0.06 to 0.08 of those members, 0.13 of these
    counts = told_fine > told_fine.max() - 8.0
    assert counts.sum() >= 8
    assert np.sqrt(np.mean((told - told_fine)[counts] ** 2)) < 0.05  # nats; the draws leave 0.05 and more


def test_members_in_judged_steps_are_those_of_fine_ones() -> None:
    """A valve at the outlet on the motorway in frost, where it opens again and again onto an icy return.

    With a lift foreseen from how the wax warmed, members hunted: 1.3 K rms from fine steps, 16 K at most.
    """
    record = {**RECORD, "ambient": "-15 degC", "heater_setting": "off", "driving": "motorway"}
    case = resolve(CaseText({"format": FORMAT, "thermostat": {"side": "outlet"}, "evidence": {"before": record}}))
    assert isinstance(case, Case), case
    coarse = problem_of(case, *runs_of(case, "before", {}))
    finer = replace(coarse, runs=tuple(replace(run, drive=in_parts(run.drive, 6)) for run in coarse.runs))
    assert (coarse.run.drive.step, finer.run.drive.step) == (3.0, 0.5)
    rng, batch = np.random.default_rng(1), []
    for key in KEYS:
        h = Hypothesis((CAUSES[key],), 0)
        batch.append((h, rng.standard_normal((16, len(coarse.unknowns) + h.severities))))
    apart = []
    for one, other in zip(simulate(coarse, batch), simulate(finer, batch), strict=True):
        assert np.array_equal(one.time, other.time)
        apart.append(np.abs(one.coolant - other.coolant))
    off = np.concatenate(apart, axis=1)
    assert np.sqrt(np.mean(off**2)) < 0.25  # K; what is left are moments of opening
    assert np.quantile(off, 0.98) < 0.5  # K


def in_parts(drive: Drive, parts: int) -> Drive:
    """The same rows in steps of a part of their length."""
    return replace(drive, step=drive.step / parts, which=np.repeat(drive.which, parts, axis=0))


def long_drive(folder: Path, settles: float = 89.0, reason: str = "screening") -> tuple[Case, Mapping[str, LogRecord]]:
    """80 minutes by a log, settled [degC] after nine, then on the road at 60 to 100 km/h."""
    t = np.arange(0.0, 4801.0, 5.0)
    coolant, speed = np.minimum(10.0 + t / 9.0, settles), 80.0 + 20.0 * np.sin(t / 37.0)
    lines = [f"{a:.0f},{b:.1f},1800,{c:.1f}" for a, b, c in zip(t, coolant, speed, strict=True)]
    text = "time_s,coolant_degC,engine_speed_rpm,vehicle_speed_km_h\n" + "\n".join(lines)
    (folder / "drive.csv").write_text(text + "\n", encoding="utf-8")
    record = {"ambient": "10 degC", "heater_setting": "off", "log": {"file": "drive.csv"}}
    tree = {"job": {"reason": reason}, "thermostat": {"side": "outlet"}, "evidence": {"before": record}}
    case = resolve(CaseText({"format": FORMAT, **tree}))
    assert isinstance(case, Case), case
    return case, read_logs(case, folder)


def test_settled_stretches_in_fewer_steps_leave_the_likelihood_as_it_is(tmp_path: Path) -> None:
    """1,600 steps become some 700."""
    case, logs = long_drive(tmp_path)
    (run, weight), *_ = runs_of(case, "before", logs)
    evidence, rng = observed(run), np.random.default_rng(2)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(simulated, "thinned", lambda run: run)
        whole = problem_of(case, (run, weight))
    fewer = problem_of(case, (run, weight))
    assert len(fewer.run.drive.which) < 0.5 * len(whole.run.drive.which)
    batch = []
    for key in KEYS:
        h = Hypothesis((CAUSES[key],), 0)
        batch.append((h, rng.standard_normal((8, len(whole.unknowns) + h.severities))))

    def told(p: Problem) -> Array:
        ran = simulate(p, batch)
        assert all(s.time[-1] == pytest.approx(4800.0) for s in ran)
        return np.concatenate([likelihood_of(evidence, h)(s) for (h, _), s in zip(batch, ran, strict=True)])

    by_fewer, by_all = told(fewer), told(whole)
    counts = by_all > by_all.max() - 8.0
    assert counts.sum() >= 6
    assert np.sqrt(np.mean((by_fewer - by_all)[counts] ** 2)) < 0.08  # nats; the draws leave 0.05 and more


def test_odds_of_a_long_log_are_those_of_all_its_steps(tmp_path: Path) -> None:
    """A vehicle that settles too cold: several causes share the odds."""
    case, logs = long_drive(tmp_path, 77.0, "slow warm-up")
    effort = Effort(prior=24, steps=1, first=16, round=160, rounds=1)
    by_fewer = diagnose(case, logs, effort=effort)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(simulated, "thinned", lambda run: run)
        by_all = diagnose(case, logs, effort=effort)
    fewer = {cause.fault: cause for cause in by_fewer.causes}
    assert set(fewer) == {cause.fault for cause in by_all.causes}
    for cause in by_all.causes:
        told = fewer[cause.fault]
        within = 2.0 * float(np.hypot(told.error, cause.error))  # both draw alike: they part by less than two draws do
        assert abs(told.probability - cause.probability) < within + 1e-4, cause.fault


@pytest.mark.parametrize("driving", ["idling", "town", "motorway"])
def test_judged_steps_run_neither_ahead_nor_behind(driving: str) -> None:
    """A rise that is foreseen over long renewals comes early in every member alike, by up to 0.25 K: of 3 K allowed."""
    case = resolve(CaseText({"format": FORMAT, "evidence": {"before": {**RECORD, "driving": driving}}}))
    assert isinstance(case, Case), case
    with pytest.MonkeyPatch.context() as patch:
        coarse = problem_of(case, *runs_of(case, "before", {}))
        finer = replace(coarse, runs=tuple(replace(run, drive=in_parts(run.drive, 6)) for run in coarse.runs))
        batch = [
            (Hypothesis((CAUSES["healthy"],), 0), np.random.default_rng(1).standard_normal((16, len(coarse.unknowns))))
        ]
        (judged,) = simulate(coarse, batch)
        patch.setattr(simulated, "JUDGED_RENEWAL", 3.0)  # s
        (fine,) = simulate(finer, batch)
    early = (judged.shown - fine.shown).mean(axis=1)
    for part in np.array_split(early[1:], 5):
        assert abs(part.mean()) < 0.3  # K
