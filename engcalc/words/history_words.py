"""The same vehicle over its visits, in plain sentences."""

from __future__ import annotations

from collections.abc import Sequence

from engcalc.case.records import SPOT_PLACES
from engcalc.units import UnitSystem, show
from engcalc.vehicle.earlier import EarlierVisit, MeasuredRun, SpotRead, time_drift
from engcalc.words.book_words import outcome_sentence
from engcalc.words.numbers import minutes, temperature
from engcalc.words.told_by_customer import word_read
from engcalc.words.warmup_words import TITLES

HISTORY_PICTURE = "This vehicle's warm-ups"
HISTORY_CAPTION = "Only starts in like weather, driven alike, can be set side by side."
READING_VISITS = "The visits of this vehicle are being read."
NO_RUN = "nothing was measured"
NO_OTHER_VISIT = "This vehicle has no other visit in the job book."
LEAST_DRIFT = 60.0  # s, under which nobody would call it a change; common practice, no source


def run_name(visit: EarlierVisit, run: MeasuredRun) -> str:
    """One run, in the key of a picture."""
    return f"{visit.day or f'job {visit.job}'}, {TITLES[run.record].lower()}"


def history_lines(visits: Sequence[EarlierVisit], system: UnitSystem) -> list[str]:
    """Every visit with what was measured and how it ended, the oldest first; then what has changed."""
    lines = [line for visit in visits for line in _visit_lines(visit, system)]
    if len(visits) < 2:
        lines.append(NO_OTHER_VISIT)
    changed = _drift_sentence(visits, system)
    return [*lines, *([changed] if changed else [])]


def _visit_lines(visit: EarlierVisit, system: UnitSystem) -> list[str]:
    head = f"Job {visit.job}{f', {visit.day}' if visit.day else ''}"
    told = [_run_words(run, system) for run in visit.runs]
    for name in dict.fromkeys(spot.record for spot in visit.spots):
        spots = [_spot_words(spot, system) for spot in visit.spots if spot.record == name]
        told.append(f"{TITLES[name].lower()}: {'; '.join(spots)}")
    told = told or [visit.unread or NO_RUN]
    lines = [f"{head}: {text}." for text in told]
    return [*lines, *([outcome_sentence(visit.outcome)] if visit.outcome is not None else [])]


def _spot_words(spot: SpotRead, system: UnitSystem) -> str:
    """One reading by hand with its time, as a number or in the words in which it was read."""
    when = "" if spot.at is None else f" after {minutes(spot.at)}"
    if spot.word:
        return f"{word_read(spot.what, spot.instrument, spot.word)}{when}"
    place = "coolant" if spot.what == "coolant" else SPOT_PLACES[spot.what]
    return f"{place} {show(spot.value, spot.kind, system)}{when}"


def _run_words(run: MeasuredRun, system: UnitSystem) -> str:
    """The start and the times to each temperature."""
    begun = f"started at {temperature(run.start, system)} in {temperature(run.ambient, system)} air"
    times = [
        f"{temperature(x, system)} {'not reached' if t is None else f'after {minutes(t)}'}"
        for x, t in run.time_to.items()
        if run.start < x
    ]
    return f"{TITLES[run.record].lower()}: {begun}; {', '.join(times)}" if times else f"{run.record}: {begun}"


def _drift_sentence(visits: Sequence[EarlierVisit], system: UnitSystem) -> str:
    found = time_drift(visits)
    if found is None:
        return ""
    longer, goal = found.longer, temperature(found.goal, system)
    if abs(longer) < LEAST_DRIFT:
        return f"The time to {goal} has not changed by a minute from the first of these runs to the last."
    way = "longer" if longer > 0.0 else "sooner"
    return f"From the first of these runs to the last it takes {minutes(abs(longer))} {way} to {goal}."
