"""How much a case may ask of one run, in words: so that no case, whoever wrote it, takes the machine's memory or hours.

Each bound lies well above what one job needs and well below what a small computer holds.
"""

from __future__ import annotations

from collections.abc import Iterator

from engcalc.case.sections import Sections
from engcalc.errors import InputFault
from engcalc.units import Array
from engcalc.words.texts import case_texts

MOST_DUTIES = 100  # 500 took 1.5 GB in a trial
LONGEST_TOGETHER = 24.0 * 3600.0  # s of all timed duties, or of all steps of one record; 100 h took 70 s and 1 GB


def over_budget(sections: Sections) -> Iterator[InputFault]:
    """What asks for more than one run holds, each with its bound."""
    duties = sections.duties
    if len(duties) > MOST_DUTIES:
        given = f"{len(duties)} duties"
        yield InputFault("duties", given, case_texts.AT_MOST_WOULD_DO.format(most_duties=MOST_DUTIES))
    yield from _too_long("duties", [duty.duration for duty in duties], case_texts.ALL_TIMED_DUTIES_TOGETHER)
    for name in ("before", "after"):
        record = getattr(sections.evidence, name)
        if record is not None:
            steps = [step.duration for step in record.schedule]
            yield from _too_long(f"evidence.{name}.schedule", steps, case_texts.ALL_STEPS_OF_ONE_RECORD_TOGETHER)


def _too_long(path: str, durations: list[Array | None], what: str) -> Iterator[InputFault]:
    together = sum(float(one.max()) for one in durations if one is not None)
    if together > LONGEST_TOGETHER:
        hours = LONGEST_TOGETHER / 3600.0
        yield InputFault(
            path, f"{together / 3600.0:.1f} h", case_texts.AT_MOST_H_WOULD_DO_FOR.format(hours=hours, what=what)
        )
