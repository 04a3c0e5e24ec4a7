"""Screening on the command line: many logs judged and ranked."""

from __future__ import annotations

import argparse
import sys
import time
from typing import TYPE_CHECKING

from engcalc.errors import InputError, InputFault
from engcalc.words.texts import command_texts

if TYPE_CHECKING:
    from ui.command.answer import Answer
    from ui.screening.crews import Crews
    from ui.screening.run import Screened


def screen_command(options: argparse.Namespace) -> Answer:
    """``heatdocket screen``: every log judged as screening, vehicles ranked. InputError with what is at fault.

    Progress goes to standard error, a line for each log. Ctrl-C ends the run; the same command goes on with it.
    """
    from ui.screening.asked import ScreeningAsked, case_of_vehicle, judge_all, write_found
    from ui.screening.tables import everything

    asked = ScreeningAsked(tuple(options.logs), options.output, options.book, options.case, options.workers)
    found = judge_all(asked, _Progress().tell, crews=_crews(options))
    write_found(found)
    first = range(1, min(options.lay_out, len(found.vehicles)) + 1)
    cases = [str(case_of_vehicle(found, rank)) for rank in first]
    answer = {**everything(found.run, found.vehicles), "folder": str(asked.out), "cases": cases}
    return answer, [*found.lines, str(asked.out), *cases]


def _crews(options: argparse.Namespace) -> Crews | None:
    """The cluster that was named, if one was. Nothing of the network is touched else."""
    if options.scheduler is None:
        return None
    from ui.screening.crews import cluster
    from ui.screening.run import judge_version

    if options.workers is not None:
        wanted = command_texts.SCHEDULERS_OWN_WORKERS_COUNT
        raise InputError((InputFault("--workers", str(options.workers), wanted),))
    return cluster(options.scheduler, judge_version)


class _Progress:
    """Tells each log on standard error, with the time that is left by the pace of those judged now."""

    def __init__(self) -> None:
        self._start = time.monotonic()

    def tell(self, done: int, total: int, screened: Screened) -> None:
        """One more log is finished."""
        from engcalc.words.workshop.screening_words import progress_line, time_left

        left = time_left(time.monotonic() - self._start, done, total)
        sys.stderr.write(progress_line(done, total, screened.source.name, left) + "\n")
        sys.stderr.flush()
