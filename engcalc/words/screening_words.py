"""A screening in plain sentences: the table's heads and rows, what to look at first, how the run went."""

from __future__ import annotations

from collections.abc import Sequence

from engcalc.diagnosis.conclusion import Danger
from engcalc.diagnosis.hand_checks import CHECKS
from engcalc.diagnosis.ranking import LOOK_FIRST, Drift, Ranked
from engcalc.words.causes import cause_label
from engcalc.words.conclusion_words import DANGERS, STATES
from engcalc.words.numbers import chance, lowered

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
    first = [one for one in vehicles if one.look_first]
    if first:
        lines = [f"Look at these first ({len(first)} of {len(vehicles)}):"]
        lines += [vehicle_line(number, one) for number, one in enumerate(first[:_SHOWN], 1)]
        lines += [f"... and {len(first) - _SHOWN} more; the table has them all."] if len(first) > _SHOWN else []
    elif vehicles:
        lines = ["Nothing stands out: no danger, no likely fault, no drift that is shown."]
    else:
        lines = ["No log could be judged."]
    if not_judged:
        lines += ["", f"Not judged ({len(not_judged)}):"]
        lines += [f"  {name}: {why}" for name, why in not_judged[:_NOT_JUDGED_SHOWN]]
        more = len(not_judged) - _NOT_JUDGED_SHOWN
        lines += [f"  ... and {more} more; the JSON file has them all."] if more > 0 else []
    return [*lines, "", NOTE]


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
    check = CHECKS[one.last.next_check].title if one.last.next_check in CHECKS else ""
    todo = f" First check: {lowered(check)}." if check else ""
    return f"{number:>4}  {one.vehicle}: {'; '.join(reasons)}.{todo}"


def _drift_words(drift: Drift, logs: int) -> str:
    way = "colder" if drift.total < 0.0 else "hotter"
    return f"has become {abs(drift.total):.0f} K {way} over {logs} logs"


def progress_line(done: int, total: int, name: str, left: float | None) -> str:
    """How far the run is; ``left`` the time that is left by its pace so far [s]."""
    rest = "" if left is None else f", about {max(left / 60.0, 1.0):.0f} min left"
    return f"{done} of {total} logs{rest}: {name}"


def run_lines(total: int, again: int, complete: bool, seconds: float, fresh: int) -> list[str]:
    """How the run went: ``again`` logs had been judged before, ``fresh`` were judged now."""
    lines = [f"{total} logs: {fresh} judged now, {again} known from an earlier run."]
    if fresh and seconds > 0.0:
        lines.append(f"{3600.0 * fresh / seconds:.0f} logs an hour.")
    if not complete:
        lines.append("Stopped before the end. The same command goes on where it stopped.")
    return lines
