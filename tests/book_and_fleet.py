"""The job book and the screening of a fleet at full size: by hand, some of it for hours.

``python tests/book_and_fleet.py FOLDER PART...`` writes a line of JSON for each part; files go into FOLDER. Parts:

- ``search``: how long a search takes over 2,000 and 10,000 invented jobs
- ``rates``: a workshop whose causes are not as often as shipped; its own rates after 300 outcomes, and the honesty page
- ``drift``: one vehicle over five visits, its valve leaking more each time
- ``kills``: a hundred writers killed on a book
- ``fleet=N``: so many logs, a fifth of them of faulty vehicles, and the real ones: ranks, speed, a kill midway. The
  same call goes on where it was stopped: logs made stay, and none is judged twice. ``fleet=500`` is the whole fleet
- ``workers=N``: so many of these logs on one process, on two, and on a cluster of one worker and of two
- ``memory``: what the run itself holds at 1,000 and 5,000 logs
- ``judging=N``: what the processes that judge hold over N of the fleet's logs, by one of them and by two, how long
  that takes, and how far two come with one as the measure

All vehicles, customers and numbers but those of the real logs are invented.
"""

from __future__ import annotations

import json
import os
import random
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

PROJECT = Path(__file__).resolve().parents[1]
for place in ("", "tests/oracles", "tests/calibration"):
    sys.path.insert(0, str(PROJECT / place))

SHOP_SEED, JOBS, OUTCOMES = 4, 2000, 300
PLANTED = ("thermostat_stuck_open", "thermostat_missing", "sensor_reads_low", "thermostat_opens_early")
FAULTY_EVERY = 5
TOP = 20
WORDS = ("ada", "van", "QX", "cold", "W1", "hatch ekström", "sludge", "koehler", "hot uphill", "zeppelin")


# ---- the book -------------------------------------------------------------------------------------------------------


def search(folder: Path) -> dict[str, Any]:
    """Milliseconds of a search, median and longest of a hundred, by the number of jobs."""
    import invented_book

    from ui.book.jobs import find_jobs
    from ui.book.store import Book

    found = {}
    for jobs in (JOBS, 10_000):
        path = folder / f"search-{jobs}.jobbook"
        invented_book.fill(path, jobs)
        with Book.open(path) as book:
            took = []
            for word in WORDS * 10:
                begun = time.perf_counter()
                find_jobs(book, word)
                took.append(1e3 * (time.perf_counter() - begun))
        found[str(jobs)] = {"median_ms": round(float(np.median(took)), 2), "longest_ms": round(max(took), 2)}
    return found


def rates(folder: Path) -> dict[str, Any]:
    """A workshop of its own kind: 300 of 2,000 jobs end with an outcome, each with a claim made before."""
    import invented_book

    from engcalc.causes.counted_rates import counted_rates, shipped_rates
    from engcalc.causes.outcomes import Outcome
    from engcalc.diagnosis.odds.honesty import honesty
    from engcalc.words.workshop.book_words import honesty_lines
    from ui.book.claims import claims_with_truth, counted_jobs, keep_claim, outcomes_entered
    from ui.book.jobs import record_outcome
    from ui.book.store import Book

    path = folder / "rates.jobbook"
    invented_book.fill(path, JOBS)
    rng = np.random.default_rng(SHOP_SEED)
    shops: dict[str, dict[str, float]] = {}
    with Book.open(path) as book:
        visits = book.connection.execute("SELECT id, reason FROM visits ORDER BY id LIMIT ?", (OUTCOMES,)).fetchall()
        for visit in visits:
            reason = visit["reason"]
            shipped = shipped_rates(reason)
            shop = shops.setdefault(reason, _another_shop(rng, shipped))
            keys = list(shipped)
            truth = str(rng.choice(keys, p=[shop[key] for key in keys]))
            keep_claim(book, visit["id"], _odds(rng, shipped, truth), shipped)
            record_outcome(book, visit["id"], Outcome(truth, "seen", "", "yes"))
        jobs = counted_jobs(book)
        told = honesty(claims_with_truth(book))
        lines = honesty_lines(told, *outcomes_entered(book))
    nearer = {}
    for reason, shop in shops.items():
        own = counted_rates(jobs, reason)
        bits = [round(_divergence(shop, other), 3) for other in (shipped_rates(reason), own.rates)]
        nearer[reason] = {"jobs": own.jobs, "bits_off_shipped": bits[0], "bits_off_own": bits[1]}
    bands = [{"from": band.low, "claims": band.claims, "true": band.true, "agrees": band.agrees} for band in told.bands]
    return {"rates": nearer, "claims": told.claims, "came_true": told.true, "bands": bands, "page": lines[:6]}


