"""An exchanger on a bench in words: its points, groups, Wilson plot and problems as tables that every face shows."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from engcalc.classroom.symbols import SymbolSet, with_symbols
from engcalc.studies.bench.approximations import READ_F, Approximated, Approximation, approximated
from engcalc.studies.bench.check import BenchCheck
from engcalc.studies.bench.points import BenchFigure, BenchPoint, groups_of
from engcalc.studies.bench.problem import ProblemAnswer, ProblemStatus
from engcalc.studies.bench.wilson import WilsonFit
from engcalc.studies.checked import Check
from engcalc.units import UnitSystem, plain_number, raised, show, to_unit, unit_for
from engcalc.verdict import Finding, FindingCode
from engcalc.words.lesson.wilson_units import wilson_units
from engcalc.working.shown import digits_of

AGREES = "Agrees"
DIFFERS = "Does not agree"
WORKED = "Worked out"
"""What is said of a bench in a word or two: of its measured points, and of problems alone."""

NOTHING_GIVEN = "Nothing to work out yet"

NO_WARM_UP = "A bench has no engine that warms up."
NO_CAUSES = "A bench has no engine whose cooling could be at fault."
NO_REFILL = "A bench has no engine whose coolant could be filled and bled."
"""What is said of a bench where an engine is asked for."""

BENCH_ASSUMPTIONS = (
    "The exchanger works steadily: nothing warms up or cools down while a point is measured.",
    "Specific heats count at the mean temperature of each stream, a flow by volume at its inlet's density.",
    "The overall heat transfer coefficient is the same along the whole exchanger.",
    "Each stream is mixed or unmixed as its arrangement says; streams are mixed between units in series.",
)
BENCH_UNCERTAINTY = (
    "Each number's uncertainty comes from those stated of flows and temperatures, taken as independent: by the linear law "
    "and by Monte Carlo. Properties and the arrangement's formula count as exact."
)
UNCERTAINTY_UNSTATED = "No uncertainty of flows and temperatures was stated: the numbers count as exact."
BENCH_SOURCES = (
    "Effectiveness and NTU: Incropera et al., Fundamentals of Heat and Mass Transfer, 7th edition, chapter 11; Shah and "
    "Sekulic, Fundamentals of Heat Exchanger Design (2003); Baclic, ASME J. Heat Transfer 100 (1978) 746.",
    "Correction of the mean temperature difference: Bowman, Mueller and Nagle, Trans. ASME 62 (1940) 283.",
    "Wilson plot: Wilson, Trans. ASME 37 (1915) 47. Outliers: Iglewicz and Hoaglin (1993).",
    "Uncertainty: JCGM 100 (linear law) and JCGM 101 (Monte Carlo). Heat balance within 3 %: SAE J1994.",
    "Properties: CoolProp (water: IAPWS-95; glycols: tables of the ASHRAE Handbook, Fundamentals; air); engine oil: "
    "Incropera et al., Table A.5.",
)
BENCH_CAUTIONS = (  # common practice, no source
    "Hot water, steam and hot metal scald. Let the rig cool and take its pressure off before you open anything.",
    "Never heat a side through which nothing flows, and never close both its valves while it is hot.",
    "Mind mains voltage near water: a residual current device, dry hands, no loose cables.",
    "Glycol, oil and refrigerants are harmful: keep to their safety sheets and to the laboratory's own rules.",
)


MOST_NAMED = 4  # points that a headline names
MOST_TOLD = 2  # problems whose answers it tells


@dataclass(frozen=True)
class BenchTable:
    """A table: its title, what it says in a sentence or two, heads and rows of text."""

    title: str
    lead: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class _PointColumn:
    """A column of a table of points: head with its symbols in braces, kind of its number, and the figure of a point."""

    head: str
    kind: str
    figure: Callable[[BenchPoint], BenchFigure]


_HEATS = (
    _PointColumn("Heat of the hot stream", "heat rate", lambda p: p.heat_hot),
    _PointColumn("Heat of the cold stream", "heat rate", lambda p: p.heat_cold),
    _PointColumn("Hot less cold", "heat rate", lambda p: p.loss),
    _PointColumn("Over their mean", "fraction", lambda p: p.balance),
    _PointColumn("Heat that counts {q}", "heat rate", lambda p: p.heat),
)
_SIZES = (
    _PointColumn("Effectiveness {eps}", "number", lambda p: p.effectiveness),
    _PointColumn("NTU", "number", lambda p: p.NTU),
    _PointColumn("{dT_lm} as in counterflow", "temperature difference", lambda p: p.mean_difference),
    _PointColumn("F", "number", lambda p: p.F),
    _PointColumn("{UA} by NTU", "conductance", lambda p: p.UA),
    _PointColumn("{UA} by F and {dT_lm}", "conductance", lambda p: p.UA_by_difference),
)


def point_name(point: BenchPoint) -> str:
    """A point by its number, and its group where it has one."""
    number = int(point.path.removeprefix("rig[").removesuffix("]")) + 1
    return f"{number}, {point.group}" if point.group else f"{number}"


def bench_tables(bench: BenchCheck, system: UnitSystem) -> tuple[BenchTable, ...]:
    """Every table of a bench, in the order in which they are read."""
    tables = []
    if bench.points:
        tables += [_readings(bench), _heats(bench, system), _sizes(bench, system)]
        if _uncertain(bench):
            tables.append(_drawn(bench, system))
    if len(groups_of(bench.points)) > 1:
        tables.append(_groups(bench, system))
    if bench.fit is not None:
        tables.append(_wilson(bench, bench.fit, system))
    if bench.problems:
        tables += [_problems(bench, system), _approximations(bench, system)]
    return tuple(tables)


def answer_tables(bench: BenchCheck, system: UnitSystem) -> tuple[BenchTable, ...]:
    """What a bench comes to: the points by their groups, or one by one where there are none; then the problems."""
    tables = []
    if bench.points:
        grouped = len(groups_of(bench.points)) > 1
        tables.append(_groups(bench, system) if grouped else _sizes(bench, system))
    if bench.problems:
        tables.append(_problems(bench, system))
    return tuple(tables)


_READINGS: Mapping[str, str] = {
    "hot_flow": "Hot flow",
    "hot_in": "Hot side in",
    "hot_out": "Hot side out",
    "cold_flow": "Cold flow",
    "cold_in": "Cold side in",
    "cold_out": "Cold side out",
}
_TYPED = re.compile(r"(?P<number>[+-]?[\d.,]+(?:[eE][+-]?\d+)?)\s*(?P<unit>[^±]*?)")
_PRINTS = {"degC": "°C", "degF": "°F"}
"""Units that are easy to type, and how they print."""


def _readings(bench: BenchCheck) -> BenchTable:
    """The class's readings as they were typed; a unit that a whole column shares stands in its head."""
    columns = [_reading_column(head, [p.typed[name] for p in bench.points]) for name, head in _READINGS.items()]
    rows = zip(map(point_name, bench.points), *(cells for _, cells in columns), strict=True)
    return BenchTable(
        "Readings",
        "As they were typed, each flow and temperature of every point.",
        ("Point", *(head for head, _ in columns)),
        tuple(rows),
    )


