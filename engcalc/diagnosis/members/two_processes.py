"""Batches of a diagnosis on two cores: one part runs in this process, the other in one beside it.

The time steps of small ensembles hold the interpreter's lock, so that threads gain nothing; a process of its own does.
Members do not feel one another: the odds are those of one process. The other process is a crew of one
(:mod:`engcalc.studies.crew`): where it cannot be had, or it ends, this one does all.

The batches of a fit are small, and take no less time in two parts. While they run here, the other process can do what
else is asked of the same case (:meth:`TwoProcesses.beside`).
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from functools import partial
from types import TracebackType
from typing import Any, Generic, TypeVar

from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.members.simulated import Batch, Hypothesis, Problem, Simulated, Stop, ensemble_of, simulate
from engcalc.errors import Cancelled
from engcalc.studies.crew import Asked, Crew
from engcalc.system.in_time.drive import Drive
from engcalc.units import Array
from engcalc.words.texts import diagnosis_texts

WORTH_IT = 150  # members; a part of fewer takes less time than it takes to hand it over
AN_ENSEMBLE = 400  # members; an ensemble takes as long as so many, before the first of its own

T = TypeVar("T")

_Named = list[tuple[tuple[str, ...], int, Array]]  # a batch by the keys of its causes: their laws cannot be sent


class TwoProcesses:
    """Use it with ``with``, and hand :meth:`simulate` to a diagnosis."""

    def __init__(self) -> None:
        self._crew = Crew(min(2, os.cpu_count() or 1), asker_works=True)
        self._crew.begin(_loaded)  # while this process makes the record ready
        self._waits: _Beside[Any] | None = None  # other work, until it is handed over
        self._busy: Asked[Any] | None = None  # and once it is

    def __enter__(self) -> TwoProcesses:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self._crew.__exit__(kind, error, at)

    def simulate(
        self, problem: Problem, batch: Batch, cancelled: Stop = None, drive: Drive | None = None
    ) -> list[Simulated]:
        """As :func:`engcalc.diagnosis.members.simulated.simulate`."""
        live = [pair for pair in batch if len(pair[1])]
        here, there = halves(problem, live)
        spared = ensembles(problem, live, there) - ensembles(problem, live, here)
        worth_it = _members(live, there) + AN_ENSEMBLE * len(spared) >= WORTH_IT and not self._is_busy()
        sent = self._sent(problem, [live[i] for i in there], drive) if worth_it else None
        self._hand_over()
        if sent is None:
            return simulate(problem, live, cancelled, drive)
        found = dict(zip(here, simulate(problem, [live[i] for i in here], cancelled, drive), strict=True))
        found |= zip(there, sent.result(partial(_go_on, cancelled)), strict=True)
        return [found[i] for i in range(len(live))]

    def beside(self, work: Callable[[], T]) -> Callable[[], T]:
        """Other work on the same case, done by the other process after its part of the next batch; meanwhile batches
        run here alone. Call what is returned for its result. It and ``work`` have to go from process to process.
        """
        self._waits = _Beside(work)
        return self._waits.result

    def _is_busy(self) -> bool:
        return self._busy is not None and self._busy.under_way

    def _hand_over(self) -> None:
        """The other work that waits, if any, to the other process."""
        if self._waits is not None and not self._crew.alone:
            self._waits.asked = self._busy = self._crew.ask(self._waits.work)
            self._waits = None

    def _sent(self, problem: Problem, batch: Batch, drive: Drive | None) -> Asked[list[Simulated]] | None:
        """The part that the other process runs; None where there is none, or where a cause is not of the list."""
        listed = all(CAUSES.get(cause.key) is cause for hypothesis, _ in batch for cause in hypothesis.causes)
        if self._crew.alone or not listed:
            return None
        named = [(tuple(cause.key for cause in h.causes), h.layout, z) for h, z in batch]
        return self._crew.ask(_simulated, problem, named, drive)


class _Beside(Generic[T]):
    """Work for the other process; done here where it was not handed over."""

    def __init__(self, work: Callable[[], T]) -> None:
        self.work = work
        self.asked: Asked[T] | None = None

    def result(self) -> T:
        """What came of it. Raises what the work raises."""
        return self.work() if self.asked is None else self.asked.result(_go_on)


def _go_on(cancelled: Stop = None) -> None:
    """Called while the other process is waited for. Raises Cancelled."""
    if cancelled is not None and cancelled():
        raise Cancelled(diagnosis_texts.DIAGNOSIS_WAS_CANCELLED)


def halves(problem: Problem, batch: Batch) -> tuple[list[int], list[int]]:
    """Entries of a batch in two parts of about equal work. Whole ensembles where there are several; one of them is cut
    where the parts would else be further apart than an ensemble is long."""
    whole: dict[int, list[int]] = {}
    for i, (hypothesis, _) in enumerate(batch):
        whole.setdefault(ensemble_of(problem, hypothesis.layout), []).append(i)
    groups = list(whole.values()) if len(whole) > 1 else [[i] for i in range(len(batch))]
    parts: tuple[list[int], list[int]] = ([], [])
    for group in sorted(groups, key=lambda group: -_members(batch, group)):
        min(parts, key=lambda part: _members(batch, part)).extend(group)
    if len(whole) > 1:
        _evened(problem, batch, *sorted(parts, key=lambda part: _members(batch, part)))
    return sorted(parts[0]), sorted(parts[1])


def _evened(problem: Problem, batch: Batch, light: list[int], heavy: list[int]) -> None:
    """Move entries over until the parts are even, but for the ensemble that the lighter one gets by it."""
    over = _members(batch, heavy) - _members(batch, light) - AN_ENSEMBLE
    if over < AN_ENSEMBLE:
        return
    largest = ensemble_of(problem, batch[heavy[0]][0].layout)  # the first that it was given
    for i in [i for i in heavy if ensemble_of(problem, batch[i][0].layout) == largest]:
        many = len(batch[i][1])
        if 2 * many <= over:
            heavy.remove(i)
            light.append(i)
            over -= 2 * many


def ensembles(problem: Problem, batch: Batch, which: Sequence[int]) -> set[int]:
    """The ensembles in which some entries of a batch run."""
    return {ensemble_of(problem, batch[i][0].layout) for i in which}


def _members(batch: Batch, which: Sequence[int]) -> int:
    return sum(len(batch[i][1]) for i in which)


def _loaded() -> None:
    """In the other process: the engine is there once this module is."""


def _simulated(problem: Problem, named: _Named, drive: Drive | None) -> list[Simulated]:
    """In the other process."""
    batch = [(Hypothesis(tuple(CAUSES[key] for key in keys), layout), z) for keys, layout, z in named]
    return simulate(problem, batch, None, drive)
