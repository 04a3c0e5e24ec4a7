"""The few functions that a step of the warm-up needs, for arrays and for plain floats.

One member runs some ten times faster on Python's floats than on arrays of one element; the step is written once and
takes its functions from here.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

Value = Any  # a float, or an array over the members: the step does not care


@dataclass(frozen=True)
class Arithmetic:
    """exp, expm1, sqrt, the smaller, the larger, a choice, and whether any member has something."""

    exp: Callable[[Any], Any]
    expm1: Callable[[Any], Any]
    sqrt: Callable[[Any], Any]
    least: Callable[[Any, Any], Any]
    most: Callable[[Any, Any], Any]
    choose: Callable[[Any, Any, Any], Any]
    some: Callable[[Any], Any]


def _least(a: float, b: float) -> float:
    return a if a < b else b


def _most(a: float, b: float) -> float:
    return a if a > b else b


def _choose(condition: bool, a: float, b: float) -> float:
    return a if condition else b


# to count the members takes a tenth of the time of np.any, of which every step asks several
ARRAYS = Arithmetic(np.exp, np.expm1, np.sqrt, np.minimum, np.maximum, np.where, np.count_nonzero)
FLOATS = Arithmetic(math.exp, math.expm1, math.sqrt, _least, _most, _choose, bool)
