"""The least core that holds: of all cores that fit into the room there is, the smallest that keeps every limit.

Every build (rows of tubes, width of a tube, fins to the inch, passes, shape of the face) is tried. How much margin a
build needs for the wanted probability is guessed from ensembles of uncertain inputs, of one build for each number of
rows and passes and each width of tube. Then the smallest face of each build that has its margin is found by halving,
whole tubes at a time: more face never makes a duty hotter. All builds go through it together. From the smallest that
a check passes the search goes on: of every other build the largest core that is still smaller is asked with as many
members as a check has, until none holds. So the search covers everything that it tries, and gives the same answer
every time.

"Holds" is what ``check`` says of the changed case, and it is ``check`` that says it of the leading builds: every duty
keeps its limit with the margin wanted and with the wanted probability, nothing is overcooled that was not before, and a
cabin that got warm enough still does.

Mass is that of tubes and fins, without tanks.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import product

import numpy as np

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.case.whole import fans_that_fit
from engcalc.components.core import core_mass
from engcalc.errors import Cancelled, InputError, InputFault
from engcalc.properties.material import MATERIALS, Material
from engcalc.studies.check import check, coolant_limits, spread_of
from engcalc.studies.checked import Check, DutyCheck
from engcalc.studies.core_builds import MM, Build, Core, Room, Shape, with_core
from engcalc.studies.members import Progress, Stop, solve_duty, varied
from engcalc.studies.sizing import Option, generic_changes, settled, tried
from engcalc.studies.sweeps import duty_name
from engcalc.studies.uncertainty import Spread, draw
from engcalc.studies.what_limits import what_limits
from engcalc.system.plant import prepare
from engcalc.system.state import OperatingPoint
from engcalc.units import Array
from engcalc.verdict import Finding, Verdict

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
MOST_CHECKS = 4  # faces of one build that are checked before it is given up
TOGETHER = 40  # cores whose members are solved together
MEMBERS = 200  # of a check, as everywhere
TURNS = 8  # of the search for something smaller still
NEAR = 3.0  # K; by how much a core may miss the margin guessed and still be asked
SIZES = 4  # faces of each build that the front is chosen from
FRONT = 24  # cores of the front that are kept
LARGEST_GROWTH, GROWTH_STEPS = 1.0, 20  # of the room, where nothing fits: up to twice as much, 5 % at a time
SEED = 1  # of a check, as everywhere
Mask = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]


class Least(StrEnum):
    """What is to be least; the words of the command line."""

    VOLUME = "volume"
    MASS = "mass"


Needed = Mapping[Build, Array]
"""The nominal margin [K] from which the duties hold with the wanted probability, by build."""


def _like(build: Build) -> tuple[int, int, float]:
    """What builds that are about equally uncertain have in common: rows, passes, width of a tube."""
    return build.rows, build.passes, build.tube_width


@dataclass(frozen=True)
class CoreOption:
    """A core and what it does in the duty that decides: the one that holds with the least probability.

    ``mass`` [kg]; ``margin`` [K], ``probability`` of holding [-], the drops [Pa] and the power [W] that the fans give
    the air are those of that duty, named ``decides``.
    """

    core: Core
    mass: float
    margin: float
    probability: float
    decides: str
    air_drop: float
    coolant_drop: float
    fan_air_power: float

    @property
    def volume(self) -> float:
        """Volume of the core [m3]."""
        return self.core.volume


@dataclass(frozen=True)
class Growth:
    """By what factor [-] one dimension of the room would have to grow; None where twice as much does not do."""

    dimension: str
    factor: float | None


@dataclass(frozen=True)
class NothingFits:
    """Why no core in the room holds: the one that misses least, by how much, what limits it, and what would relax it.

    ``short`` [K] of margin is missing in ``duty`` with it; ``changes`` are single changes that gain that much.
    """

    best: Core
    duty: str
    short: float
    limits: Finding | None
    growths: tuple[Growth, ...]
    changes: tuple[Option, ...]


@dataclass(frozen=True, eq=False)
class LeastCore:
    """The answer. ``least`` and ``checked`` are None where nothing fits, and ``nothing_fits`` then says why.

    ``text`` is the case with the core in it, ``checked`` its check; ``probability`` the least of its duties [-].
    ``front`` has cores of which none is better in all of volume, air drop, coolant drop and margin.
    """

    room: Room
    wanted: Least
    builds: int
    least: CoreOption | None
    text: CaseText | None
    checked: Check | None
    front: tuple[CoreOption, ...]
    nothing_fits: NothingFits | None

    @property
    def probability(self) -> float | None:
        """The least probability of holding over the duties [-]; None where nothing fits."""
        if self.checked is None:
            return None
        return min((d.holds_probability for d in self.checked.duties if d.holds_probability is not None), default=None)


def least_core(
    text: CaseText,
    room: Room,
    wanted: Least = Least.VOLUME,
    *,
    progress: Progress = None,
    cancelled: Stop = None,
) -> LeastCore:
    """The least core with which every duty of a case holds, and the front of those that hold.

    Raises InputError where the case is at fault or no build fits into the room at all, Cancelled.
    """
    case = _resolved(text)
    _tell(progress, cancelled, 0.0)
    search = CoreSearch(case, room, wanted)
    found = search.builds()
    if not found:
        raise InputError((InputFault("limits.room_depth", f"{room.depth / MM:.0f} mm", _least_room(search)),))
    needed: Needed = search.first_needed(found)
    _tell(progress, cancelled, 0.2)
    ranked = search.smallest(search.least_faces(found, needed))
    _tell(progress, cancelled, 0.35)
    first = _first(search, ranked) or _first(search, search.near(search.whole(found), needed))
    checked = None if first is None else _confirmed(text, search, search.shrunk(first))
    if checked is None:
        return LeastCore(room, wanted, len(found), None, None, None, (), _nothing_fits(search, found, needed))
    least, made_sure = _improved(text, search, found, needed, checked, progress, cancelled)
    option = search.options([least])[0]
    front = _front(search, option, search.larger(ranked, least, needed))
    _tell(progress, cancelled, 1.0)
    return LeastCore(room, wanted, len(found), option, with_core(text, case, least), made_sure, front, None)


def _first(search: CoreSearch, ranked: Sequence[Core]) -> Core | None:
    """The smallest of a ranking that holds with the wanted probability; None where none does."""
    for start in range(0, len(ranked), TOGETHER):
        some = ranked[start : start + TOGETHER]
        sure = search.sure(some)
        if sure.any():
            return some[int(np.argmax(sure))]
    return None


def _improved(
    text: CaseText,
    search: CoreSearch,
    builds: Sequence[Build],
    needed: Needed,
    first: tuple[Core, Check],
    progress: Progress,
    cancelled: Stop,
) -> tuple[Core, Check]:
    """The least core from a first one on: whatever build still holds when it is smaller takes its place."""
    best = first
    for turn in range(TURNS):
        _tell(progress, cancelled, 0.4 + 0.4 * turn / TURNS)
        smaller = search.smaller(builds, search.size_of(best[0]))
        core = _first(search, search.near(smaller, needed))
        found = None if core is None else _confirmed(text, search, search.shrunk(core))
        if found is None or search.size_of(found[0]) >= search.size_of(best[0]):
            return best
        best = found
    return best


def _least_room(search: CoreSearch) -> str:
    return f"at least {(min(TUBE_WIDTHS) / MM):.0f} mm deep and {search.pitch / MM:.1f} mm high would do"


def _resolved(text: CaseText) -> Case:
    case = resolve(text)
    if not isinstance(case, Case):
        raise InputError(case.faults)
    return case


@dataclass(frozen=True, eq=False)
class CoreSearch:
    """What is sought, for what, where; cores are evaluated here, many at once."""

    case: Case
    room: Room
    wanted: Least

    @property
    def pitch(self) -> float:
        """From tube to tube [m]."""
        return float(self.case.radiator.tube_pitch[0])

    @property
    def most_tubes(self) -> int:
        """Tubes in a row that the room's height takes."""
        return int(np.floor(self.room.height / self.pitch + 1e-6))

    def builds(self) -> list[Build]:
        """Every build that fits into the room."""
        tall = float(self.case.radiator.tube_height[0])
        density = sorted({n / INCH for n in FINS_PER_INCH})
        shapes = tuple(Shape)
        every = (Build(*one) for one in product(ROWS, TUBE_WIDTHS, density, PASSES, shapes))
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
        return {**values, "radiator.ua_scale": prepare(self.case).ua_scale}

    def whole(self, builds: Sequence[Build]) -> list[Core]:
        """The largest core of each build."""
        return [self.core(build, self.most_tubes) for build in builds]

    def least_faces(self, builds: Sequence[Build], needed: Needed) -> list[Core]:
        """Of each build that holds at all its smallest core, by halving the number of tubes."""
        holds = self.holds(self.whole(builds), needed)
        kept = [b for b, good in zip(builds, holds, strict=True) if good]
        high = np.full(len(kept), self.most_tubes)
        low = np.array([b.passes - 1 for b in kept])  # a core of ``low`` tubes does not hold
        while kept and (high - low > 1).any():
            middle = np.where(high - low > 1, (high + low) // 2, high)
            good = self.holds([self.core(b, int(n)) for b, n in zip(kept, middle, strict=True)], needed)
            high, low = np.where(good, middle, high), np.where(good, low, middle)
            low = np.minimum(low, high - 1)
        return [self.core(b, int(n)) for b, n in zip(kept, high, strict=True)]

    def holds(self, cores: Sequence[Core], needed: Needed) -> Mask:
        """Which cores have the margin that is needed in every duty."""
        return np.asarray((self.missing(cores, needed) <= 0.0).all(axis=0))

    def missing(self, cores: Sequence[Core], needed: Needed) -> Array:
        """By how much each duty misses the margin that is needed [K]; shape (duties, cores)."""
        wanted = np.stack([needed[core.build] for core in cores], axis=1)
        lacks = np.maximum(wanted, self.case.limits.margin) - self.margins(cores)
        return np.asarray(np.where(self.carries_fans(cores), lacks, np.inf))

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
        over = self.over_nominal(self.whole(list(finest.values())))
        guesses = {like: over[:, k] for k, like in enumerate(finest)}
        return {b: guesses[_like(b)] for b in builds}

    def over_nominal(self, cores: Sequence[Core]) -> Array:
        """How far over its nominal peak [K] the wanted share of a duty's members stays; shape (duties, cores)."""
        nominal = coolant_limits(self.case)[:, None] - self.margins(cores)
        peaks = self._drawn(cores).peak.reshape(*nominal.shape, MEMBERS)
        return np.asarray(np.quantile(peaks, float(self.case.limits.confidence[0]), axis=2) - nominal)

    def sure(self, cores: Sequence[Core]) -> Mask:
        """Which cores hold every duty with the wanted probability."""
        likely = (self.probabilities(cores) >= self.case.limits.confidence).all(axis=0)
        return np.asarray(likely & self.carries_fans(cores))

    def near(self, cores: Sequence[Core], needed: Needed) -> list[Core]:
        """The cores that may hold, smallest first: the margin needed is a guess."""
        lacks = self.missing(cores, needed).max(axis=0) if cores else np.zeros(0)
        return self.smallest([core for core, lack in zip(cores, lacks, strict=True) if lack < NEAR])

    def shrunk(self, core: Core) -> Core:
        """The smallest core of the same build that holds with the wanted probability, one that holds given."""
        high, low = core.tubes, core.build.passes - 1
        while high - low > 1:
            middle = (high + low) // 2
            high, low = (middle, low) if self.sure([self.core(core.build, middle)]).all() else (high, middle)
        return self.core(core.build, high)

    def smaller(self, builds: Sequence[Build], than: float) -> list[Core]:
        """Of each build the largest core whose volume or mass is below a given one, where there is any."""
        found = []
        for build in builds:
            sizes = [self.core(build, n) for n in range(build.passes, self.most_tubes + 1)]
            below = [c for c, size in zip(sizes, self.sizes_of(sizes), strict=True) if size < than * (1.0 - 1e-9)]
            found += below[-1:]
        return found

    def _drawn(self, cores: Sequence[Core]) -> Spread:
        """What the inputs' uncertainty makes of each core: core by core, the members of a check."""
        held = varied(self.case, {})  # the stated flows count with the case's own core
        variants = {path: v for path, v in self.values(cores).items() if path != "radiator.ua_scale"}
        return spread_of(held, draw(held, conditions_of(held.duties), MEMBERS, SEED, variants), coolant_limits(held))

    def probabilities(self, cores: Sequence[Core]) -> Array:
        """Probability of holding of every duty with each core; shape (duties, cores)."""
        held = self._drawn(cores).holds
        return np.asarray(held.reshape(len(self.case.duties), len(cores), MEMBERS).mean(axis=2))

    def larger(self, cores: Sequence[Core], least: Core, needed: Needed) -> list[Core]:
        """The cores that hold and larger ones of their builds, up to the room; none that is smaller than the least."""
        found = set()
        for core in cores:
            for tubes in np.linspace(core.tubes, self.most_tubes, SIZES).round().astype(int):
                found.add(self.core(core.build, int(tubes)))
        larger = sorted((c for c in found if c.volume >= least.volume * (1.0 - 1e-9)), key=_order)
        return [c for c, good in zip(larger, self.holds(larger, needed), strict=True) if good] if larger else []

    def point(self, cores: Sequence[Core]) -> OperatingPoint:
        """The settled point of the hottest duty with each core."""
        hottest = int(np.argmin(self.margins(cores[:1])[:, 0]))
        return solve_duty(varied(self.case, self.values(cores)), hottest)

    def smallest(self, cores: Sequence[Core]) -> list[Core]:
        """The cores by what is to be least."""
        sized = zip(self.sizes_of(cores), cores, strict=True)
        return [c for _, c in sorted(sized, key=lambda pair: (pair[0], *_order(pair[1])))]

    def size_of(self, core: Core) -> float:
        """What is to be least: volume [m3] or mass [kg]."""
        return self.sizes_of([core])[0]

    def sizes_of(self, cores: Sequence[Core]) -> list[float]:
        """The same of several cores."""
        by_volume = self.wanted is Least.VOLUME or not cores
        return [c.volume for c in cores] if by_volume else [float(m) for m in self.masses(cores)]

    def masses(self, cores: Sequence[Core]) -> Array:
        """Mass of tubes and fins [kg]."""
        fin, tube = _METALS[self.case.radiator.material]
        plant = prepare(varied(self.case, self.values(cores)))
        mass = core_mass(plant.core, MATERIALS[fin].rho, MATERIALS[tube].rho)
        return np.asarray(np.broadcast_to(mass, (len(cores),)))

    def options(self, cores: Sequence[Core]) -> list[CoreOption]:
        """What each core does."""
        margins, masses, odds = self.margins(cores), self.masses(cores), self.probabilities(cores)
        changed = varied(self.case, self.values(cores))
        points = [solve_duty(changed, i) for i in range(len(self.case.duties))]
        deciding = [min(range(len(points)), key=lambda d: (odds[d, k], margins[d, k])) for k in range(len(cores))]
        return [
            self._option(core, k, d, float(margins[d, k]), float(odds[d, k]), float(masses[k]), points[d])
            for k, (core, d) in enumerate(zip(cores, deciding, strict=True))
        ]

    def _option(
        self, core: Core, k: int, decides: int, margin: float, probability: float, mass: float, point: OperatingPoint
    ) -> CoreOption:
        return CoreOption(
            core=core,
            mass=mass,
            margin=margin,
            probability=probability,
            decides=duty_name(self.case, decides),
            air_drop=_at(point.core.dp_air, k),
            coolant_drop=_at(point.core.coolant_drop.dp, k),
            fan_air_power=max(_at(point.fan_flow, k) * _at(point.fan_pressure, k), 0.0),
        )


_METALS: Mapping[str, tuple[Material, Material]] = {
    "aluminium": (Material.ALUMINIUM, Material.ALUMINIUM),
    "copper-brass": (Material.COPPER, Material.BRASS),
}
"""What fins and tubes are made of."""


def _at(values: Array, k: int) -> float:
    return float(values[k] if values.size > 1 else values[0])


def _order(core: Core) -> tuple[float, int, float, float, int, str]:
    """One order of cores, smallest first, the same every time."""
    b = core.build
    return core.volume, b.rows, b.tube_width, b.fin_density, b.passes, b.shape.value


def _confirmed(text: CaseText, search: CoreSearch, core: Core) -> tuple[Core, Check] | None:
    """The core, or one a few tubes higher, that a check passes, with the check; None where none does."""
    before = check(search.case, members=MEMBERS)
    for tubes in range(core.tubes, min(core.tubes + MOST_CHECKS, search.most_tubes + 1)):
        larger = search.core(core.build, tubes)
        found = check(_resolved(with_core(text, search.case, larger)), members=MEMBERS)
        if passes(found, before):
            return larger, found
    return None


def passes(found: Check, before: Check) -> bool:
    """Whether every duty holds with a core: its limit, margin and probability, and what the cold asks as before."""
    for duty, was in zip(found.duties, before.duties, strict=True):
        if duty.verdict is Verdict.OVERCOOLING and was.verdict is Verdict.OVERCOOLING:
            continue
        if duty.verdict is not Verdict.HOLDS or (_warm(found, duty) < _warm(before, was)):
            return False
    return True


def _warm(checked: Check, duty: DutyCheck) -> bool:
    """Whether the cabin reaches what is wanted."""
    return bool(duty.point.cabin[0] >= checked.case.cabin.target[0])


def _front(search: CoreSearch, least: CoreOption, cores: Sequence[Core]) -> tuple[CoreOption, ...]:
    """Of the cores that hold those that no other beats in everything, thinned evenly over volume; the least first."""
    every = [least.core, *(c for c in cores if c != least.core)]
    margins, point = search.margins(every).min(axis=0), search.point(every)
    drops = (np.broadcast_to(drop, margins.shape) for drop in (point.core.dp_air, point.core.coolant_drop.dp))
    volumes = [core.volume for core in every]
    best = non_dominated(np.column_stack([volumes, *drops, -margins]))
    others = sorted((every[i] for i in best if i != 0), key=_order)
    places = np.linspace(0, len(others) - 1, min(FRONT, len(others))).round().astype(int)
    thinned = [others[i] for i in np.unique(places)]
    options = search.options(thinned) if thinned else []
    wanted = search.case.limits.confidence[0]
    return (least, *(option for option in options if option.probability >= wanted))


def non_dominated(values: Array) -> list[int]:
    """Rows of a table (n, m) that no other row beats: at most as large in every column and smaller in one.

    >>> non_dominated(np.array([[1.0, 3.0], [2.0, 2.0], [2.0, 3.0], [3.0, 1.0]]))
    [0, 1, 3]
    """
    kept = []
    for i, row in enumerate(values):
        beats = (values <= row).all(axis=1) & (values < row).any(axis=1)
        if not beats.any():
            kept.append(i)
    return kept


def _nothing_fits(search: CoreSearch, builds: Sequence[Build], needed: Needed) -> NothingFits:
    """Why nothing holds, told of the core that misses least."""
    case, whole = search.case, search.whole(builds)
    missing = search.missing(whole, needed)
    k = int(np.argmin(missing.max(axis=0)))
    best, worst = whole[k], int(np.argmax(missing[:, k]))
    short = max(float(missing[worst, k]), 0.0)
    changed = varied(case, search.values([best]))
    point = solve_duty(changed, worst)
    found = tried(changed, worst, generic_changes(changed, worst, point))
    return NothingFits(
        best=best,
        duty=duty_name(case, worst),
        short=short,
        limits=what_limits(point, float(settled(changed).limit[worst, 0])),
        growths=tuple(Growth(d, _growth(search, d, needed)) for d in ("height", "width", "depth")),
        changes=tuple(o for o in found if (o.gain or 0.0) > short and not o.spoils),
    )


def _growth(search: CoreSearch, dimension: str, needed: Needed) -> float | None:
    """By what factor one dimension of the room would have to grow, the others as they are."""
    low, high = 0, GROWTH_STEPS  # steps that do not and that do suffice
    if not _holds_in(search, dimension, high, needed):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _holds_in(search, dimension, middle, needed) else (middle, high)
    return _factor(high)


def _factor(steps: int) -> float:
    return 1.0 + LARGEST_GROWTH * steps / GROWTH_STEPS


def _holds_in(search: CoreSearch, dimension: str, steps: int, needed: Needed) -> bool:
    """Whether some build holds in a room with one dimension that many steps larger."""
    grown = replace(search.room, **{dimension: getattr(search.room, dimension) * _factor(steps)})
    larger = replace(search, room=grown)
    builds = [b for b in larger.builds() if b in needed]
    return bool(larger.holds(larger.whole(builds), needed).any())


def _tell(progress: Progress, cancelled: Stop, share: float) -> None:
    if cancelled is not None and cancelled():
        raise Cancelled("the search for the least core was cancelled")
    if progress is not None:
        progress(share)
