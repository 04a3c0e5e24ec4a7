"""Sentences on inputs that are to be doubted: what was entered, what else speaks against it, and what is computed with.

Each takes the numbers of a finding (SI) and the system to show them in.
"""

from __future__ import annotations

from collections.abc import Mapping

from engcalc.units import System, show

Numbers = Mapping[str, float]


def pitch_differs(numbers: Numbers, system: System) -> str:
    """That the tube pitch is not tube height plus fin height, and which of them counts for what."""
    pitch, total, passage = (show(numbers[key], "small length", system) for key in ("pitch", "sum", "passage"))
    return (f"The tube pitch is {pitch}, tube height and fin height together are {total}. The three are taken as "
            "entered: the pitch counts the tubes, the fin height measures the fins, and the air passes through "
            f"{passage} of each pitch, the smaller of fin height and gap between tubes. Check them if that is not "
            "meant.")
