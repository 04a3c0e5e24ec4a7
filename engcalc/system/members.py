"""Some members out of an ensemble, whatever it is made of."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray


def count_members(part: object) -> int:
    """The longest last axis of any array in a part and its parts."""
    if isinstance(part, np.ndarray):
        return int(part.shape[-1]) if part.ndim else 1
    if is_dataclass(part):
        return max((count_members(getattr(part, f.name)) for f in fields(part)), default=1)
    return 1


def take_members(part: Any, index: NDArray[np.intp], count: int) -> Any:
    """``part`` with the members ``index`` of its ``count``; arrays of one member, and what is no array, stay.

    Dataclasses and tuples are gone through; what a dataclass works out for itself (``init=False``) it works out anew.
    """
    if isinstance(part, np.ndarray):
        return part[..., index] if part.ndim and part.shape[-1] == count else part
    if isinstance(part, tuple):
        return tuple(take_members(item, index, count) for item in part)
    if is_dataclass(part) and not isinstance(part, type):
        values = {f.name: getattr(part, f.name) for f in fields(part) if f.init}
        taken = {name: take_members(value, index, count) for name, value in values.items()}
        changed = {name: value for name, value in taken.items() if value is not values[name]}
        return replace(part, **changed) if changed else part
    return part
