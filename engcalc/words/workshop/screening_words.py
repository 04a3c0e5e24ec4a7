"""A screening in plain sentences: the table's heads and rows, what to look at first, how the run went."""

from __future__ import annotations

from collections.abc import Sequence

from engcalc.diagnosis.checks.hand_checks import CHECKS
from engcalc.diagnosis.grounds import Danger
from engcalc.diagnosis.ranking import LOOK_FIRST, Drift, Ranked
from engcalc.words.diagnosis.causes import cause_label
from engcalc.words.diagnosis.conclusion_words import DANGERS, STATES
from engcalc.words.terms.numbers import chance, lowered

HEADS = (
    "rank",
    "vehicle",
    "logs",
    "look first",
    "danger",
    "conclusion",
    "odds of a fault",
    "likeliest fault",
    "its odds",
    "ended off healthy, K",
    "drift over its logs, K",
    "drift shown",
    "next check",
)
"""The heads of the table, in the order of :func:`row`."""

_SHOWN = 20  # vehicles that are told one by one
_NOT_JUDGED_SHOWN = 20  # logs likewise


def row(rank: int, one: Ranked) -> tuple[str, ...]:
    """One vehicle as a row of the table."""
    last = one.last
    return (
        str(rank),
        one.vehicle,
        str(one.logs),
        _yes(one.look_first),
        "" if one.danger is Danger.NONE else DANGERS[one.danger],
        STATES[last.state],
        f"{one.fault:.3f}",
        cause_label(last.leading),
        f"{last.leading_odds:.3f}",
        "" if last.deviation is None else f"{last.deviation:.1f}",
        "" if one.drift is None else f"{one.drift.total:.1f}",
        "" if one.drift is None else _yes(one.drift.shown),
        CHECKS[last.next_check].title if last.next_check in CHECKS else "",
    )


def _yes(is_so: bool) -> str:
    return "yes" if is_so else "no"


def screening_lines(vehicles: Sequence[Ranked], not_judged: Sequence[tuple[str, str]]) -> list[str]:
    """What a person reads at the end: vehicles to look at first, and logs that could not be judged with the reason."""
    lines = [first_head(vehicles), *first_lines(vehicles, _SHOWN)]
    if not_judged:
        lines += ["", f"{NOT_JUDGED_HEADING} ({len(not_judged)}):"]
        lines += [f"  {line}" for line in not_judged_lines(not_judged, _NOT_JUDGED_SHOWN)]
    return [*lines, "", NOTE]


def first_head(vehicles: Sequence[Ranked]) -> str:
    """How many vehicles are to be looked at first."""
    first = sum(one.look_first for one in vehicles)
    if first:
        return f"Look at these first ({first} of {len(vehicles)}):"
    if vehicles:
        return "Nothing stands out: no danger, no likely fault, no drift that is shown."
    return "No log could be judged."


def first_lines(vehicles: Sequence[Ranked], shown: int) -> list[str]:
    """The vehicles to look at first, ``shown`` of them at most, each with what speaks for it."""
    first = [one for one in vehicles if one.look_first]
    lines = [vehicle_line(number, one) for number, one in enumerate(first[:shown], 1)]
    more = len(first) - shown
    return [*lines, *([f"... and {more} more; the table has them all."] if more > 0 else [])]


def not_judged_lines(not_judged: Sequence[tuple[str, str]], shown: int) -> list[str]:
    """The logs that could not be judged, ``shown`` of them at most, each with the reason."""
    lines = [f"{name}: {why}" for name, why in not_judged[:shown]]
    more = len(not_judged) - shown
    return [*lines, *([f"... and {more} more; the JSON file has them all."] if more > 0 else [])]


TITLE = "Vehicles to look at first"
RANKED_HEADING = "All vehicles, by what to look at first"
NOT_JUDGED_HEADING = "Not judged"
PAGE_HEAD = ("", "Vehicle", "Logs", "Conclusion", "Odds of a fault", "Likeliest fault", "Drift", "Next check")
ON_PAPER = 20  # vehicles that the second page lists; the table has them all
FIRST_ON_PAPER, NOT_JUDGED_ON_PAPER = 12, 8  # lines of the first page