def _reading_column(head: str, typed: list[str]) -> tuple[str, tuple[str, ...]]:
    """The head of a column with the unit that all of its cells have, and the cells; else each with its own."""
    read = [_TYPED.fullmatch(text.strip()) for text in typed]
    units = {None if one is None else one["unit"] for one in read}
    unit = units.pop() if len(units) == 1 else None
    if not unit:
        return head, tuple(printing(text) for text in typed)
    return f"{head}, {printing(unit)}", tuple(one["number"] for one in read if one is not None)


def printing(text: str) -> str:
    """What was typed, its units as they print."""
    for easy, prints in _PRINTS.items():
        text = text.replace(easy, prints)
    return text


def _heats(bench: BenchCheck, system: UnitSystem) -> BenchTable:
    return BenchTable(
        "Heat of both streams",
        f"{_expanded(bench)} Heat that the hot stream gives off and the cold one "
        f"misses is lost on the way, or is an error of what was measured. {_weighed(bench)}",
        ("Point", *_heads(bench, _HEATS)),
        tuple(_point_row(point, _HEATS, bench.coverage, system) for point in bench.points),
    )


def _heads(bench: BenchCheck, columns: tuple[_PointColumn, ...]) -> tuple[str, ...]:
    """The heads of columns in the symbols of the class."""
    return tuple(with_symbols(column.head, symbols_of(bench)) for column in columns)


def symbols_of(bench: BenchCheck) -> SymbolSet:
    """The symbols in which the class of a bench writes."""
    return SymbolSet(bench.symbols)


def coverage_words(bench: BenchCheck) -> str:
    """The coverage factor with its symbol: the k alone is a conductivity or an overall coefficient."""
    return with_symbols("coverage factor {k_p} = {k:g}", symbols_of(bench), k=bench.coverage)


