"""How well a screening by log alone puts faulty vehicles first, on invented vehicles: by hand.

``python tests/calibration/screening_trial.py 60`` judges that many logs as ``heatdocket screen`` does, half of them of
faulty vehicles. It prints the share of faulty ones among the first, and the chance that a faulty one stands before a
healthy one (the area under the curve, 0.5 by chance). Vehicles are those of ``vehicles.py``, which is not the judge's
twin.
"""

from __future__ import annotations

import json
import sys

from vehicles import Vehicle, vehicle

from engcalc.case.case import with_values
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.diagnosis.odds.diagnosis import diagnose
from engcalc.diagnosis.screening import EFFORT

TOP = 20


def with_logs(count: int) -> list[Vehicle]:
    """The first vehicles that have a log, as many healthy as faulty."""
    found: dict[bool, list[Vehicle]] = {True: [], False: []}
    seed = 0
    while min(map(len, found.values())) < count // 2:
        v = vehicle(seed)
        seed += 1
        group = found[v.truth == HEALTHY.key]
        if v.alone is not None and len(group) < count // 2:
            group.append(v)
    return [*found[True], *found[False]]


def fault_odds(v: Vehicle) -> float:
    """The probability of a fault that a screening gives, from the log alone."""
    assert v.alone is not None
    case = with_values(v.alone, {"job.reason": "screening"})
    return 1.0 - diagnose(case, v.logs, record="before", effort=EFFORT).probability(HEALTHY.key)


def main() -> None:
    rows = [(fault_odds(v), v.truth) for v in with_logs(int(sys.argv[1]))]
    rows.sort(reverse=True)
    faulty = [p for p, truth in rows if truth != HEALTHY.key]
    healthy = [p for p, truth in rows if truth == HEALTHY.key]
    before = sum((f > h) + 0.5 * (f == h) for f in faulty for h in healthy) / (len(faulty) * len(healthy))
    first = [truth != HEALTHY.key for _, truth in rows[:TOP]]
    lines = [f"{p:.2f}  {truth}" for p, truth in rows]
    found = {"logs": len(rows), "faulty_among_first": sum(first) / len(first), "area": before, "ranked": lines}
    sys.stdout.write(json.dumps(found, indent=1) + "\n")


if __name__ == "__main__":
    main()
