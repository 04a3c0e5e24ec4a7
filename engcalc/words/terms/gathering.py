"""Reasons as a person reads them: what is said alike of several duties is said once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from engcalc.words.answer.reasons import Reason

FEW = 2  # duties that are named even where they are all there are


def gathered(found: Sequence[Reason], duties: Sequence[str]) -> tuple[Reason, ...]:
    """The reasons, each sentence once, at its first place. ``duties``: the names of all duties of the case."""
    together: dict[tuple[str, str], list[Reason]] = {}
    for reason in found:
        together.setdefault((reason.code, _bare(reason)), []).append(reason)
    return tuple(_gathered(alike, bare, duties) for (_, bare), alike in together.items())


def _bare(reason: Reason) -> str:
    """The sentence without the name of what it is about, where it begins with that."""
    return reason.text.removeprefix(f"{reason.about}: ") if reason.about else reason.text


def _gathered(alike: Sequence[Reason], bare: str, duties: Sequence[str]) -> Reason:
    if len(alike) == 1 or alike[0].text == bare:
        return alike[0]
    names = list(dict.fromkeys(reason.about for reason in alike))
    return replace(alike[0], text=f"{_together(names, duties)}: {bare}")


def _together(names: Sequence[str], duties: Sequence[str]) -> str:
    """Several duties named: where they are all but one or two of many, by those that are left out."""
    left = [name for name in duties if name not in names]
    if len(names) <= FEW or len(left) > FEW or len(names) <= 2 * len(left) or not set(names) <= set(duties):
        return "; ".join(names)
    return f"Every duty but {' and '.join(left)}" if left else "Every duty"