def page_row(rank: int, one: Ranked) -> tuple[str, ...]:
    """One vehicle as a row of the printed table."""
    last = one.last
    danger = "" if one.danger is Danger.NONE else f"{DANGERS[one.danger]}. "
    drift = "" if one.drift is None or not one.drift.shown else f"{one.drift.total:+.0f} K"
    likeliest = cause_label(last.leading) if one.fault >= LOOK_FIRST else ""
    return (
        str(rank),
        one.vehicle,
        str(one.logs),
        f"{danger}{STATES[last.state]}",
        chance(one.fault),
        likeliest,
        drift,
        _first_check(one),
    )


def _first_check(one: Ranked) -> str:
    """The check to begin with, where the vehicle is to be looked at: a healthy one is not sent to the lift."""
    return CHECKS[one.last.next_check].title if one.look_first and one.last.next_check in CHECKS else ""


def more_on_file(count: int) -> str:
    """Vehicles that the pages do not list."""
    return f"{count} more vehicles stand in the table beside this paper."


NOTE = (
    "A screening sorts vehicles for a look; it condemns none. A log of an engine that started warm or was hardly driven "
    "tells little. Let a check by hand decide."
)


def vehicle_line(number: int, one: Ranked) -> str:
    """One vehicle with what speaks for a look."""
    reasons = [] if one.danger is Danger.NONE else [lowered(DANGERS[one.danger])]
    reasons.append(lowered(STATES[one.last.state]))
    odds = f"odds of a fault {chance(one.fault)}"
    if one.fault >= LOOK_FIRST:
        odds += f", likeliest: {lowered(cause_label(one.last.leading))}"
    reasons.append(odds)
    if one.drift is not None and one.drift.shown:
        reasons.append(_drift_words(one.drift, one.logs))
    check = _first_check(one)
    todo = f" First check: {lowered(check)}." if check else ""
    return f"{number:>4}  {one.vehicle}: {'; '.join(reasons)}.{todo}"


def _drift_words(drift: Drift, logs: int) -> str:
    way = "colder" if drift.total < 0.0 else "hotter"
    return f"has become {abs(drift.total):.0f} K {way} over {logs} logs"


def progress_line(done: int, total: int, name: str, left: float | None) -> str:
    """How far the run is; ``left`` the time that is left by its pace so far [s]."""
    rest = "" if left is None else f", about {max(left / 60.0, 1.0):.0f} min left"
    return f"{done} of {total} logs{rest}: {name}"


def time_left(seconds: float, done: int, total: int) -> float | None:
    """What is left of a run by its pace so far [s]; None as long as that says nothing, and at the end."""
    return seconds * (total - done) / done if 1 < done < total else None


def run_lines(total: int, again: int, complete: bool, seconds: float, fresh: int) -> list[str]:
    """How the run went: ``again`` logs had been judged before, ``fresh`` were judged now."""
    lines = [f"{total} logs: {fresh} judged now, {again} known from an earlier run."]
    if fresh and seconds > 0.0:
        lines.append(f"{3600.0 * fresh / seconds:.0f} logs an hour.")
    if not complete:
        lines.append("Stopped before the end. The same command goes on where it stopped.")
    return lines


SCREENING = "Screen many logs"
SCREENING_INTRO = (
    "Every log is judged as screening, and the vehicles are put in order of what to look at first. Logs are vehicles of "
    "their own; those in one folder below the chosen one are of one vehicle. A run that was stopped goes on where it was."
)
BOOK_IN_SCREENING = "Its vehicles and its base rates count then. Without a folder, all of its logs are judged."
NO_LOGS_CHOSEN = "Choose a folder of logs, or use the logs of the job book."
NO_FOLDER_CHOSEN = "Choose the folder for table, paper and answers."
GOES_ON = "An earlier run left its answers in this folder: it goes on, and no log is judged twice."
STOPPING = "Stopping. The logs in hand are finished first."
MARK_A_VEHICLE = "Mark a vehicle in the table to open it."
WINDOW_HEADS = ("", "Vehicle", "Conclusion", "Odds of a fault", "Likeliest fault", "Drift", "Logs", "Next check")


def window_row(rank: int, one: Ranked) -> tuple[str, ...]:
    """One vehicle as a row of the window's table: what the printed one says of it."""
    rank_text, vehicle, logs, conclusion, odds, likeliest, drift, check = page_row(rank, one)
    return rank_text, vehicle, conclusion, odds, likeliest, drift, logs, check
