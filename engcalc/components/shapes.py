"""Shapes of arrays over the members, without numpy's detour where there is nothing to broadcast: it costs one member as
much as a line of arithmetic.
"""

from __future__ import annotations

from typing import Any

import numpy as np


def shaped(x: Any, shape: tuple[int, ...]) -> Any:
    """The array ``x`` in a shape that it broadcasts to; itself where it has it."""
    return x if x.shape == shape else np.broadcast_to(x, shape)


def common_shape(first: tuple[int, ...], *others: tuple[int, ...]) -> tuple[int, ...]:
    """The shape that arrays of these shapes broadcast to."""
    if all(shape == first for shape in others):
        return first
    return np.broadcast_shapes(first, *others)