def _expanded(bench: BenchCheck) -> str:
    """What stands behind ±."""
    return f"± is the expanded uncertainty, {coverage_words(bench)}." if _uncertain(bench) else UNCERTAINTY_UNSTATED


def _uncertain(bench: BenchCheck) -> bool:
    """Whether any measured number was stated with an uncertainty."""
    return any(point.heat_hot.u > 0.0 or point.heat_cold.u > 0.0 for point in bench.points)


def _weighed(bench: BenchCheck) -> str:
    weights = {round(point.weight_hot, 6) for point in bench.points}
    if weights == {0.5}:
        return "The heat that counts weighs both sides alike."
    if weights in ({0.0}, {1.0}):
        counts, other = ("hot", "cold") if weights == {1.0} else ("cold", "hot")
        if not all(point.weighted for point in bench.points):
            return f"The heat that counts is the {counts} stream's alone."
        return _ONE_SIDE_EXACT.format(counts=counts, other=other)
    return "The heat that counts weighs both sides by one over the square of their uncertainties."


_ONE_SIDE_EXACT = (
    "The heat that counts is the {counts} stream's alone: an uncertainty was stated of the {other} stream only, so that "
    "the {counts} one passes for exact. State both."
)


def _sizes(bench: BenchCheck, system: UnitSystem) -> BenchTable:
    columns = _SIZES
    symbols = symbols_of(bench)
    head = ("Point", *_heads(bench, columns))
    rows = tuple(_point_row(point, columns, bench.coverage, system) for point in bench.points)
    if bench.area is not None:
        head = (*head, with_symbols("{U}", symbols))
        rows = tuple((*row, _U(bench, point, system)) for row, point in zip(rows, bench.points, strict=True))
    return BenchTable(
        "What the exchanger makes of it",
        f"{_expanded(bench)} {with_symbols(_TWO_WAYS, symbols)}",
        head,
        rows,
    )


_TWO_WAYS = (
    "{UA} in two ways: NTU times the smaller capacity rate, and heat over F and the logarithmic mean temperature "
    "difference {dT_lm}. Where the two heats do not balance, the two ways differ."
)


def _U(bench: BenchCheck, point: BenchPoint, system: UnitSystem) -> str:
    value = bench.U(point.UA.value)
    return _result_text(value, "film coefficient", system) if value and point.possible else "–"


def _point_row(point: BenchPoint, columns: tuple[_PointColumn, ...], k: float, system: UnitSystem) -> tuple[str, ...]:
    cells = (figure_text(column.figure(point), column.kind, k, system) for column in columns)
    shown = (
        cell if point.possible or column.kind in ("heat rate", "fraction") else "–"
        for cell, column in zip(cells, columns, strict=True)
    )
    return (point_name(point), *shown)


def figure_text(figure: BenchFigure, kind: str, k: float, system: UnitSystem) -> str:
    """A figure with its expanded uncertainty: both in one unit, to the place of the uncertainty's second digit.

    >>> figure_text(BenchFigure(4118.2, 42.4, 43.5, 4030.8, 4207.3), "heat rate", 2.0, UnitSystem.SI)
    '4.118 ± 0.085 kW'
    >>> figure_text(BenchFigure(-0.4, 42.4, 43.5, -87.0, 86.0), "heat rate", 2.0, UnitSystem.SI)
    '0.000 ± 0.085 kW'
    >>> figure_text(BenchFigure(3490.0, 0.0, 0.0, 3490.0, 3490.0), "heat rate", 2.0, UnitSystem.SI)
    '3.490 kW'
    """
    unit = unit_for(kind, system)
    value = to_unit(figure.value, unit, kind)
    half = to_unit(k * figure.u, unit, kind)
    tail = f" {raised(unit)}" if unit else ""
    return f"{_to_its_place(value, half)}{tail}"


def _to_its_place(value: float, half: float) -> str:
    """A number to the place of the second digit of what it may be off by; to four digits where that is nothing.

    >>> _to_its_place(0.30912, 0.0163), _to_its_place(2.41, 0.0)
    ('0.309 ± 0.016', '2.410')
    >>> _to_its_place(1113.4, 101.8)
    '1110 ± 100'
    """
    if half <= 0.0:
        return digits_of(value, 4, zeros=True)
    places = 1 - int(np.floor(np.log10(half)))
    behind_point = max(0, places)
    rounded = round(value, places) + 0.0  # no minus before a zero
    return f"{rounded:.{behind_point}f} ± {round(half, places):.{behind_point}f}"