def _another_shop(rng: np.random.Generator, shipped: dict[str, float]) -> dict[str, float]:
    """Rates of a workshop: those shipped, each some times more or less often."""
    moved = {key: rate * float(np.exp(rng.normal(0.0, 0.8))) for key, rate in shipped.items()}
    total = sum(moved.values())
    return {key: rate / total for key, rate in moved.items()}


def _odds(rng: np.random.Generator, shipped: dict[str, float], truth: str) -> dict[str, float]:
    """Odds from readings that speak for the truth by 2 nats, with an error of 2: by Bayes' rule on the shipped rates.

    A normal log likelihood ratio of mean m and variance 2 m is one that means what it says.
    """
    scores = {key: rate * float(np.exp(rng.normal(2.0 * (key == truth), 2.0**0.5))) for key, rate in shipped.items()}
    total = sum(scores.values())
    return {key: score / total for key, score in scores.items()}


def _divergence(truth: dict[str, float], told: dict[str, float]) -> float:
    """Bits by which told rates are off (Kullback and Leibler)."""
    return sum(p * float(np.log2(p / told[key])) for key, p in truth.items() if p > 0.0)


def drift(folder: Path) -> dict[str, Any]:
    """Five visits of one van whose valve leaks more each time, as the job book tells them."""
    import csv
    import io

    from engcalc.case.text import FORMAT, CaseText
    from engcalc.units import UnitSystem
    from engcalc.vehicle.earlier import opening_drift, time_drift
    from engcalc.words.diagnosis.history_words import history_lines
    from ui.book.history import visits_of_vehicle
    from ui.book.jobs import add_case_text
    from ui.book.store import Book
    from worked_examples.make_van_logs import Visit, made_up

    planted = (0.0, 0.003, 0.008, 0.018, 0.034)
    with Book.open(folder / "drift.jobbook", make=True) as book:
        for year, opening in enumerate(planted, 2021):
            sheet = io.StringIO()
            csv.writer(sheet, lineterminator="\n").writerows(made_up(Visit("run.csv", 40 + year, -6.0, -5.0, opening)))
            record = {"ambient": "-6 degC", "heater_setting": "high", "log": {"file": "run.csv"}}
            job = {"registration": "ZZ 1", "date": f"{year}-01-10", "work_order": str(year)}
            tree = {"format": FORMAT, "job": job, "vehicle": {"class": "delivery van"}, "engine": {"fuel": "diesel"}}
            text = CaseText({**tree, "evidence": {"before": record}})
            add_case_text(book, "van.heatcase.json", text, [("log", "run.csv", sheet.getvalue().encode())])
        visits = visits_of_vehicle(book, 1)
    fits = [run.left_open for visit in visits for run in visit.runs]
    opening, longer = opening_drift(visits), time_drift(visits)
    return {
        "planted": planted,
        "fitted": [None if fit is None else [round(x, 4) for x in (fit.low, fit.middle, fit.high)] for fit in fits],
        "more_now": None if opening is None else round(opening.more, 4),
        "longer_s": None if longer is None else round(longer.longer),
        "said": history_lines(visits, UnitSystem.SI)[-2:],
    }


def kills(folder: Path) -> dict[str, Any]:
    """A hundred writers killed: commits told of, and what is lost of them."""
    from killed_book import kill_often

    place = folder / "kills"
    place.mkdir(exist_ok=True)
    commits, lost = kill_often(place, 100, seed=7)
    return {"kills": 100, "commits": commits, "lost": lost}


# ---- the fleet ------------------------------------------------------------------------------------------------------


def fleet_logs(folder: Path, count: int) -> Path:
    """A folder of invented cold starts of family cars, each of its own; the truth stands in the name."""
    from calibrated_logs import log_of

    place = folder / f"fleet-{count}"
    place.mkdir(exist_ok=True)
    rng = random.Random(3)
    for number in range(count):
        truth = rng.choice(PLANTED) if number % FAULTY_EVERY == 0 else "healthy"
        path = place / f"{number:04d}-{truth}.csv"
        if not path.exists():
            path.write_bytes(log_of(number, truth))
    return place


