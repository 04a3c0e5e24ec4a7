"""A vehicle with causes in it: its case made healthy, then changed as the records of the causes say."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engcalc.case.case import Case, value_at, with_values
from engcalc.case.sections.circuit import NEVER_SLIPS
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.history import USUAL, WORDS, Word
from engcalc.causes.record import HEALTHY_STATE, Cause, VisibleState
from engcalc.studies.healthy_valve import healthy_valve
from engcalc.units import Array, parse


@dataclass(frozen=True, eq=False)
class CauseInMembers:
    """A cause, the members that have it, z of its severity in each of them, and of its reserve where it has one."""

    cause: Cause
    members: slice
    z: Array
    z_reserve: Array | None = None

    @property
    def severity(self) -> Array:
        """How bad it is in each of them, SI; zeros where it is there or not."""
        if self.cause.severity is None:
            return np.zeros(self.members.stop - self.members.start)
        return self.cause.severity.value(self.z)

    @property
    def past_reserve(self) -> Array:
        """How much of it goes beyond what each of them bears unnoticed, SI."""
        if self.cause.reserve is None:
            return self.severity
        z = np.zeros(len(self.z)) if self.z_reserve is None else self.z_reserve
        return np.maximum(self.severity - self.cause.reserve.value(z), 0.0)


def applicable(case: Case) -> tuple[Cause, ...]:
    """The causes that this vehicle can have, in the order of the catalogue."""
    return tuple(cause for cause in CAUSES.values() if can_have(case, cause))


def can_have(case: Case, cause: Cause) -> bool:
    """Whether this vehicle can have a cause: it has any one of what the cause needs, or the cause needs nothing."""
    return not cause.needs or any(need.met(value_at(case, need.where)) for need in cause.needs)


def healthy_case(case: Case) -> Case:
    """The case with everything healthy that a cause of the list would change, a wax valve of the same rating included.

    What a person entered to describe a fault (a valve that does not close, blocked tubes) is what the diagnosis is to
    find: it is no knowledge of the vehicle.
    """
    words = {} if case.airflow.seals == "fitted" else {"airflow.seals": "fitted"}
    zero = np.zeros(1)
    whole = np.ones(1)
    return with_values(
        case,
        {
            **healthy_valve(case),
            **words,
            "radiator.blocked_tubes": zero,
            "radiator.blocked_face": zero,
            "airflow.shutter": whole,
            "circuit.aeration": zero,
            "circuit.impeller_slips": np.full(1, parse(NEVER_SLIPS, "rotation").si),
            "heater.valve": whole,
        },
    )


def changed(case: Case, causes: tuple[CauseInMembers, ...], members: int) -> Case:
    """An ensemble with each cause on its own members. Several causes on the same members act one after the other."""
    values: dict[str, Array] = {}
    for there in causes:
        severity = there.severity
        past_reserve = there.past_reserve
        for change in there.cause.changes:
            if change.where not in values:
                values[change.where] = np.broadcast_to(value_at(case, change.where), (members,)).copy()
            column = values[change.where]
            acts = past_reserve if change.past_reserve else severity
            column[there.members] = change.act(column[there.members], acts)
    return with_values(case, values) if values else case


def states_of(causes: tuple[CauseInMembers, ...], members: int) -> dict[VisibleState, Array]:
    """What a look would tell of each member."""
    found = {state: np.full(members, value) for state, value in HEALTHY_STATE.items()}
    for there in causes:
        severity = there.severity
        for state, of in there.cause.states.items():
            found[state][there.members] = of(severity)
    return found


def histories_of(causes: tuple[CauseInMembers, ...], members: int) -> dict[Word, Array]:
    """The share [-] of each member's cases that a customer tells of by each word, (members,).

    Of two causes in one member either may be what was told of: the mean of both.
    """
    total = {word: np.zeros(members) for word in WORDS}
    count = np.zeros(members)
    for there in causes:
        count[there.members] += 1.0
        for word in WORDS:
            total[word][there.members] += there.cause.history.share(word)
    none = count == 0.0
    return {word: np.where(none, USUAL.share(word), x / np.maximum(count, 1.0)) for word, x in total.items()}
