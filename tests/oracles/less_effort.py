"""The effort of a diagnosis where its odds may be rough: the same computation with fewer draws.

A class, not a function that makes one: a diagnosis by it is then kept for other tests (``kept_answers.py``).
"""

from __future__ import annotations

from dataclasses import dataclass

from engcalc.diagnosis.sampler import Effort


@dataclass(frozen=True)
class LessEffort(Effort):
    """Takes the place of :class:`Effort` in ``engcalc.diagnosis.diagnosis``."""

    prior: int = 32
    steps: int = 1
    first: int = 24
    round: int = 300
    rounds: int = 2