def _result_text(si: float, kind: str, system: UnitSystem, digits: int = 4) -> str:
    """A result with its unit, closing zeros kept; a temperature to a tenth."""
    if kind == "temperature":
        return show(si, kind, system, digits)
    unit = unit_for(kind, system)
    return f"{digits_of(to_unit(si, unit, kind), digits, zeros=True)} {raised(unit)}".strip()


def _drawn(bench: BenchCheck, system: UnitSystem) -> BenchTable:
    """The linear law beside Monte Carlo."""

    def row(point: BenchPoint) -> tuple[str, ...]:
        if not point.possible:
            return (point_name(point), "–", "–", "–")
        figure = point.UA
        kind = "conductance"
        linear, drawn = (_result_text(bench.coverage * u, kind, system, 2) for u in (figure.u, figure.u_drawn))
        interval = f"{_result_text(figure.low, kind, system)} to {_result_text(figure.high, kind, system)}"
        return (point_name(point), linear, drawn, interval)

    return BenchTable(
        with_symbols("Uncertainty of {UA} in two ways", symbols_of(bench)),
        f"Expanded with {coverage_words(bench)}: by the linear law, and by Monte Carlo. Where the two differ the formula is too curved for "
        "the linear law, and the interval counts.",
        ("Point", "Linear law", "Monte Carlo", "95 % interval"),
        tuple(map(row, bench.points)),
    )


def _groups(bench: BenchCheck, system: UnitSystem) -> BenchTable:
    def row(group: str) -> tuple[str, ...]:
        own = [p for p in bench.points if p.group == group]
        good = [p for p in own if p.agrees]
        balance, UA = (float(np.mean(values)) if values else None for values in _of_group(good))
        return (
            group or "no group",
            f"{len(good)} of {len(own)}",
            "–" if balance is None else _result_text(balance, "fraction", system, 2),
            "–" if UA is None else _result_text(UA, "conductance", system),
            "; ".join(point_name(p).partition(",")[0] for p in own if not p.agrees) or "none",
        )

    return BenchTable(
        "Group by group",
        "Means over the points of each group that nothing speaks against. Those to be looked at are left out.",
        (
            "Group",
            "Points that count",
            "Hot less cold over mean",
            with_symbols("{UA}", symbols_of(bench)),
            "Points to be looked at",
        ),
        tuple(row(group) for group in groups_of(bench.points)),
    )


def _of_group(points: list[BenchPoint]) -> tuple[list[float], list[float]]:
    """Balance [-] and conductance [W/K] of each point."""
    return [p.balance.value for p in points], [p.UA.value for p in points]


def _wilson(bench: BenchCheck, fit: WilsonFit, system: UnitSystem) -> BenchTable:
    rows = [
        ("Flow that was varied", f"{fit.side} stream"),
        ("Points that count", f"{len(fit.paths)} of {len(bench.points)}"),
        ("Power of the flow", plain_number(fit.exponent)),
        ("Resistances that stay", _resistance(fit, bench.coverage, system)),
        ("Slope", _slope(fit, bench.coverage, system)),
    ]
    if fit.slope > 0.0:
        for words, flow in (("lowest", fit.flows.min()), ("highest", fit.flows.max())):
            rows.append((f"Film at the {words} flow", _film(bench, fit, float(flow), system)))
    return BenchTable(
        "Wilson plot",
        with_symbols(_WILSON_LEAD, symbols_of(bench), k=bench.coverage),
        ("", "Value"),
        tuple(rows),
    )


_WILSON_LEAD = (
    "1/{UA} over the varied flow to minus this power is a straight line. Its intercept is what stays the same: wall, "
    "deposits and the other film. Its slope tells the film of the varied stream. ± comes of the scatter about the line, "
    "coverage factor {k_p} = {k:g}."
)


def _slope(fit: WilsonFit, k: float, system: UnitSystem) -> str:
    """The slope, in the unit that its power of the flow gives it."""
    units = wilson_units(system)
    factor = units.slope_factor(fit.exponent)
    number = _to_its_place(factor * fit.slope, factor * k * fit.slope_u)
    return f"{number} {units.slope(plain_number(fit.exponent))}"


def _resistance(fit: WilsonFit, k: float, system: UnitSystem) -> str:
    """What stays the same whatever flows: the intercept."""
    units = wilson_units(system)
    factor = units.per_resistance
    return f"{_to_its_place(factor * fit.rest, factor * k * fit.rest_u)} {units.resistance}"


