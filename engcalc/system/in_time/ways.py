"""What is run: a plant through a drive, by members that all went the same way or several ways.

Nobody may know how a vehicle was driven. Members of each way then step together: what the rows of a drive ask for is
worked out way by way, and stands side by side in one table by steps.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engcalc.components.engine import Load
from engcalc.components.shapes import common_shape, shaped
from engcalc.system.arithmetic import Value
from engcalc.system.in_time.drive import Drive
from engcalc.system.in_time.lumps import Lumps, prepare_lumps, row_load
from engcalc.system.members import take_members
from engcalc.system.plant import Plant
from engcalc.units import Array


@dataclass(frozen=True, slots=True, eq=False)
class MembersOfOneWay:
    """Members that go through the same rows: all of them, where nobody ran in another way."""

    own: slice  # which members
    plant: Plant  # of these
    drive: Drive
    load: Load  # of each row of the drive
    asked: NDArray[np.int64]  # what the steps ask for, each once: rows of the drive, (asked, rows of a step)
    row_of: NDArray[np.int64]  # which of ``asked`` each step asks for, (steps,)

    @property
    def members(self) -> int:
        """How many."""
        return int(self.own.stop - self.own.start)

    def mean(self, table: Array) -> Array:
        """A table over the drive's rows, (rows, members), as means over what the steps ask for."""
        if len(table) > 1:
            return np.asarray(table[self.asked].mean(axis=1))
        return table


@dataclass(frozen=True, slots=True, eq=False)
class RunBasis:
    """What is run: a plant through a drive, by so many members, in one way or several."""

    plant: Plant
    drive: Drive
    members: int
    capacities: Lumps  # and conductances, as arrays
    ways: tuple[MembersOfOneWay, ...]

    @property
    def row_of(self) -> NDArray[np.int64]:
        """Which row of a table each step asks for, (steps,): of several ways each step has a row of its own."""
        if len(self.ways) == 1:
            return self.ways[0].row_of
        return np.arange(len(self.drive.which))

    @property
    def rows(self) -> int:
        """Rows of a table."""
        if len(self.ways) == 1:
            return len(self.ways[0].asked)
        return len(self.drive.which)

    def with_members(self, count: int) -> RunBasis:
        """The same with as many members, to which those of its only way were brought down."""
        (way,) = self.ways
        return replace(self, members=count, ways=(replace(way, own=slice(0, count)),))

    def value(self, array: Array) -> Value:
        """One member's float, or the array over the members."""
        if self.members == 1:
            return float(array.reshape(-1)[0])
        return array

    def array(self, value: Value) -> Array:
        """A value as an array that goes with the members."""
        if isinstance(value, float):
            return np.array([value])
        return np.asarray(value)

    def whole(self, value: Value) -> Array:
        """A value as an array of every member."""
        return np.broadcast_to(np.asarray(value, np.float64), (self.members,))

    def joined(self, parts: Sequence[Array]) -> Array:
        """What each way has, (..., members or 1), as that of all members; of one way as it is."""
        if len(parts) == 1:
            return parts[0]
        shape = common_shape(*(part.shape[:-1] for part in parts))
        ways = zip(parts, self.ways, strict=True)
        return np.concatenate([shaped(part, (*shape, way.members)) for part, way in ways], axis=-1)

    def mean(self, of_rows: Callable[[MembersOfOneWay], Array]) -> Array:
        """What ``of_rows`` makes of the rows of a way, (rows, members or 1), as means over what the steps ask for: a
        table by ``row_of``, or one row that holds throughout."""
        means = [way.mean(of_rows(way)) for way in self.ways]
        if len(self.ways) > 1:
            means = [x if len(x) == 1 else x[way.row_of] for x, way in zip(means, self.ways, strict=True)]
        return self.joined(means)

    def tables(self, rows: Array) -> Any:
        """Tables (k, rows or 1, members or 1): nested lists of floats for one member, else arrays of every member."""
        full = np.broadcast_to(rows, (rows.shape[0], self.rows, rows.shape[-1]))
        return full[..., 0].tolist() if self.members == 1 else full

    def table(self, of_rows: Callable[[MembersOfOneWay], Array]) -> Any:
        """The means of ``mean`` as a table."""
        return self.tables(self.mean(of_rows)[None])[0]


def run_basis(plant: Plant, drive: Drive, members: int) -> RunBasis:
    """The basis of a run by so many members."""
    return RunBasis(plant, drive, members, prepare_lumps(plant), _ways(plant, drive, members))


def _ways(plant: Plant, drive: Drive, members: int) -> tuple[MembersOfOneWay, ...]:
    """Each way in which members ran, with its plant and rows."""
    if not drive.ways:
        return (_way(plant, drive, slice(0, members)),)
    ends = np.cumsum([one.members for one in drive.ways]).tolist()
    found = []
    for one, end in zip(drive.ways, ends, strict=True):
        index = np.arange(end - one.members, end)
        found.append(_way(take_members(plant, index, members), one, slice(end - one.members, end)))
    return tuple(found)


def _way(plant: Plant, drive: Drive, own: slice) -> MembersOfOneWay:
    asked, row_of = np.unique(drive.which, axis=0, return_inverse=True)
    return MembersOfOneWay(own, plant, drive, row_load(plant, drive), asked, row_of.reshape(-1))
