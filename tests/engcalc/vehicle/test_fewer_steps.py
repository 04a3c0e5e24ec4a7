"""A long log's settled stretches in fewer steps: where, and what they ask for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.units import Array
from engcalc.vehicle.fewer_steps import BESIDE, FEWER, FROM, LONG, STRETCH, thinned
from engcalc.vehicle.run import Run, ensemble_run, read_logs, run_of

STEP = 3.0  # s
END = 4800  # s
MIDDLE = 3060  # s; in the stretch from 3,000 s


def logged(folder: Path, change: Callable[[Array, Array], None] | None = None, **record: Any) -> Run:
    """80 minutes: warm after twelve, then at 80 km/h and some; ``change`` acts on coolant [degC] and speed [km/h]."""
    t = np.arange(END + 1.0)
    coolant, speed = np.minimum(20.0 + t / 10.0, 90.0), 80.0 + 20.0 * np.sin(t / 37.0)
    if change is not None:
        change(coolant, speed)
    lines = [f"{a:.0f},{b:.1f},1800,{c:.1f}" for a, b, c in zip(t, coolant, speed, strict=True)]
    text = "time_s,coolant_degC,engine_speed_rpm,vehicle_speed_km_h\n" + "\n".join(lines)
    (folder / "drive.csv").write_text(text + "\n", encoding="utf-8")
    before = {"ambient": "10 degC", "log": {"file": "drive.csv"}, **record}
    case = resolve(CaseText({"format": FORMAT, "evidence": {"before": before}}))
    assert isinstance(case, Case), case
    return ensemble_run(run_of(case, "before", read_logs(case, folder)), 330, 3)


def pace(run: Run, at: float) -> float:
    """Seconds of the record that pass in one of the drive, at a time of the record [s]."""
    found = thinned(run)
    if found.clock is None:
        return 1.0
    step = int(np.searchsorted(found.clock.recorded, at, side="right")) - 1
    return float(np.diff(found.clock.recorded)[step] / found.drive.step)


def test_a_settled_log_has_fewer_steps_that_ask_for_the_same(tmp_path: Path) -> None:
    run = logged(tmp_path)
    assert run.drive.step == 3.0
    found = thinned(run)
    per = round(STRETCH / STEP)
    stretches = [b for b in range(0, len(run.drive.which), per) if FROM <= b * STEP <= END - STRETCH - BESIDE]
    assert len(run.drive.which) - len(found.drive.which) == len(stretches) * (per - per // FEWER)
    whole = stretches[0]
    assert np.array_equal(found.drive.which[:whole], run.drive.which[:whole])
    speed = run.drive.conditions.vehicle_speed[:, 0]
    for i, begins in enumerate(stretches):
        fewer = found.drive.which[whole + i * (per // FEWER) :][: per // FEWER]
        assert begins * 3 <= fewer.min() <= fewer.max() < (begins + per) * 3
        assert speed[fewer].mean() == pytest.approx(speed[run.drive.which[begins : begins + per]].mean(), rel=0.03)


def test_the_clock_tells_the_time_of_the_record(tmp_path: Path) -> None:
    run = logged(tmp_path)
    clock = thinned(run).clock
    assert clock is not None
    assert clock.recorded[-1] == pytest.approx(run.drive.duration)
    assert (np.diff(clock.recorded) > 0.0).all()
    assert clock.at(np.array([0.0, 600.0])).tolist() == [0.0, 600.0]
    driven_on = clock.at(clock.drive[-1] + np.array([0.0, 30.0]))
    assert driven_on.tolist() == pytest.approx([END, END + 30.0])


def test_a_log_under_three_quarters_of_an_hour_is_left_alone(tmp_path: Path) -> None:
    run = logged(tmp_path)
    assert LONG == 2700.0  # s
    short, long = (replace(run, drive=replace(run.drive, which=run.drive.which[:steps])) for steps in (899, 900))
    assert thinned(short) is short
    assert thinned(long).clock is not None
    none = replace(run, log=None)
    assert thinned(none) is none


def stands(_coolant: Array, speed: Array) -> None:
    speed[2990:3100] = 0.0


def cools(coolant: Array, _speed: Array) -> None:
    coolant[3000:3050] = 83.0


def cools_a_little(coolant: Array, _speed: Array) -> None:
    coolant[3000:3050] = 85.0


def cools_just_after(coolant: Array, _speed: Array) -> None:
    coolant[3150:3160] = 83.0


def cools_later(coolant: Array, _speed: Array) -> None:
    coolant[3190:3200] = 83.0


@pytest.mark.parametrize(
    ("change", "fewer"),
    [
        (None, True),
        (stands, False),
        (cools, False),
        (cools_a_little, True),
        (cools_just_after, False),
        (cools_later, True),
    ],
)
def test_what_happens_in_a_stretch_or_beside_it_keeps_its_steps(tmp_path: Path, change: Any, *, fewer: bool) -> None:
    assert (pace(logged(tmp_path, change), MIDDLE) > 1.0) == fewer


@pytest.mark.parametrize(("minutes", "fewer"), [(51, False), (49, False), (48, True), (60, True)])
def test_so_does_a_reading_by_hand(tmp_path: Path, minutes: int, *, fewer: bool) -> None:
    spot = {"what": "lower_hose", "at": f"{minutes} min", "value": "60 degC", "instrument": "infrared"}
    assert (pace(logged(tmp_path, spots=[spot]), MIDDLE) > 1.0) == fewer


def test_the_first_minutes_and_the_last_keep_theirs(tmp_path: Path) -> None:
    run = logged(tmp_path)
    assert pace(run, FROM - 1.0) == 1.0
    assert pace(run, FROM + STRETCH) > 1.0
    assert pace(run, END - 1.0) == 1.0
