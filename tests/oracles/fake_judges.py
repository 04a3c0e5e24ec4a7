"""Judges for the tests of a screening's run: quick, slow, or deadly. They stand where a process can import them."""

from __future__ import annotations

import os
import signal
import sys
import time
from pathlib import Path
from typing import Any

from ui.screening.run import ScreeningRun, ScreeningSetting, Work, judge
from ui.screening.sources import named_sources

JUDGED = {
    "state": "healthy",
    "danger": "none",
    "fault": 0.25,
    "leading": "low_coolant",
    "leading_odds": 0.125,
    "next_check": "level_and_bubbles",
    "deviation": -1.5,
    "lasted": 900.0,
    "enough": True,
}


def quick(work: Work) -> dict[str, Any]:
    """Every log says the same."""
    return {"key": work.key, "judged": JUDGED, "why": ""}


def whose(work: Work) -> dict[str, Any]:
    """After a while, and by whom: the process stands where the likeliest fault would."""
    time.sleep(0.05)
    return {"key": work.key, "judged": {**JUDGED, "leading": str(os.getpid())}, "why": ""}


def another_version() -> int:
    """A judge of another version where it is asked in a process of its own; the same one otherwise."""
    return os.getpid()


def slow(work: Work) -> dict[str, Any]:
    """The same after a while."""
    time.sleep(0.15)
    return quick(work)


def deadly(work: Work) -> dict[str, Any]:
    """One log ends the process that judges it, as one would that needs more memory than there is."""
    if b"deadly" in work.log:
        os.kill(os.getpid(), signal.SIGKILL)
    time.sleep(0.02)
    return quick(work)


def never(work: Work) -> dict[str, Any]:
    """Nothing is to be judged again."""
    return {"key": work.key, "judged": None, "why": "it was judged again"}


def real(work: Work) -> dict[str, Any]:
    """The judge of the program."""
    return judge(work)


if __name__ == "__main__":  # a run to be killed: fake_judges.py FOLDER LINES
    import fake_judges

    run = ScreeningRun(named_sources([Path(sys.argv[1])]), ScreeningSetting(), Path(sys.argv[2]))
    run.go(2, lambda *told: print(*told[:2], flush=True), fake_judges.slow)  # noqa: T201  # the test reads what this process prints
    print("complete" if run.complete else "stopped", len(run.screened), flush=True)  # noqa: T201  # as above
