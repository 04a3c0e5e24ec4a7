"""A drive cycle as data: road speed over time alone is enough to simulate a warm-up."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.system.in_time.warmed import Warmup
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.plant import prepare
from engcalc.vehicle.run import read_logs, run_of


def cycled(folder: Path, top_km_h: float) -> Warmup:
    """A saw-tooth of road speed up to ``top_km_h`` for ten minutes, in frost."""
    rows = [f"{t},{top_km_h * (t % 60) / 60:.1f}" for t in range(601)]
    (folder / "cycle.csv").write_text("\n".join(["Time [s],Vehicle speed [km/h]", *rows]))
    case = resolve(
        CaseText(
            {
                "format": FORMAT,
                "evidence": {"before": {"ambient": "-7 degC", "heater_setting": "off", "log": {"file": "cycle.csv"}}},
            }
        )
    )
    assert isinstance(case, Case)
    run = run_of(case, "before", read_logs(case, folder))
    assert run.heat is not None
    assert run.drive.duration >= 600.0
    return warm_up(prepare(case), run.drive)


def test_a_cycle_of_speeds_warms_the_engine_and_a_faster_one_sooner(tmp_path: Path) -> None:
    slow, fast = cycled(tmp_path, 30.0), cycled(tmp_path, 90.0)
    assert np.isfinite(slow.sensor).all()
    assert 266.15 < slow.sensor[-1, 0] < fast.sensor[-1, 0]