def _film(bench: BenchCheck, fit: WilsonFit, flow: float, system: UnitSystem) -> str:
    hA = float(fit.film(np.array([flow]))[0])
    kind, value = ("conductance", hA) if bench.area is None else ("film coefficient", hA / bench.area)
    name = with_symbols("{hA}" if bench.area is None else "{h}", symbols_of(bench))
    off = bench.coverage * fit.film_share_u
    at = show(flow, "mass flow", system)
    return f"{name} = {show(value, kind, system)} ± {plain_number(100.0 * off, 2)} % at {at}"


_PROBLEM_ROWS: Mapping[str, tuple[str, str]] = {
    "hot_flow": ("Hot flow", "mass flow"),
    "hot_in": ("Hot side in", "temperature"),
    "hot_out": ("Hot side out", "temperature"),
    "cold_flow": ("Cold flow", "mass flow"),
    "cold_in": ("Cold side in", "temperature"),
    "cold_out": ("Cold side out", "temperature"),
    "heat": ("Heat passed {q}", "heat rate"),
    "conductance": ("{UA}", "conductance"),
}


def _problems(bench: BenchCheck, system: UnitSystem) -> BenchTable:
    solved = [p for p in bench.problems if p.status is ProblemStatus.SOLVED]
    rows = [(label, *(_number(p, name, kind, system) for p in solved)) for name, (label, kind) in _PROBLEM_ROWS.items()]
    rows += [
        ("Effectiveness {eps}", *(digits_of(p.effectiveness, 4, zeros=True) for p in solved)),
        ("NTU", *(digits_of(p.NTU, 4, zeros=True) for p in solved)),
        ("Capacity ratio {C_r}", *(digits_of(p.Cr, 4, zeros=True) for p in solved)),
        (
            "{dT_lm} as in counterflow",
            *(_result_text(p.mean_difference, "temperature difference", system) for p in solved),
        ),
        ("F", *(digits_of(p.F, 4, zeros=True) for p in solved)),
        ("Rounds of guess and correction", *(str(len(p.rounds)) for p in solved)),
    ]
    return BenchTable(
        "Problems",
        "What was asked is marked by an arrow; the rest was given or lies between. Specific heats belong to the mean "
        "temperature of each stream.",
        ("", *(p.name for p in solved)),
        tuple((with_symbols(label, symbols_of(bench)), *cells) for label, *cells in rows),
    )


_SHORTER = {
    Approximation.INLET_PROPERTIES: "Specific heats at the inlets",
    Approximation.ONE_TERM: "Crossflow by the one-term formula",
    Approximation.WITHOUT_F: "{dT_lm} without its correction F",
    Approximation.READ_F: f"F as a chart is read, to {READ_F:g}",
}


def _approximations(bench: BenchCheck, system: UnitSystem) -> BenchTable:
    """What shorter ways make of each problem's heat, and the error that each costs."""
    solved = [p for p in bench.problems if p.status is ProblemStatus.SOLVED]
    found = [{one.by: one for one in approximated(bench.setup, p)} for p in solved]

    def cell(of: Mapping[Approximation, Approximated], by: Approximation) -> str:
        one = of.get(by)
        return "–" if one is None else f"{_result_text(one.heat, 'heat rate', system)}, {100.0 * one.error:+.2g} %"

    rows = [
        (with_symbols(words, symbols_of(bench)), *(cell(of, by) for of in found))
        for by, words in _SHORTER.items()
        if any(by in of for of in found)
    ]
    exact = ("Exact", *(_result_text(p.numbers["heat"], "heat rate", system) for p in solved))
    return BenchTable(
        "Common approximation beside the exact",
        "The heat of each problem by a shorter way, at the same flows, inlets and conductance, and the error it costs.",
        ("", *(p.name for p in solved)),
        (exact, *rows),
    )


def _number(p: ProblemAnswer, name: str, kind: str, system: UnitSystem) -> str:
    if name not in p.asked:
        return show(p.numbers[name], kind, system, 4)
    return f"→ {_result_text(p.numbers[name], kind, system)}"


# ---- sentences -------------------------------------------------------------------------------------------------------


def bench_agrees(check: Check) -> bool | None:
    """Whether nothing speaks against any measured point of a bench; None where it has none."""
    if check.bench is None or not check.bench.points:
        return None
    return all(point.agrees for point in check.bench.points)


