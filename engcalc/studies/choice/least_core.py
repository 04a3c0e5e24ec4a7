"""The least core that holds: of all cores that fit into the room there is, the smallest that keeps every limit.

Every build (rows of tubes, width of a tube, fins to the inch, passes, shape of the face) is tried. How much margin a
build needs for the wanted probability is guessed from ensembles of uncertain inputs, of one build for each number of
rows and passes and each width of tube. Then the smallest face of each build that has its margin is found by halving,
whole tubes at a time: more face never makes a duty hotter. All builds go through it together. From the smallest that
a check passes the search goes on: of every other build the largest core that is still smaller is asked, until none
holds. So the search covers everything that it tries, and gives the same answer every time.

"Holds" is what ``check`` says of the changed case, and it is ``check`` that says it of the leading builds: every duty
keeps its limit with the margin wanted and with the wanted probability, nothing is overcooled and no oil overheats that
was not or did not before, and a cabin that got warm enough still does.

Fan, ducts, pump, cap and mixture move with it as far as the case lets them (``free_inputs``).

Mass is that of tubes and fins, without tanks.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from engcalc.case.case import Case
from engcalc.case.text import CaseText
from engcalc.errors import Cancelled, InputError, InputFault
from engcalc.studies.check import check
from engcalc.studies.checked import Check, DutyCheck
from engcalc.studies.choice.core_builds import MM, Build, Core, Room, with_core
from engcalc.studies.choice.core_search import (
    NEAR,
    TUBE_WIDTHS,
    CoreOption,
    CoreSearch,
    Least,
    Looks,
    Needed,
    order_of,
    resolved_case,
)
from engcalc.studies.choice.free_inputs import FreedInput, free_inputs, given_back, with_freed
from engcalc.studies.choice.sizing import Option, generic_changes, own_duties, settled, tried
from engcalc.studies.crew import Asked, Crew
from engcalc.studies.members import Progress, Stop, solve_duty, varied
from engcalc.studies.sweeps import duty_name
from engcalc.studies.what_limits import what_limits
from engcalc.units import Array
from engcalc.verdict import Finding, Verdict
from engcalc.words.texts import study_texts

MOST_CHECKS = 4  # faces of one build that are checked before it is given up
TOGETHER = 16  # cores whose members are solved together
MOST_BUILDS_CHECKED = 12  # builds of one ranking that are checked before it is given up
MOST_JUST_UNDER = 3  # builds that draws just refuse and that are asked all the same
TURNS = 8  # of the search for something smaller still
FRONT = 24  # cores of the front that are kept
DIMENSIONS = ("height", "width", "depth")  # of the room
FAR = 20.0  # K; what misses more in one duty is not asked for the others, where the least lacking are sought
MOST_LIKE = 12  # builds that miss least, asked in rooms of other sizes
MOST_GROWN = 3  # cores of a larger room that are asked, those that miss least
LARGEST_GROWTH, GROWTH_STEPS = 1.0, 20  # of the room, where nothing fits: up to twice as much, 5 % at a time


@dataclass(frozen=True)
class Growth:
    """By what factor [-] one dimension of the room would have to grow; None where twice as much does not do."""

    dimension: str
    factor: float | None


@dataclass(frozen=True)
class NothingFits:
    """Why no core in the room holds: the one that misses least, by how much, what limits it, and what would relax it.

    In ``duty`` it stays ``margin`` [K] under its limit and holds with a ``probability`` [-], where ``wanted`` [-] is
    asked for; ``short`` [K] is missing, or more where ``at_least`` says so. ``changes`` are single changes that gain
    that much.
    """

    best: Core
    duty: str
    margin: float
    probability: float
    wanted: float
    short: float
    at_least: bool
    limits: Finding | None
    growths: tuple[Growth, ...]
    changes: tuple[Option, ...]

    @property
    def least_growth(self) -> Growth | None:
        """The dimension of the room that would have to grow by the least share; None where none alone does."""
        possible = [growth for growth in self.growths if growth.factor is not None]
        return min(possible, key=lambda growth: growth.factor or 0.0, default=None)


@dataclass(frozen=True, eq=False)
class LeastCore:
    """The answer. ``least`` and ``checked`` are None where nothing fits, and ``nothing_fits`` then says why.

    ``text`` is the case with the core in it, ``checked`` its check; ``probability`` the least of its duties [-].
    ``front`` has cores of which none is better in all of size, fan power, air drop, coolant drop and margin.
    """

    room: Room
    wanted: Least
    builds: int
    least: CoreOption | None
    text: CaseText | None
    checked: Check | None
    front: tuple[CoreOption, ...]
    nothing_fits: NothingFits | None
    freed: tuple[FreedInput, ...] = ()  # what else may move, with what was taken of it

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
    crew: Crew | None = None,
) -> LeastCore:
    """The least core with which every duty of a case holds, and the front of those that hold.

    ``crew`` does parts of it beside this process; the answer is the same with any, to the last bit. Raises InputError
    where the case is at fault or no build fits into the room at all, Cancelled.
    """

    def go_on() -> None:
        if cancelled is not None and cancelled():
            raise Cancelled(study_texts.SEARCH_FOR_THE_LEAST_CORE_WAS_CANCELLED)

    def tell(share: float) -> None:
        go_on()
        if progress is not None:
            progress(share)

    case = resolved_case(text)
    tell(0.0)
    freed = free_inputs(case)
    search = _search(text, case, room, wanted, freed, go_on, crew)
    found = search.builds()
    if not found:
        raise InputError((InputFault("limits.room_depth", f"{room.depth / MM:.0f} mm", _least_room(search)),))
    if not search.carries_fans(search.whole(found)).any():
        raise InputError((_fans_too_large(case),))
    search.begin()
    needed: Needed = search.first_needed(found)
    tell(0.05)
    ranked = search.smallest(search.least_faces(found, needed))
    checked = _first(search, ranked, _between(tell, 0.1, 0.4))
    if checked is None:
        checked = _first(search, search.near(search.whole(found), needed), _between(tell, 0.4, 0.6))
    if checked is None:
        nothing = _nothing_fits(search, found, needed, _between(tell, 0.6, 1.0))
        return LeastCore(room, wanted, len(found), None, None, None, (), nothing, freed)
    least, made_sure = _improved(search, found, needed, checked, _between(tell, 0.6, 0.8))
    tell(0.8)
    if any(one.moved for one in freed):
        freed = given_back(freed, lambda tried: _holds_with(search, text, tried, least))
        search = _search(text, case, room, wanted, freed, go_on, crew)
        made_sure = search.checked(least)
    tell(0.9)
    option = _as_checked(search.options([least])[0], made_sure)
    front = _front(search, option, search.larger(ranked, least, needed))
    tell(1.0)
    whole = with_core(search.text, search.case, least)
    return LeastCore(room, wanted, len(found), option, whole, made_sure, front, None, freed)


Tell = Callable[[float], None]
"""Told how far something is, 0 to 1; raises Cancelled where nobody waits any more."""


def _between(tell: Tell, low: float, high: float) -> Tell:
    """What tells how far a part is that goes from one share of the whole to another."""
    return lambda share: tell(low + share * (high - low))


def _search(
    text: CaseText,
    case: Case,
    room: Room,
    wanted: Least,
    freed: Sequence[FreedInput],
    go_on: Callable[[], None],
    crew: Crew | None,
) -> CoreSearch:
    """The search in a case with what was taken of its free inputs."""
    changed = with_freed(text, freed)
    if changed == text:
        return CoreSearch(text, case, room, wanted, go_on=go_on, crew=crew)
    return CoreSearch(changed, resolved_case(changed), room, wanted, case, go_on=go_on, crew=crew)


def _holds_with(search: CoreSearch, text: CaseText, freed: Sequence[FreedInput], core: Core) -> bool:
    """Whether every duty holds with a core and what is tried of the free inputs."""
    search.go_on()
    changed = with_freed(text, freed)
    return passes(check(resolved_case(with_core(changed, resolved_case(changed), core))), search.before)


def with_choice(text: CaseText, case: Case, core: Core, freed: Sequence[FreedInput]) -> CaseText:
    """The text of a case with a core of the choice in it, and what was taken of its free inputs."""
    changed = with_freed(text, freed)
    return with_core(changed, case if changed == text else resolved_case(changed), core)


def _first(search: CoreSearch, ranked: Sequence[Core], tell: Tell) -> tuple[Core, Check] | None:
    """The smallest of a ranking that a check passes, made smaller still; None where none passes.

    Draws err: those that they just refuse are asked too, the likeliest first, whether or not a larger one holds.
    What is larger than one that holds is not asked.
    """
    sure = _Sure(search)
    asked, passed = 0, None
    just_under: list[tuple[float, Core]] = []
    for start in range(0, len(ranked), TOGETHER):
        if asked >= MOST_BUILDS_CHECKED or passed is not None:
            break
        tell(start / len(ranked))
        some = ranked[start : start + TOGETHER]
        over_wanted = list(zip(some, map(float, search.over_wanted(some)), strict=True))
        sure.foresee(just_under, over_wanted)
        for core, over in over_wanted:
            if passed is not None or asked >= MOST_BUILDS_CHECKED:
                break
            if -np.inf < over < 0.0:
                just_under.append((over, core))
            elif over >= 0.0 and sure.of(core) is not None:
                passed = _least_confirmed(search, sure, [search.shrunk(core), *_closest(just_under)])
                asked += 1
    if passed is None:
        passed = _least_confirmed(search, sure, _closest(just_under))
    return passed


def _closest(just_under: Sequence[tuple[float, Core]]) -> list[Core]:
    """The likeliest of those that draws just refuse."""
    return [core for _, core in sorted(just_under, key=lambda one: -one[0])[:MOST_JUST_UNDER]]


class _Sure:
    """Whether cores hold the hardest duties, each asked once. What will be asked is begun before it is wanted."""

    def __init__(self, search: CoreSearch) -> None:
        self._search = search
        self._asked: dict[Core, Asked[Looks | None]] = {}

    def ask(self, core: Core) -> Asked[Looks | None]:
        """Begin to ask a core."""
        if core not in self._asked:
            self._asked[core] = self._search.ask("sure", core)
        return self._asked[core]

    def of(self, core: Core) -> Looks | None:
        """The looks with a core that holds; None else."""
        return self.ask(core).result(self._search.go_on)

    def foresee(self, before: Sequence[tuple[float, Core]], over_wanted: Sequence[tuple[Core, float]]) -> None:
        """Begin with the first that is likely to hold, and with those before it that draws just refuse."""
        first = next((k for k, (_, over) in enumerate(over_wanted) if over >= 0.0), None)
        if first is not None:
            self.ask(over_wanted[first][0])
            refused = [(over, core) for core, over in over_wanted[:first] if over > -np.inf]
            for core in _closest([*before, *refused]):
                self.ask(core)


def _least_confirmed(search: CoreSearch, sure: _Sure, cores: Sequence[Core]) -> tuple[Core, Check] | None:
    """The smallest core that a check passes, of some that are sure or a few tubes higher; None where none does."""
    asked = [(core, sure.ask(core)) for core in cores]
    hold = [core for core, one in asked if one.result(search.go_on) is not None]
    best: tuple[Core, Check] | None = None
    for core in sorted(hold, key=lambda core: (search.size_of(core), *order_of(core))):
        if best is not None and search.size_of(core) >= search.size_of(best[0]):
            break
        found = _confirmed(search, core, sure.of(core))
        if found is not None and (best is None or search.size_of(found[0]) < search.size_of(best[0])):
            best = found
    return best


def _as_checked(option: CoreOption, checked: Check) -> CoreOption:
    """The least core with what its check says of the duty that is least sure."""
    least_sure = min(checked.duties, key=lambda d: (d.holds_probability or 0.0, d.margin or 0.0))
    return replace(
        option,
        least_sure=least_sure.name,
        probability=least_sure.holds_probability or 0.0,
        margin=option.margin if least_sure.margin is None else least_sure.margin,
    )


def _improved(
    search: CoreSearch,
    builds: Sequence[Build],
    needed: Needed,
    first: tuple[Core, Check],
    tell: Tell,
) -> tuple[Core, Check]:
    """The least core from a first one on: whatever build still holds when it is smaller takes its place."""
    best = first
    for turn in range(TURNS):
        smaller = search.smaller(builds, search.size_of(best[0]))
        found = _first(search, search.near(smaller, needed), _between(tell, turn / TURNS, (turn + 1) / TURNS))
        if found is None or search.size_of(found[0]) >= search.size_of(best[0]):
            return best
        best = found
    return best


def _fans_too_large(case: Case) -> InputFault:
    """That no core of the room is as large as the fans that the case has."""
    air = case.airflow
    assert air.fan_diameter is not None  # without one every core carries them
    given = f"{air.fan_count[0]:.0f} x {air.fan_diameter[0] / MM:.0f} mm"
    return InputFault("airflow.fan_diameter", given, study_texts.FANS_FIT_NO_CORE_OF_THE_ROOM)


def _least_room(search: CoreSearch) -> str:
    return study_texts.AT_LEAST_MM_DEEP_AND_MM_HIGH_WOULD_DO.format(
        tube_widths=min(TUBE_WIDTHS) / MM, pitch=search.pitch / MM
    )


def _confirmed(search: CoreSearch, core: Core, looks: Looks | None) -> tuple[Core, Check] | None:
    """The core, or one a few tubes higher, that a check passes, with the check; None where none does."""
    for tubes in range(core.tubes, min(core.tubes + MOST_CHECKS, search.most_tubes + 1)):
        larger = search.core(core.build, tubes)
        found = search.checked(larger, looks if larger == core else None)
        if passes(found, search.before):
            return larger, found
    return None


def passes(found: Check, before: Check) -> bool:
    """Whether every duty holds with a core: its limit, margin and probability, and what the cold asks as before."""
    for duty, was in zip(found.duties, before.duties, strict=True):
        if duty.verdict is Verdict.OVERCOOLING and was.verdict is Verdict.OVERCOOLING:
            continue
        holds = duty.verdict is Verdict.HOLDS or (duty.marginal_by_oil and was.oil_overheats)
        if not holds or (_warm(found, duty) < _warm(before, was)):
            return False
    return True


def _warm(checked: Check, duty: DutyCheck) -> bool:
    """Whether the cabin reaches what is wanted."""
    return bool(duty.point.cabin[0] >= checked.case.cabin.target[0])


def _front(search: CoreSearch, least: CoreOption, cores: Sequence[Core]) -> tuple[CoreOption, ...]:
    """Of the cores that hold those that no other beats in everything, thinned evenly over volume; the least first."""
    every = unlike(least.core, cores)
    margins, point = search.margins(every).min(axis=0), search.point(every)
    fan_power = np.maximum(point.fan_flow * point.fan_pressure, 0.0)
    costs = (point.core.dp_air, point.core.coolant_drop.dp, fan_power)
    rows = [np.broadcast_to(cost, margins.shape) for cost in costs]
    best = non_dominated(np.column_stack([search.sizes_of(every), *rows, -margins]))
    others = sorted((every[i] for i in best if i != 0), key=order_of)
    places = np.linspace(0, len(others) - 1, min(FRONT, len(others))).round().astype(int)
    thinned = [others[i] for i in np.unique(places)]
    options = search.options(thinned) if thinned else []
    wanted = search.case.limits.confidence[0]
    return (least, *(option for option in options if option.probability >= wanted))


def unlike(least: Core, cores: Sequence[Core]) -> list[Core]:
    """The least core and the others, each once: a choice does not offer the same core twice."""
    others = {core.as_made: core for core in cores}
    others.pop(least.as_made, None)
    return [least, *others.values()]


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


def _nothing_fits(search: CoreSearch, builds: Sequence[Build], needed: Needed, tell: Tell) -> NothingFits:
    """Why nothing holds, told of the core that misses least."""
    case, whole = search.case, search.whole(builds)
    missing = search.missing(whole, needed)
    k = int(np.argmin(missing.max(axis=0)))
    worst = int(np.argmax(missing[:, k]))
    beyond = settled(varied(case, search.values(whole)), len(whole)).beyond[worst]
    if beyond.all():  # too hot with every core to be told apart by temperature
        k = int(np.argmax(search.given_off(whole, worst)))
    best, changed = whole[k], varied(case, search.values([whole[k]]))
    wanted, now = float(case.limits.confidence[0]), settled(changed)
    lacking = sorted(own_duties(case, now), key=lambda i: -float(missing[i, k]))
    worst = lacking[0]
    odds = {}
    for i in lacking:  # the guess at what misses most may be off
        odds[i] = search.chance(best, i)
        if odds[i] < wanted:
            worst = i
            break
    short = max(float(missing[worst, k]), 0.0)
    point, in_time = solve_duty(changed, worst), case.duties[worst].duration is not None
    found = tried(changed, worst, generic_changes(changed, worst, point))
    like = _least_lacking(search, needed)
    asked = [search.asked_of(_growth, dimension, needed, like) for dimension in DIMENSIONS]
    growths = []
    for i, (dimension, one) in enumerate(zip(DIMENSIONS, asked, strict=True)):
        tell((i + 1) / (len(DIMENSIONS) + 1))
        growths.append(Growth(dimension, one.result(search.go_on)))
    tell(1.0)
    return NothingFits(
        best=best,
        duty=duty_name(case, worst),
        margin=float(now.margin[worst, 0]),
        probability=odds[worst],
        wanted=wanted,
        short=short,
        at_least=bool(now.beyond[worst, 0]),
        limits=what_limits(point, float(now.limit[worst, 0]), float(now.coolant_out[worst, 0]) if in_time else None),
        growths=tuple(growths),
        changes=tuple(o for o in found if (o.gain or 0.0) > short and not o.spoils),
    )


def _growth(search: CoreSearch, dimension: str, needed: Needed, like: Sequence[Build]) -> float | None:
    """By what factor one dimension of the room would have to grow, the others as they are.

    The builds that miss least, ``like`` in the room and others in the largest, are asked in rooms of every size
    between, all at once. The margin that is needed is guessed in the room, then in the one that suffices by that. What
    suffices then is where members are asked first: the guess may be too high as well as too low.
    """
    largest = _grown(search, dimension, GROWTH_STEPS)
    deeper = [build for build in largest.builds() if build not in needed]
    guessed = {**needed, **largest.first_needed(deeper)} if deeper else needed
    builds = list(dict.fromkeys((*like, *_least_lacking(largest, guessed))))
    guessed = {**guessed, **largest.first_needed(builds)}
    suffices = _least_step(_lacks_by_step(search, dimension, guessed, builds))
    if suffices is None:
        return None
    there = _grown(search, dimension, suffices)
    fit = [build for build in builds if build.depth <= there.room.depth + 1e-9]
    lacks = _lacks_by_step(search, dimension, {**guessed, **there.first_needed(fit)}, builds)
    suffices = _least_step(lacks)  # 0 where the guess is that the room does as it is

    def is_likely(steps: int) -> bool:
        """Whether, by draws, one of the cores of that step that miss least may hold."""
        of_step = lacks[steps]
        best = [core for core in sorted(of_step, key=of_step.__getitem__)[:MOST_GROWN] if of_step[core] < NEAR]
        return bool(best) and bool(search.likely(best).any())

    guess = GROWTH_STEPS if suffices is None else max(suffices, 1)
    found = least_that_does(is_likely, guess, GROWTH_STEPS)
    return None if found is None else _factor(found)


def least_that_does(does: Callable[[int], bool], guess: int, last: int) -> int | None:
    """The least of 1, 2 ... ``last`` that does, where all after it do too; None where none does.

    Sought from a guess, in strides that double, then by halving: a guess that is right takes two questions.

    >>> least_that_does(lambda n: n >= 17, 20, 20), least_that_does(lambda n: False, 3, 20)
    (17, None)
    """
    low, high = 0, last + 1  # the least lies over ``low`` and not over ``high``; ``last + 1`` stands for none
    stride, asked = 1, guess
    while high - low > 1:
        if does(asked):
            high = asked
            next_one = asked - stride
        else:
            low = asked
            next_one = asked + stride
        stride *= 2
        asked = next_one if low < next_one < high else (low + high) // 2
    return high if high <= last else None


def _least_step(lacks: Sequence[Mapping[Core, float]]) -> int | None:
    """The first step of growth at which some core lacks nothing; None where none does."""
    return next((k for k, of_step in enumerate(lacks) if min(of_step.values(), default=np.inf) <= 0.0), None)


def _factor(steps: int) -> float:
    return 1.0 + LARGEST_GROWTH * steps / GROWTH_STEPS


def _grown(search: CoreSearch, dimension: str, steps: int) -> CoreSearch:
    """The search in a room with one dimension that many steps larger."""
    grown = getattr(search.room, dimension) * _factor(steps)
    return search.in_room(replace(search.room, **{dimension: grown}))


def _least_lacking(search: CoreSearch, needed: Needed) -> list[Build]:
    """The builds whose largest cores miss the least margin in the room of a search."""
    cores = search.whole([build for build in search.builds() if build in needed])
    lacks = search.lacks(cores, needed, FAR)
    return [cores[int(k)].build for k in np.argsort(lacks, kind="stable")[:MOST_LIKE]]


def _lacks_by_step(
    search: CoreSearch, dimension: str, needed: Needed, builds: Sequence[Build]
) -> list[dict[Core, float]]:
    """For the room and each larger one: of the builds that fit into it the largest cores, and what margin [K] each
    misses."""
    cores: list[list[Core]] = []
    for steps in range(GROWTH_STEPS + 1):
        larger = _grown(search, dimension, steps)
        cores.append(larger.whole([build for build in builds if build.depth <= larger.room.depth + 1e-9]))
    every = list(dict.fromkeys(core for of_step in cores for core in of_step))
    lacks = dict(zip(every, map(float, search.lacks(every, needed, NEAR)), strict=True))
    return [{core: lacks[core] for core in of_step} for of_step in cores]
