"""How much a case may ask of one run, in words: so that no case, whoever wrote it, takes the machine's memory or hours.

Each bound lies well above what one job needs and well below what a small computer holds.
"""

from __future__ import annotations

from collections.abc import Iterator

from engcalc.case.sections import Sections
from engcalc.errors import InputFault
from engcalc.units import Array

MOST_DUTIES = 100  # 500 took 1.5 GB in a trial
LONGEST_TOGETHER = 24.0 * 3600.0  # s of all timed duties, or of all steps of one record; 100 h took 70 s and 1 GB


def over_budget(sections: Sections) -> Iterator[InputFault]:
    """What asks for more than one run holds, each with its bound."""
    duties = sections.duties
    if len(duties) > MOST_DUTIES:
        given = f"{len(duties)} duties"
        yield InputFault("duties", given, f"at most {MOST_DUTIES} would do; part them among several cases")
    yield from _too_long("duties", [duty.duration for duty in duties], "all timed duties together")
    for name in ("before", "after"):
        record = getattr(sections.evidence, name)
        if record is not None:
            steps = [step.duration for step in record.schedule]
            yield from _too_long(f"evidence.{name}.schedule", steps, "all steps of one record together")


def _too_long(path: str, durations: list[Array | None], what: str) -> Iterator[InputFault]:
    together = sum(float(one.max()) for one in durations if one is not None)
    if together > LONGEST_TOGETHER:
        hours = LONGEST_TOGETHER / 3600.0
        yield InputFault(path, f"{together / 3600.0:.1f} h", f"at most {hours:.0f} h would do for {what}")
