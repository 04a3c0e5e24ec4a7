"""What a topic is: one record that says what is drawn, what is asked, how it is worked, and which slips are likely.

Symbols are plain names such as ``C_min``; :mod:`engcalc.classroom.symbols` says how each is written. Formulas are those
of :mod:`engcalc.working.formulas` and hold in the units of :mod:`engcalc.classroom.measures`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from engcalc.units import UnitSystem

SiValues = Mapping[str, float]
"""Numbers by symbol, in SI (K, Pa, W, m, kg, s; shares as such)."""


@dataclass(frozen=True)
class GivenNumber:
    """A number that is drawn, evenly between ``low`` and ``high`` in the measure's SI unit, then rounded.

    ``digits`` counts significant digits; temperatures are rounded to a tenth.
    """

    symbol: str
    label: str
    measure: str
    low: float
    high: float
    digits: int = 3


@dataclass(frozen=True)
class LookedUp:
    """A number that stands in a table: read from the engine's own properties, and printed on the sheet.

    ``read`` gives it in SI from what is given. ``where`` names substance and temperature, with symbols in braces.
    ``exact`` numbers are chosen, not rounded, such as the pressure of a row of a table.
    """

    symbol: str
    label: str
    measure: str
    read: Callable[[SiValues, UnitSystem], float]
    where: str
    digits: int = 4
    exact: bool = False


@dataclass(frozen=True)
class SolutionLine:
    """One line of the solution. ``us`` is the formula in US units where that is another; ``converts`` marks a line that
    only brings a number into the unit of the working."""

    symbol: str
    label: str
    measure: str
    formula: str
    source: str
    valid: str = ""
    us: str = ""
    converts: bool = False

    def formula_in(self, system: UnitSystem) -> str:
        """The formula that holds in the units of this system."""
        if self.us and system is UnitSystem.US:
            return self.us
        return self.formula


@dataclass(frozen=True)
class Slip:
    """A likely slip: lines whose formula is another, ``{}`` standing for the right one. What comes of it is computed by
    making it. ``reads`` gives the answers [SI] where a table would be read at another row."""

    key: str
    told: str
    puts: Mapping[str, str] = field(default_factory=dict)
    reads: Callable[[SiValues], SiValues] | None = None


@dataclass(frozen=True)
class Topic:
    """One kind of problem.

    ``text`` holds symbols in braces, replaced by number and unit. ``conditions`` are formulas over the SI values that
    must be positive, else another draw is made. ``engine`` gives the engine's own numbers [SI] for symbols of the
    lines; ``agrees`` is the share by which a line may differ from it where that is more than rounding, with the reason
    in a comment beside it.
    """

    key: str
    title: str
    text: str
    givens: tuple[GivenNumber, ...]
    looked_up: tuple[LookedUp, ...]
    lines: tuple[SolutionLine, ...]
    asked: tuple[str, ...]
    hints: tuple[str, ...]
    slips: tuple[Slip, ...]
    conditions: tuple[str, ...]
    engine: Callable[[SiValues], SiValues]
    agrees: Mapping[str, float] = field(default_factory=dict)
