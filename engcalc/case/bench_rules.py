"""What the bench's inputs need together: both fluids and the arrangement, and what each kind of fluid asks for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engcalc.case.case import Case, Given
from engcalc.case.sections import Sections
from engcalc.case.sections.bench import BY_NAME, BY_PROPERTIES, GLYCOLS, Stream
from engcalc.errors import InputFault
from engcalc.words.texts import case_texts

BENCH = ("hot_stream", "cold_stream", "exchanger", "problems")
"""Sections that belong to an exchanger on a bench."""
STREAMS = ("hot_stream", "cold_stream")
BENCH_CLASS = "bench rig"
SYMBOLS_OF_CLASS = "exchanger.symbols"
"""Which set of symbols the class writes: of a radiator's working as of any exchanger's."""
_COUNTS_FOR: Mapping[str, tuple[str, ...]] = {
    "substance": (BY_NAME,),
    "concentration": GLYCOLS,
    "pressure": ("air", BY_NAME),
    "density": (BY_PROPERTIES,),
    "specific_heat": (BY_PROPERTIES,),
}
"""Inputs of a stream that count for some fluids only."""
UNKNOWNS = 3  # heat of either stream and what the exchanger passes on: so many numbers follow from the others
PROBLEM_NUMBERS = (
    "hot_flow",
    "hot_in",
    "hot_out",
    "cold_flow",
    "cold_in",
    "cold_out",
    "heat",
    "conductance",
)
_FROM_HOT_TO_COLD = (
    ("hot_out", "hot_in"),
    ("cold_in", "cold_out"),
    ("cold_in", "hot_in"),
    ("cold_out", "hot_in"),
    ("cold_in", "hot_out"),
)


def on_a_bench(sections: Sections) -> bool:
    """Whether the case is of an exchanger with two fluids of its own, not of a radiator."""
    return sections.hot_stream.fluid is not None and sections.cold_stream.fluid is not None


def only_a_bench(case: Case) -> bool:
    """Whether there is nothing but an exchanger on a bench: its duties are those of the class, which nobody typed."""
    return on_a_bench(case) and not case.own_duties


def has_engine(case: Case) -> bool:
    """Whether there is an engine with its cooling system: neither on a bench rig nor round an exchanger alone."""
    return case.vehicle.class_ != BENCH_CLASS and not only_a_bench(case)


def asks_for_a_duty(case: Case) -> bool:
    """Whether there is a duty to work: that of an empty bench is nobody's, and carries no heat."""
    return bool(case.duties) and (case.own_duties or case.vehicle.class_ != BENCH_CLASS)


def has_duty_to_study(case: Case) -> bool:
    """Whether other parts and conditions can be tried in a duty: not on an exchanger alone, nor an empty bench."""
    return asks_for_a_duty(case) and not only_a_bench(case)


def has_duty_to_draw(case: Case) -> bool:
    """Whether there is a duty of a radiator, not of an exchanger with two fluids of its own."""
    return asks_for_a_duty(case) and not on_a_bench(case)


def of_no_use(path: str, fluid: str | None) -> bool:
    """Whether an input says nothing of the fluid of its stream, such as the share of glycol in plain water."""
    section, _, name = path.partition(".")
    return section in STREAMS and name in _COUNTS_FOR and fluid not in _COUNTS_FOR[name]


def bench_faults(s: Sections, given: Mapping[str, Given]) -> Iterator[InputFault]:
    """Every fault of the bench's sections that shows only in several inputs together."""
    stated = any(one.typed and _of_bench(path) for path, one in given.items())
    words = {
        "hot_stream.fluid": s.hot_stream.fluid,
        "cold_stream.fluid": s.cold_stream.fluid,
        "exchanger.arrangement": s.exchanger.arrangement,
    }
    if not (stated or s.problems or any(words.values()) or s.hot_stream.substance or s.cold_stream.substance):
        return
    wants = {"hot_stream.fluid": case_texts.NAME_THE_HOT_FLUID, "cold_stream.fluid": case_texts.NAME_THE_COLD_FLUID}
    for path, word in words.items():
        if word is None:
            wanted = wants.get(path, case_texts.SAY_HOW_THE_STREAMS_PASS_EACH_OTHER)
            yield InputFault(path, "", case_texts.NOTHING_IS_ASSUMED_FOR_AN_EXCHANGER.format(wanted=wanted))
    for name, stream in zip(STREAMS, (s.hot_stream, s.cold_stream), strict=True):
        yield from _stream(name, stream)
    yield from _by_volume(s, given)
    yield from _still(s)
    for i, _ in enumerate(s.problems):
        yield from _problem(s, i)


def _of_bench(path: str) -> bool:
    """Whether an input says something of an exchanger with two fluids of its own; symbols serve any working."""
    section = path.partition(".")[0].partition("[")[0]
    return section in BENCH and path != SYMBOLS_OF_CLASS


def _stream(name: str, stream: Stream) -> Iterator[InputFault]:
    if stream.fluid == BY_NAME and not stream.substance:
        yield InputFault(f"{name}.substance", "", case_texts.ITS_NAME_IN_COOLPROP_WOULD_DO)
    if stream.fluid == BY_PROPERTIES and stream.specific_heat is None:
        yield InputFault(f"{name}.specific_heat", "", case_texts.FLUID_BY_ITS_PROPERTIES_NEEDS)


def _by_volume(s: Sections, given: Mapping[str, Given]) -> Iterator[InputFault]:
    """A flow by volume asks for a density."""
    points = [f"rig[{i}]" for i in range(len(s.rig))]
    problems = [f"problems[{i}]" for i in range(len(s.problems))]
    items = points + problems
    for name, stream in zip(STREAMS, (s.hot_stream, s.cold_stream), strict=True):
        if stream.fluid != BY_PROPERTIES or stream.density is not None:
            continue
        flows = (given.get(f"{item}.{name.removesuffix('stream')}flow") for item in items)
        if any(flow is not None and flow.kind != "mass flow" for flow in flows):
            yield InputFault(f"{name}.density", "", case_texts.FLOW_GIVEN_BY_VOLUME_NEEDS_THE_DENSITY)


def _still(s: Sections) -> Iterator[InputFault]:
    """A stream that stands still: it takes no heat away, and no number follows from it."""
    items = (
        *((f"rig[{i}]", one) for i, one in enumerate(s.rig)),
        *((f"problems[{i}]", one) for i, one in enumerate(s.problems)),
    )
    for path, item in items:
        for name in ("hot_flow", "cold_flow"):
            flow = getattr(item, name)
            if flow is not None and bool((flow <= 0.0).any()):
                yield InputFault(f"{path}.{name}", "0", case_texts.FLOW_ABOVE_NOTHING_WOULD_DO)


def _problem(s: Sections, i: int) -> Iterator[InputFault]:
    problem = s.problems[i]
    path = f"problems[{i}]"
    known = [name for name in PROBLEM_NUMBERS if getattr(problem, name) is not None]
    wanted = len(PROBLEM_NUMBERS) - UNKNOWNS
    if len(known) != wanted:
        yield InputFault(
            path,
            f"{len(known)} numbers",
            case_texts.OF_FLOWS_TEMPERATURES.format(wanted=wanted, unknowns=UNKNOWNS),
        )
    for low, high in _FROM_HOT_TO_COLD:
        one = getattr(problem, low)
        other = getattr(problem, high)
        if one is not None and other is not None and bool((one >= other).any()):
            yield InputFault(f"{path}.{low}", "", case_texts.BELOW_WOULD_DO.format(high=high))
