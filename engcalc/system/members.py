"""Some members out of an ensemble, whatever it is made of."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

_NAMES: dict[type, tuple[str, ...]] = {}  # kept, for every part of a plant is asked many times a second


def _made_of(part: object) -> tuple[str, ...]:
    """What a dataclass is made of, by name, without what it works out for itself; nothing where it is none."""
    kind = type(part)
    if kind not in _NAMES:
        _NAMES[kind] = tuple(f.name for f in fields(kind) if f.init) if is_dataclass(kind) else ()
    return _NAMES[kind]


def count_members(part: object) -> int:
    """The longest last axis of any array in a part and its parts."""
    if isinstance(part, np.ndarray):
        return int(part.shape[-1]) if part.ndim else 1
    most = 1
    for name in _made_of(part):
        most = max(most, count_members(getattr(part, name)))
    return most


def take_members(part: Any, index: NDArray[np.intp], count: int) -> Any:
    """``part`` with the members ``index`` of its ``count``; arrays of one member, and what is no array, stay.

    Dataclasses and tuples are gone through; what a dataclass works out for itself (``init=False``) it works out anew.
    """
    if isinstance(part, np.ndarray):
        return part[..., index] if part.ndim and part.shape[-1] == count else part
    if isinstance(part, tuple):
        return tuple(take_members(item, index, count) for item in part)
    changed = {}
    for name in _made_of(part):
        value = getattr(part, name)
        taken = take_members(value, index, count)
        if taken is not value:
            changed[name] = taken
    return replace(part, **changed) if changed else part
