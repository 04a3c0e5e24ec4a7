"""How long a large log takes: run once for correctness; with --benchmark-enable for numbers (ten columns)."""

from __future__ import annotations

import numpy as np

from engcalc.logs.channels import Channel
from engcalc.logs.log import read_log

ROWS = 100_000


def large_log() -> bytes:
    rng = np.random.default_rng(1)
    rpm, air = rng.integers(600, 4000, ROWS), rng.integers(100, 9000, ROWS) / 100
    lines = ["Time,Coolant [C],MAP [kPa],RPM,Speed [km/h],IAT [C],MAF [g/s],Throttle [%],Ambient air temp [C],Load [%]"]
    for i in range(ROWS):
        t = 28800 + i * 0.05
        lines.append(
            f"{int(t // 3600):02d}:{int(t // 60) % 60:02d}:{t % 60:06.3f},{20 + i // 2000},97.0,{rpm[i]},"
            f"{i % 130},25,{air[i]},{i % 100}.5,18.0,{i % 90}"
        )
    return "\n".join(lines).encode()


def test_a_large_log(benchmark) -> None:
    record = benchmark(read_log, large_log())
    assert record.rows == ROWS
    assert abs(record.end - 0.05 * (ROWS - 1)) < 1e-6
    assert len(record.traces) == 9
    assert record.last(Channel.COOLANT) == 20 + (ROWS - 1) // 2000 + 273.15