def bench_label(check: Check) -> str:
    """A bench in a word or two; empty where the check has none."""
    if check.bench is None:
        return ""
    if not check.bench.points and not check.bench.problems:
        return NOTHING_GIVEN
    agrees = bench_agrees(check)
    return WORKED if agrees is None else AGREES if agrees else DIFFERS


def bench_sentence(check: Check, system: UnitSystem) -> str:
    """What carries the label: how many points agree, and what was asked in a problem."""
    return " ".join(_bench_sentences(check.bench, system)) if check.bench is not None else ""


def _bench_sentences(bench: BenchCheck, system: UnitSystem) -> Iterator[str]:
    if bench.points:
        good = sum(point.agrees for point in bench.points)
        count = len(bench.points)
        against = "" if bench.conductance is None else " and with the stated conductance"
        yield f"In {good} of {count} measured points both heats agree{against}.{_to_look_at(bench)}"
    if bench.problems:
        yield from _of_problems(bench, system)
    if not bench.points and not bench.problems:
        yield "Enter measured points, or paste a table of them under Bench, or enter a problem."


def _of_problems(bench: BenchCheck, system: UnitSystem) -> Iterator[str]:
    """What was asked in each problem and came out; how many there are, where points come first or they are many."""
    solved = [p for p in bench.problems if p.status is ProblemStatus.SOLVED]
    count = len(solved)
    if count > MOST_TOLD or (bench.points and count > 1):
        yield f"{count} problems are worked out in the table of problems."
        return
    for problem in solved:
        told = ", ".join(_asked_of_problem(bench, problem, system))
        yield f"{problem.name}: {told}."


def _asked_of_problem(bench: BenchCheck, problem: ProblemAnswer, system: UnitSystem) -> Iterator[str]:
    """Each number that was asked, as the table of problems has it: "hot side out 41.2 °C"."""
    for name, (label, kind) in _PROBLEM_ROWS.items():
        if name in problem.asked:
            head = with_symbols(label, symbols_of(bench))
            plain_head = head[0].lower() + head[1:] if head[1:2].islower() else head
            yield f"{plain_head} {_result_text(problem.numbers[name], kind, system)}"


def _to_look_at(bench: BenchCheck) -> str:
    """Which points have something against them; the first few where there are many."""
    off = [
        point_name(point).replace(", ", " (", 1) + ")" * bool(point.group) for point in bench.points if not point.agrees
    ]
    if not off:
        return ""
    named = " and ".join(filter(None, (", ".join(off[:-1]), off[-1])))
    if len(off) > MOST_NAMED:
        named = f"{', '.join(off[:MOST_NAMED])} and {len(off) - MOST_NAMED} more"
    return f" Look at point{'s' * (len(off) > 1)} {named}."


def bench_finding(name: str, finding: Finding, system: UnitSystem) -> str:
    """The sentence of a finding about a measured point."""
    n = finding.numbers
    match finding.code:
        case FindingCode.BENCH_IMPOSSIBLE:
            return (
                f"{name}: by the heat measured the effectiveness is {plain_number(n['effectiveness'])}, and this arrangement "
                f"cannot exceed {plain_number(n['highest'])} at these flows (second law). Check flows and temperatures, and "
                "whether the streams pass each other as entered."
            )
        case FindingCode.BENCH_GAINS:
            hot, cold = (show(n[key], "heat rate", system) for key in ("heat_hot", "heat_cold"))
            return (
                f"{name}: the cold stream takes up {cold}, more than the {hot} that the hot one gives off (first law). No "
                "loss explains that: a flow or a temperature is wrong, or heat comes in from the room."
            )
        case FindingCode.BENCH_LOSES:
            missing = 100.0 * (1.0 - n["heat_cold"] / n["heat_hot"])
            return (
                f"{name}: {plain_number(missing, 2)} % of the hot stream's heat does not arrive in the cold one. It is lost "
                "to the room, or a flow or a temperature is wrong."
            )
        case FindingCode.BENCH_OUTLIER:
            return f"{name} lies off the others by far more than they scatter. Look at how it was measured before it counts."
    measured, stated = (show(n[key], "conductance", system) for key in ("UA", "stated"))
    off = f"{100.0 * n['difference']:+.1f} %"
    said = (
        "They agree within the uncertainty."
        if finding.code is FindingCode.BENCH_AGREES
        else "The uncertainty does not explain the difference."
    )
    return f"{name}: measured conductance {measured}, stated {stated} ({off}). {said}"
