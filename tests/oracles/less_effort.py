"""The effort of a diagnosis where its odds may be rough: the same computation with fewer draws."""

from __future__ import annotations

from dataclasses import dataclass

from engcalc.diagnosis.odds.sampler import Effort

FEW = Effort(prior=16, steps=1, first=8, round=150, rounds=1)
"""Where it does not count what the odds are. The same everywhere, so that one diagnosis of an example serves all."""

FEW_ROUNDS = (0.6, 0.5, 0.4)
"""Takes the place of ``CLOUD`` in ``engcalc.vehicle.fit`` where it does not count how near a fit comes to the best."""


@dataclass(frozen=True)
class LessEffort(Effort):
    """Takes the place of :class:`Effort` in ``engcalc.diagnosis.odds.diagnosis``.

    A class, not a function that makes one: a diagnosis by it is then kept for other tests (``kept_answers.py``).
    """

    prior: int = 32
    steps: int = 1
    first: int = 24
    round: int = 300
    rounds: int = 2
