"""Cores that fit into a room, evaluated many at once: how hot each duty gets with them, and how likely it holds.

The duties nearest to their limits are asked first: a core that fails there is asked for no other. Near the wanted
probability a core is asked with the points of a check's second look, so that search and check say the same.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import cached_property
from itertools import pairwise, product
from typing import Any, TypeVar

import numpy as np

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.case.whole import fans_that_fit
from engcalc.components.core import core_mass
from engcalc.errors import InputError
from engcalc.properties.material import MATERIALS, Material
from engcalc.studies.check import check
from engcalc.studies.checked import Check
from engcalc.studies.choice.core_builds import MM, Build, Core, Room, Shape, with_core
from engcalc.studies.choice.sizing import settled
from engcalc.studies.crew import Asked, Crew, GoOn, nobody_stops_it
from engcalc.studies.duties.course import chains
from engcalc.studies.duties.duty_model import (
    MEMBERS,
    DutyOdds,
    SecondLooks,
    coolant_limits,
    for_search,
    spread_of,
    with_duties,
)
from engcalc.studies.members import solve_duty, varied
from engcalc.studies.spread.uncertainty import Spread, draw
from engcalc.studies.sweeps import duty_name
from engcalc.system.plant import prepare
from engcalc.system.state import OperatingPoint
from engcalc.units import Array

ROWS = (1, 2, 3, 4)
TUBE_WIDTHS = (
    0.016,
    0.020,
    0.022,
    0.026,
    0.032,
    0.036,
    0.042,
    0.048,
)  # m; sizes of the trade; common practice, no source
FINS_PER_INCH = (10, 12, 14, 16, 18, 20, 22)  # sizes of the trade; common practice, no source
INCH = 0.0254  # m
PASSES = (1, 2)
TUBES_OF_PASS = 2  # in a row, at least; common practice, no source
GUESSING = 64  # members from which the margin that a build needs is guessed
UNSURE = 0.05  # -; by which a probability by the usual members may be off, about twice its standard error at 80 to 90 %
MORE_MEMBERS, JUST_UNDER = 600, 0.03  # a closer look at the hardest duties, off by so much at most
NEAR = 3.0  # K; by how much a core may miss the margin guessed and still be asked
SOME_SIZES = 8  # faces of one build that are asked together, a tube in each row apart
COOL = 8.0  # K; a duty with so much more margin than the hardest of its group is left for later
SIZES = 4  # faces of each build that the front is chosen from
WORTH_PARTING = 1200  # members of a duty; fewer take less time together than in two parts
WORTH_PARTING_SETTLED = 400  # cores; the same of cores that are asked without draws
MOST_DRAWN = 3200  # members of each duty that are solved together: about a second, after which somebody may stop it
SEED = 1  # of a check, as everywhere
Mask = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]


class Least(StrEnum):
    """What is to be least; the words of the command line."""

    VOLUME = "volume"
    MASS = "mass"


Tried = tuple[tuple[int, ...], tuple[float, ...], tuple[int, ...], tuple[int, ...]]
"""Rows, widths of tubes [m], fins to the inch and passes, of which every combination is tried."""


def all_tried() -> Tried:
    """What a search tries."""
    return ROWS, TUBE_WIDTHS, FINS_PER_INCH, PASSES


ALONE = Crew(1)
T = TypeVar("T")
Looks = dict[int, DutyOdds]
"""Second looks at the duties of a case, by index."""
Needed = Mapping[Build, Array]
"""The nominal margin [K] from which the duties hold with the wanted probability, by build."""


def _like(build: Build) -> tuple[int, int, float]:
    """What builds that are about equally uncertain have in common: rows, passes, width of a tube."""
    return build.rows, build.passes, build.tube_width


@dataclass(frozen=True)
class CoreOption:
    """A core and what it does in the duty that is least sure: the one that holds with the least probability.

    ``mass`` [kg]; ``margin`` [K], ``probability`` of holding [-], the drops [Pa] and the power [W] that the fans give
    the air are those of that duty, named ``least_sure``. It need not be the one of least margin, which speaks for the
    verdict: an idle that its fan holds is near to its limit and sure.
    """

    core: Core
    mass: float
    margin: float
    probability: float
    least_sure: str
    air_drop: float
    coolant_drop: float
    fan_air_power: float

    @property
    def volume(self) -> float:
        """Volume of the core [m3]."""
        return self.core.volume


@dataclass(frozen=True, eq=False)
class CoreSearch:
    """What is sought, for what, where; cores are evaluated here, many at once.

    ``go_on`` is called about once a second and raises Cancelled where nobody waits any more. ``crew`` does parts beside
    this process; it does not go over to another one, where a search does its part alone.
    """

    text: CaseText
    case: Case
    room: Room
    wanted: Least
    as_it_was: Case | None = None  # before anything beside the core moved; None where nothing does
    of: tuple[int, ...] | None = None  # the duties that are asked, as the text numbers them; None for all
    go_on: GoOn = nobody_stops_it
    crew: Crew | None = None
    tried: Tried = field(default_factory=all_tried)  # goes along to another process

    def __getstate__(self) -> dict[str, Any]:
        """What goes over to another process: what is known, without who waits, who helps, and the check before."""
        _ = self._with_some_core
        stays = ("before", "_before_asked")
        known = {name: value for name, value in vars(self).items() if name not in stays}
        return {**known, "go_on": nobody_stops_it, "crew": None}

    def ask(self, question: str, *given: Any) -> Asked[Any]:
        """Have a method of this search answered, by the crew meanwhile or here once it is wanted."""
        return (self.crew or ALONE).ask(_answered, self, question, given)

    def asked_of(self, work: Callable[..., T], *given: Any) -> Asked[T]:
        """The same of a question that another module puts to this search."""
        return (self.crew or ALONE).ask(work, self, *given)

    def answers(self, question: str, parts: Sequence[tuple[Any, ...]]) -> list[Any]:
        """A method's answers to several questions."""
        asked = [self.ask(question, *given) for given in parts]
        return [one.result(self.go_on) for one in asked]

    @property
    def pitch(self) -> float:
        """From tube to tube [m]."""
        return float(self.case.radiator.tube_pitch[0])

    @property
    def most_tubes(self) -> int:
        """Tubes in a row that the room's height takes."""
        return int(np.floor(self.room.height / self.pitch + 1e-6))

    @cached_property
    def groups(self) -> tuple[tuple[int, ...], ...]:
        """Duties that follow one another, by index; those nearest to their limit first."""
        margin = self.margins_now
        return tuple(sorted((c.duties for c in chains(self.case.duties)), key=lambda of: margin[list(of)].min()))

    @cached_property
    def margins_now(self) -> Array:
        """Margin [K] of every duty with the case's own core."""
        return settled(varied(self.case, {})).margin[:, 0]

    @cached_property
    def hardest(self) -> CoreSearch:
        """The search for the first group alone, without the cool duties at its end: what comes after tells nothing."""
        of = self.groups[0]
        margin = self.margins_now
        if self.case.duties[of[0]].start == "round":
            return self.parts[0]
        hot = [k for k, i in enumerate(of) if margin[i] < margin[list(of)].min() + COOL]
        return self.part(of[: hot[-1] + 1])

    @cached_property
    def parts(self) -> tuple[CoreSearch, ...]:
        """The same search for each group of duties alone."""
        return tuple(self.part(of) for of in self.groups)

    def part(self, of: Sequence[int]) -> CoreSearch:
        """The same search for some of the duties alone."""
        return replace(self, case=with_duties(self.case, of), of=tuple(of))

    def in_room(self, room: Room) -> CoreSearch:
        """The same search in another room. What does not hang on the room is not asked again."""
        other = replace(self, room=room)
        kept = ("groups", "parts", "hardest", "margins_now", "ua_scale", "_with_some_core")
        vars(other).update({name: getattr(self, name) for name in kept})
        return other

    @cached_property
    def before(self) -> Check:
        """The check of the case as it is, before anything moved."""
        return self._before_asked.result(self.go_on)

    @cached_property
    def _before_asked(self) -> Asked[Check]:
        return self.ask("check_of", self.case if self.as_it_was is None else self.as_it_was)

    def begin(self) -> None:
        """Have done what will be wanted whatever is found."""
        if self.crew is not None:
            _ = self._before_asked

    @cached_property
    def ua_scale(self) -> Array:
        """Factor on the conductance that the case's own core has [-]."""
        return prepare(self.case).known_scale

    def builds(self) -> list[Build]:
        """Every build that fits into the room."""
        tall = float(self.case.radiator.tube_height[0])
        rows, widths, fins, passes = self.tried
        density = sorted({n / INCH for n in fins})
        shapes = tuple(Shape)
        every = (Build(*one) for one in product(rows, widths, density, passes, shapes))
        return [
            b
            for b in every
            if b.depth <= self.room.depth + 1e-9 and b.tube_width > tall and self.most_tubes >= b.passes
        ]

    def core(self, build: Build, tubes: int) -> Core:
        """The core of a build with so many tubes in each row; its width in whole millimetres."""
        share = tubes / self.most_tubes if build.shape is Shape.IN_PROPORTION else 1.0
        width = max(np.floor(share * self.room.width / MM + 1e-6), 20.0) * MM
        return Core(build, tubes, tubes * self.pitch, float(width))

    def margins(self, cores: Sequence[Core]) -> Array:
        """Margin [K] of every duty with each core, of what it would come to where it boils; shape (duties, cores)."""
        parts = in_parts(cores, 1, WORTH_PARTING_SETTLED)
        return np.concatenate(self.answers("margins_of_part", [(part,) for part in parts]), axis=1)

    def margins_of_part(self, cores: Sequence[Core]) -> Array:
        """The same of cores that are solved together."""
        return settled(varied(self.case, self.values(cores)), len(cores)).margin

    def values(self, cores: Sequence[Core]) -> dict[str, Array]:
        """The inputs of a case that make these cores, as the members of an ensemble."""
        of = {
            "core_height": [c.height for c in cores],
            "core_width": [c.width for c in cores],
            "core_depth": [c.build.depth for c in cores],
            "tube_rows": [float(c.build.rows) for c in cores],
            "tube_width": [c.build.tube_width for c in cores],
            "fin_pitch": [1.0 / c.build.fin_density for c in cores],
            "passes": [float(c.build.passes) for c in cores],
        }
        values = {f"radiator.{name}": np.array(column) for name, column in of.items()}
        return {**values, "radiator.ua_scale": self.ua_scale}

    def whole(self, builds: Sequence[Build]) -> list[Core]:
        """The largest core of each build. Both shapes fill the room alike, so that there is one core for the two."""
        alike = dict.fromkeys(replace(build, shape=Shape.IN_PROPORTION) for build in builds)
        return [self.core(build, self.most_tubes) for build in alike]

    def least_faces(self, builds: Sequence[Build], needed: Needed) -> list[Core]:
        """Of each build that holds at all its smallest core, by halving the number of tubes."""
        whole = self.whole(builds)
        holds = {core.build for core, good in zip(whole, self.holds(whole, needed), strict=True) if good}
        kept = [b for b in builds if replace(b, shape=Shape.IN_PROPORTION) in holds]
        high = np.full(len(kept), self.most_tubes)
        low = np.array([b.passes - 1 for b in kept])  # a core of ``low`` tubes does not hold
        while kept and (high - low > 1).any():
            middle = np.where(high - low > 1, (high + low) // 2, high)
            good = self.holds([self.core(b, int(n)) for b, n in zip(kept, middle, strict=True)], needed)
            high = np.where(good, middle, high)
            low = np.where(good, low, middle)
            low = np.minimum(low, high - 1)
        return [self.core(b, int(n)) for b, n in zip(kept, high, strict=True)]

    def holds(self, cores: Sequence[Core], needed: Needed) -> Mask:
        """Which cores have the margin that is needed in every duty."""
        return np.asarray(self.lacks(cores, needed, 0.0) <= 0.0)

    def lacks(self, cores: Sequence[Core], needed: Needed, bound: float) -> Array:
        """The most margin [K] that a duty misses with each core.

        A core that misses more than ``bound`` in one duty is not asked for those after it.
        """
        worst = np.where(self.carries_fans(cores), -np.inf, np.inf)
        for duties, part in zip(self.groups, self.parts, strict=True):
            asked = np.flatnonzero(worst <= bound)
            if asked.size == 0:
                break
            self.go_on()
            some = [cores[int(i)] for i in asked]
            wanted = np.stack([needed[core.build][list(duties)] for core in some], axis=1)
            lack = np.maximum(wanted, self.case.limits.margin) - part.margins(some)
            worst[asked] = np.maximum(worst[asked], lack.max(axis=0))
        return worst

    def missing(self, cores: Sequence[Core], needed: Needed) -> Array:
        """By how much each duty misses the margin that is needed [K]; shape (duties, cores)."""
        wanted = np.stack([needed[core.build] for core in cores], axis=1)
        lacks = np.maximum(wanted, self.case.limits.margin) - self.margins(cores)
        return np.asarray(np.where(self.carries_fans(cores), lacks, np.inf))

    def given_off(self, cores: Sequence[Core], duty_index: int) -> Array:
        """Heat [W] that each core gives off in a duty, settled or boiling."""
        point = solve_duty(varied(self.case, self.values(cores)), duty_index)
        return np.asarray(np.broadcast_to(point.radiator_heat, (len(cores),)))

    def carries_fans(self, cores: Sequence[Core]) -> Mask:
        """On which cores the fans fit side by side; on all where nobody stated their diameter."""
        air = self.case.airflow
        if air.fan_diameter is None or air.fan_drive == "none":
            return np.ones(len(cores), dtype=np.bool_)
        sizes = (np.array([getattr(core, side) for core in cores]) for side in ("height", "width"))
        return np.asarray(fans_that_fit(air.fan_diameter, *sizes) >= air.fan_count)

    def first_needed(self, builds: Sequence[Build]) -> dict[Build, Array]:
        """A first guess at the margin that each build needs: what the one with the finest fins of its like needs."""
        finest = {_like(b): b for b in sorted(builds, key=lambda b: b.fin_density)}
        over = self.over_nominal([self.core(build, self.most_tubes) for build in finest.values()])
        guesses = {like: over[:, k] for k, like in enumerate(finest)}
        return {b: guesses[_like(b)] for b in builds}

    def over_nominal(self, cores: Sequence[Core]) -> Array:
        """How far over its nominal peak [K] the wanted share of a duty's members stays; shape (duties, cores).

        Both as if nothing boiled: at boiling all members would be alike.
        """
        nominal = coolant_limits(self.case)[:, None] - self.margins(cores)
        parts = in_parts(cores, GUESSING, WORTH_PARTING)
        share = np.concatenate(self.answers("peaks_of_share", [(part,) for part in parts]), axis=1)
        return np.asarray(share - nominal)

    def peaks_of_share(self, cores: Sequence[Core]) -> Array:
        """Peaks [K] under which the wanted share of each duty's members stays, as if nothing boiled."""
        peaks = self._drawn(cores, GUESSING, boils=False).peak.reshape(len(self.case.duties), len(cores), GUESSING)
        return np.asarray(np.quantile(peaks, float(self.case.limits.confidence[0]), axis=2))

    def likely(self, cores: Sequence[Core]) -> Mask:
        """Which cores hold every duty with the wanted probability as far as draws tell."""
        return self.over_wanted(cores) >= 0.0

    def over_wanted(self, cores: Sequence[Core]) -> Array:
        """By how much [-] the hardest duties of each core hold more probably than wanted, by draws.

        -inf of a core that fewer draws have refused, in those or in other duties.
        """
        over = np.where(self.carries_fans(cores), 0.0, -np.inf)
        hardest = self.hardest
        looks = [(hardest, MEMBERS, UNSURE), (hardest, MORE_MEMBERS, JUST_UNDER)]
        whole = len(hardest.case.duties) == len(self.groups[0])
        looks += [(part, MEMBERS, UNSURE) for part in self.parts[1 if whole else 0 :]]
        for part, members, slack in looks:
            asked = np.flatnonzero(over > -np.inf)
            if asked.size == 0:
                break
            found = part.probabilities([cores[int(i)] for i in asked], members) - self.case.limits.confidence
            least = found.min(axis=0)
            if members == MORE_MEMBERS:
                over[asked] = least
            over[asked[least < -slack]] = -np.inf
        return over

    def sure(self, core: Core) -> Looks | None:
        """Looks at the hardest duties with a core that holds them with the wanted probability; None else.

        The hardest of them is asked first.
        """
        self.go_on()
        wanted = float(self.case.limits.confidence[0])
        second = SecondLooks(self.with_core(core), wanted)
        duties = sorted(self.groups[0], key=lambda i: float(self.margins_now[i]))
        holds = all(second.at(i, step=self._step).chance.probability >= wanted for i in duties)
        return second.had if holds else None

    def _step(self, _share: float) -> None:
        self.go_on()

    def with_core(self, core: Core) -> Case:
        """The case with a core in it."""
        return resolved_case(with_core(self.text, self.case, core))

    def chance(self, core: Core, duty_index: int) -> float:
        """How likely [-] a duty with a core holds, by the points of a check's second look."""
        self.go_on()
        second = SecondLooks(self.with_core(core), float(self.case.limits.confidence[0]))
        return second.at(duty_index, step=self._step).chance.probability

    def checked(self, core: Core, looks: Looks | None = None) -> Check:
        """The check of the case with a core in it; ``looks`` are what :meth:`sure` gave."""
        return self.check_of(self.with_core(core), looks)

    def check_of(self, case: Case, looks: Looks | None = None) -> Check:
        """The check of a case with something changed."""
        self.go_on()
        return check(case, progress=self._step, looks=looks)

    def near(self, cores: Sequence[Core], needed: Needed) -> list[Core]:
        """The cores that may hold, smallest first: the margin needed is a guess."""
        lacks = self.lacks(cores, needed, NEAR) if cores else np.zeros(0)
        return self.smallest([core for core, lack in zip(cores, lacks, strict=True) if lack < NEAR])

    def shrunk(self, core: Core) -> Core:
        """The smallest core of the same build that holds with the wanted probability, one that holds given.

        A few sizes at a time, until one is not likely: more face never makes a duty hotter.
        """
        sizes = [core]
        first = core.tubes
        while first > TUBES_OF_PASS * core.build.passes:
            last = first
            first = max(first - SOME_SIZES, TUBES_OF_PASS * core.build.passes)
            smaller = [self.core(core.build, n) for n in range(first, last)]
            likely = [c for c, over in zip(smaller, self.over_wanted(smaller), strict=True) if over > -np.inf]
            sizes = [*likely, *sizes]
            if smaller[0] not in likely:  # nor is one that is smaller still
                break
        low = -1
        high = len(sizes) - 1
        while high - low > 1:
            middle = (high + low) // 2
            high, low = (middle, low) if self.sure(sizes[middle]) is not None else (high, middle)
        return sizes[high]

    def smaller(self, builds: Sequence[Build], than: float) -> list[Core]:
        """Of each build the largest core whose volume or mass is below a given one, where there is any."""
        found = []
        for build in builds:
            sizes = [self.core(build, n) for n in range(build.passes, self.most_tubes + 1)]
            below = [c for c, size in zip(sizes, self.sizes_of(sizes), strict=True) if size < than * (1.0 - 1e-9)]
            found += below[-1:]
        return found

    @cached_property
    def _with_some_core(self) -> Case:
        """The case with a core of the choice typed in: what is typed is surer than what is typical of the class."""
        changed = self.with_core(self.whole(self.builds())[0])
        return changed if self.of is None else with_duties(changed, self.of)

    def _drawn(
        self, cores: Sequence[Core], members: int, *, boils: bool = True, wanted: Sequence[int] | None = None
    ) -> Spread:
        """What the inputs' uncertainty makes of each core: core by core, so many members."""
        self.go_on()
        held = varied(self._with_some_core, {})  # the stated flows count with the case's own core
        variants = {path: v for path, v in self.values(cores).items() if path != "radiator.ua_scale"}
        drawn = draw(held, conditions_of(held.duties), members, SEED, variants)
        solver = for_search(held, boils=boils, wanted=wanted)
        return spread_of(held, drawn, coolant_limits(held), solver, boils=boils, wanted=wanted)

    def probabilities(
        self, cores: Sequence[Core], members: int = MEMBERS, wanted: Sequence[int] | None = None
    ) -> Array:
        """Probability of holding of every duty with each core by so many draws; shape (duties, cores).

        Of the duties only those ``wanted`` where they are named; what stands for the others tells nothing.
        """
        parts = in_parts(cores, members, WORTH_PARTING)
        return np.concatenate(self.answers("held_of_part", [(part, members, wanted) for part in parts]), axis=1)

    def held_of_part(self, cores: Sequence[Core], members: int, wanted: Sequence[int] | None) -> Array:
        """The same of cores that are solved together."""
        held = self._drawn(cores, members, wanted=wanted).holds
        return np.asarray(held.reshape(len(self.case.duties), len(cores), members).mean(axis=2))

    def larger(self, cores: Sequence[Core], least: Core, needed: Needed) -> list[Core]:
        """The cores that hold and larger ones of their builds, up to the room; none that is smaller than the least."""
        found = set()
        for core in cores:
            for tubes in np.linspace(core.tubes, self.most_tubes, SIZES).round().astype(int):
                found.add(self.core(core.build, int(tubes)))
        larger = sorted((c for c in found if c.volume >= least.volume * (1.0 - 1e-9)), key=order_of)
        if larger:
            return [c for c, good in zip(larger, self.holds(larger, needed), strict=True) if good]
        return []

    def point(self, cores: Sequence[Core]) -> OperatingPoint:
        """The settled point of the hottest duty with each core."""
        hottest = int(np.argmin(self.margins(cores[:1])[:, 0]))
        return solve_duty(varied(self.case, self.values(cores)), hottest)

    def smallest(self, cores: Sequence[Core]) -> list[Core]:
        """The cores by what is to be least."""
        sized = zip(self.sizes_of(cores), cores, strict=True)
        return [c for _, c in sorted(sized, key=lambda pair: (pair[0], *order_of(pair[1])))]

    def size_of(self, core: Core) -> float:
        """What is to be least: volume [m3] or mass [kg]."""
        return self.sizes_of([core])[0]

    def sizes_of(self, cores: Sequence[Core]) -> list[float]:
        """The same of several cores."""
        by_volume = self.wanted is Least.VOLUME or not cores
        if by_volume:
            return [c.volume for c in cores]
        return [float(m) for m in self.masses(cores)]

    def masses(self, cores: Sequence[Core]) -> Array:
        """Mass of tubes and fins [kg]."""
        fin, tube = _METALS[self.case.radiator.material]
        plant = prepare(varied(self.case, self.values(cores)))
        mass = core_mass(plant.core, MATERIALS[fin].rho, MATERIALS[tube].rho)
        return np.asarray(np.broadcast_to(mass, (len(cores),)))

    def options(self, cores: Sequence[Core]) -> list[CoreOption]:
        """What each core does."""
        margins = self.margins(cores)
        masses = self.masses(cores)
        hardest = list(self.groups[0])
        others = [i for i in range(len(self.case.duties)) if i not in hardest]
        odds = self.probabilities(cores, wanted=others)
        odds[hardest] = self.parts[0].probabilities(cores, MORE_MEMBERS)
        changed = varied(self.case, self.values(cores))
        points = [solve_duty(changed, i) for i in range(len(self.case.duties))]
        doubtful = [min(range(len(points)), key=lambda d: (odds[d, k], margins[d, k])) for k in range(len(cores))]
        return [
            self._option(core, k, d, float(margins[d, k]), float(odds[d, k]), float(masses[k]), points[d])
            for k, (core, d) in enumerate(zip(cores, doubtful, strict=True))
        ]

    def _option(
        self, core: Core, k: int, doubtful: int, margin: float, probability: float, mass: float, point: OperatingPoint
    ) -> CoreOption:
        return CoreOption(
            core=core,
            mass=mass,
            margin=margin,
            probability=probability,
            least_sure=duty_name(self.case, doubtful),
            air_drop=_member_of(point.core.dp_air, k),
            coolant_drop=_member_of(point.core.coolant_drop.dp, k),
            fan_air_power=max(_member_of(point.fan_flow, k) * _member_of(point.fan_pressure, k), 0.0),
        )


_METALS: Mapping[str, tuple[Material, Material]] = {
    "aluminium": (Material.ALUMINIUM, Material.ALUMINIUM),
    "copper-brass": (Material.COPPER, Material.BRASS),
}
"""What fins and tubes are made of."""


def _member_of(values: Array, k: int) -> float:
    return float(values[k] if values.size > 1 else values[0])


def order_of(core: Core) -> tuple[float, int, float, float, int, str]:
    """One order of cores, smallest first, the same every time."""
    b = core.build
    return core.volume, b.rows, b.tube_width, b.fin_density, b.passes, b.shape.value


def in_parts(cores: Sequence[Core], members: int, worth_it: int) -> list[list[Core]]:
    """Cores in parts that are solved together, of about equal size: two or more where that is worth it.

    They hang on nothing but the cores: what is solved together agrees in all but the last digits with what is not.
    """
    asked = len(cores) * members
    pairs = -(-asked // (2 * MOST_DRAWN))  # so many pairs of parts, none larger than what is solved together
    many = min(2 * pairs if asked >= min(worth_it, MOST_DRAWN) else 1, len(cores))
    ends = np.linspace(0, len(cores), many + 1).round().astype(int)
    return [list(cores[low:high]) for low, high in pairwise(ends)]


def _answered(search: CoreSearch, question: str, given: tuple[Any, ...]) -> Any:
    """A method of a search, asked by its name: in this process or another."""
    return getattr(search, question)(*given)


def resolved_case(text: CaseText) -> Case:
    case = resolve(text)
    if not isinstance(case, Case):
        raise InputError(case.faults)
    return case