def _screen(logs: list[Path], out: Path, *more: str) -> tuple[dict[str, Any], float]:
    begun = time.monotonic()
    done = subprocess.run(_command(logs, out, *more), capture_output=True, text=True, env=_environ(), check=True)
    return json.loads(done.stdout), time.monotonic() - begun


def _command(logs: list[Path], out: Path, *more: str) -> list[str]:
    start = "import sys; from ui.command.main import run; run()"
    return [sys.executable, "-c", start, "screen", *map(str, logs), "-o", str(out), "--json", *more]


def _environ() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(PROJECT)}


def fleet(folder: Path, count: int) -> dict[str, Any]:
    """Ranks of planted faults, the run killed once on its way, and the real logs beside."""
    from real_logs import BESIDE, VARIABLE

    real = Path(os.environ.get(VARIABLE) or BESIDE)
    real_logs = sorted(real.glob("*.csv"))
    logs, out = [fleet_logs(folder, count), *real_logs], folder / f"out-{count}"
    _killed_midway(logs, out, after=max(count // 4, 1))
    known = sum(1 for _ in (out / "judged.jsonl").open())
    found, took = _screen(logs, out)
    names = [one["vehicle"] for one in found["vehicles"]]
    faulty = [not name.endswith("-healthy") and name not in {log.stem for log in real_logs} for name in names]
    odds = [one["fault_probability"] for one in found["vehicles"]]
    first = [i for i, one in enumerate(found["vehicles"]) if one["look_first"]]
    return {
        "logs": found["logs"],
        "faulty": sum(faulty),
        "known_after_kill": known,
        "judged_before": found["judged_before"],
        "not_judged": found["not_judged"],
        "precision_of_top_20": round(sum(faulty[:TOP]) / min(TOP, len(faulty)), 3),
        "area": round(_area(odds, faulty), 3),
        "look_first": len(first),
        "look_first_faulty": sum(faulty[i] for i in first),
        "ranks_of_real": {log.stem: names.index(log.stem) + 1 for log in real_logs},
        "seconds": round(took, 1),
        "vehicles_an_hour": round(3600.0 * (found["logs"] - found["judged_before"]) / took),
    }


def _killed_midway(logs: list[Path], out: Path, after: int) -> None:
    """Start the run and kill all its processes once so many logs have their line."""
    if (out / "judged.jsonl").exists():
        return
    run = subprocess.Popen(
        _command(logs, out),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        env=_environ(),
        start_new_session=True,
    )
    assert run.stderr is not None
    for _ in range(after):
        run.stderr.readline()
    os.killpg(run.pid, signal.SIGKILL)
    run.wait()
    run.stderr.close()


def _area(odds: list[float], faulty: list[bool]) -> float:
    """The chance that a faulty vehicle has higher odds of a fault than a healthy one; 0.5 by chance."""
    high = [p for p, bad in zip(odds, faulty, strict=True) if bad]
    low = [p for p, bad in zip(odds, faulty, strict=True) if not bad]
    wins = sum((f > h) + 0.5 * (f == h) for f in high for h in low)
    return wins / (len(high) * len(low)) if high and low else float("nan")


def workers(folder: Path, count: int) -> dict[str, Any]:
    """Seconds for the same logs by one process, by two, and by clusters of one worker and of two."""
    import local_cluster

    logs = sorted(fleet_logs(folder, count).glob("*.csv"))[:count]
    found: dict[str, Any] = {"logs": len(logs), "cores": os.cpu_count(), "load": round(os.getloadavg()[0], 1)}
    for many in (1, 2):
        found[f"processes_{many}_s"] = round(_screen(logs, _fresh(folder), "--workers", str(many))[1], 1)
    for many in (1, 2):
        with local_cluster.started(many) as made:
            took = _screen(logs, _fresh(folder), "--scheduler", made.address)[1]
        found[f"cluster_{many}_s"] = round(took, 1)
    for kind in ("processes", "cluster"):
        found[f"efficiency_{kind}"] = round(found[f"{kind}_1_s"] / (2.0 * found[f"{kind}_2_s"]), 2)
    return found


def _fresh(folder: Path) -> Path:
    number = 1
    while (place := folder / f"out-workers-{number}").exists():
        number += 1
    return place


def memory(folder: Path) -> dict[str, Any]:
    """Most memory [MB] of the run at two numbers of logs, and the slope [kB] a log."""
    held = {n: _measured(f"run_of({str(folder)!r}, {n})") for n in (1000, 5000)}
    return {"run_MB": held, "slope_kB": round(1e3 * (held[5000] - held[1000]) / 4000, 2)}


def judging(folder: Path, count: int) -> dict[str, Any]:
    """Memory [MB] of each process that judges, log by log, by one process and by two; seconds, and their efficiency."""
    logs = sorted(folder.glob("fleet-*/*.csv"))[:count]
    found: dict[str, Any] = {"logs": len(logs), "cores": os.cpu_count()}
    for many in (1, 2):
        found[f"load_before_{many}"] = round(os.getloadavg()[0], 1)
        found[f"by_{many}"] = _watched(logs, _fresh(folder), many)
    one, two = found["by_1"], found["by_2"]
    found["efficiency"] = round(one["seconds"] / (2.0 * two["seconds"]), 2)
    found["efficiency_by_processor_time"] = round(one["processor_s"] / two["processor_s"], 2)
    return found


def _watched(logs: list[Path], out: Path, many: int) -> dict[str, Any]:
    """One run with an eye on what its processes hold, each time that a log is told to be judged."""
    begun, before = time.monotonic(), os.times()
    run = subprocess.Popen(
        _command(logs, out, "--workers", str(many)),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        env=_environ(),
    )
    assert run.stderr is not None
    held: dict[int, list[float]] = {}
    for _line in run.stderr:
        for process in _judges_of(run.pid):
            held.setdefault(process, []).append(_holds(process))
    assert run.wait() == 0
    after, of_one = os.times(), len(logs) / many
    processor = after.children_user + after.children_system - before.children_user - before.children_system
    return {
        "seconds": round(time.monotonic() - begun, 1),
        "processor_s": round(processor, 1),
        "MB_by_log": [[round(one) for one in each] for each in held.values()],
        "slope_kB_a_log": [round(1e3 * _late_slope(each) * len(each) / of_one, 1) for each in held.values()],
    }


def _judges_of(run: int) -> list[int]:
    """The processes of a run that judge."""
    children = Path(f"/proc/{run}/task/{run}/children").read_text().split()
    return [int(pid) for pid in children if b"spawn_main" in Path(f"/proc/{pid}/cmdline").read_bytes()]


def _holds(process: int) -> float:
    """Memory [MB] that is resident."""
    pages = int(Path(f"/proc/{process}/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def _late_slope(held: list[float]) -> float:
    """How what is held rises from one look to the next [MB], over the later half: what a process keeps is full then."""
    late = np.array(held[len(held) // 2 :])
    return float(np.polyfit(np.arange(late.size), late, 1)[0])


def _measured(call: str) -> float:
    start = f"from book_and_fleet import run_of; {call}"
    paths = os.pathsep.join(str(PROJECT / place) for place in ("", "tests", "tests/oracles"))
    done = subprocess.run(
        [sys.executable, "-c", start],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": paths},
        check=True,
    )
    return float(done.stdout)


def _tell_peak() -> None:
    sys.stdout.write(f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3:.1f}")


def run_of(folder: str, count: int) -> None:
    """A run of so many short logs, each judged at once by a process that does nothing, so that only the run is seen."""
    import fake_judges

    from ui.screening.run import ScreeningRun, ScreeningSetting
    from ui.screening.sources import named_sources

    place = Path(folder) / f"short-{count}"
    place.mkdir(exist_ok=True)
    for number in range(count):
        (place / f"{number}.csv").write_bytes(f"log {number}\n".encode() * 2000)
    lines = place.with_suffix(".jsonl")
    lines.unlink(missing_ok=True)
    ScreeningRun(named_sources([place]), ScreeningSetting(), lines).go(1, judged_by=fake_judges.quick)
    _tell_peak()


PARTS: dict[str, Callable[..., dict[str, Any]]] = {
    part.__name__: part for part in (search, rates, drift, kills, fleet, workers, memory, judging)
}


def main() -> None:
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    for asked in sys.argv[2:]:
        name, _, size = asked.partition("=")
        begun = time.monotonic()
        found = PARTS[name](folder, *([int(size)] if size else []))
        took = round(time.monotonic() - begun, 1)
        sys.stdout.write(json.dumps({"part": asked, **found, "took_s": took}) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
