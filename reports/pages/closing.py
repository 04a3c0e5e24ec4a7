"""What every report ends with: inputs and their basis, assumptions, uncertainty, validity, sources, cautions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reportlab.platypus.flowables import Flowable

from engcalc.case.bench_rules import BENCH, STREAMS, of_no_use
from engcalc.case.case import Case, Given
from engcalc.case.declare import Basis
from engcalc.case.sections import SECTION_LABELS
from engcalc.quantity_kinds import KINDS
from engcalc.studies.checked import Check
from engcalc.units import UnitSystem, unit_for
from engcalc.verdict import FindingCode
from engcalc.words.answer.reasons import outside_sentence
from engcalc.words.lesson.bench_words import BENCH_ASSUMPTIONS, BENCH_CAUTIONS, BENCH_SOURCES, BENCH_UNCERTAINTY
from engcalc.words.lesson.rig_words import RIG_ASSUMPTIONS, RIG_SOURCES, RIG_SPREADS_DRAWN
from engcalc.words.page.cautions import CAUTIONS
from engcalc.words.page.closing_words import (
    ALL_IN_RANGE,
    ASSUMPTIONS,
    CONTINUED,
    CORE_FROM_DIMENSIONS,
    CORE_SCALED,
    FILLED_LEAD,
    FILLED_ON_BENCH,
    SOURCES,
    SPEED_GUESSED_IN,
    SPREADS_DRAWN,
    SPREADS_NOT_DRAWN,
)
from engcalc.words.page.paper_words import TYPICAL_COUNT
from engcalc.words.terms.foreign import visible
from engcalc.words.terms.numbers import capital
from engcalc.words.texts import page_texts
from reports.formulas import symbol_markup
from reports.kinds import Annex, Order
from reports.layout import HeadedTable, Marked, bullets, grid, para, subheading
from reports.pages.values import as_given, label_of, symbol_of, uncertainty_of
from reports.texts import cut

GROUPS = (
    (Basis.MEASURED, "Measured"),
    (Basis.PUBLISHED, page_texts.PUBLISHED_BY_THE_MAKER_OR_ELSEWHERE),
    (Basis.ENTERED, page_texts.AS_ENTERED_BASIS_NOT_STATED),
    (Basis.ASSUMED, "Assumed"),
    (Basis.TYPICAL, page_texts.TYPICAL_OF_THE_CLASS),
    (Basis.DERIVED, page_texts.FOLLOWING_FROM_THE_OTHERS),
)
FILLED = (Basis.TYPICAL, Basis.ASSUMED, Basis.DERIVED)
OF_A_VEHICLE = ("vehicle", "engine", "thermostat", "heater", "cabin", "airflow", "circuit")
"""Sections that are of a vehicle; what is typed in them on a rig is shown."""
CLASS = "vehicle.class"
COUNTS_ON_A_RIG = ("airflow.uneven_air", "circuit.aeration")
"""Their inputs that count on a rig too, typed or not: its air is given and its water pumped round."""
OTHER_PAGES = (
    "job",
    "refill",
    "duties",
    "evidence",
    "rig",
    "problems",
)  # shown where they belong, not in the list of inputs


@dataclass(frozen=True)
class _Entry:
    """One input as the list shows it."""

    given: Given
    cells: tuple[str, Marked, str, str]


def inputs_part(order: Order, width: float) -> list[Flowable]:
    """Every input with its basis: first what was measured, published or typed, two abreast in a short annex; then in
    small type the rest, which a short annex only counts."""
    entries = list(_entries(order))
    parts: list[Flowable] = []
    for basis, words in GROUPS:
        told = [e.cells for e in entries if e.given.basis is basis and not _is_filled(e.given)]
        if told and order.annex is Annex.FULL:
            head = ("Input", "", "Value", "Uncertainty")
            parts += [subheading(words), grid(HeadedTable(head, told, shares=_SHARES), width)]
        elif told:
            parts.append(_two_abreast(words, [(label, value, spread) for label, _, value, spread in told], width))
    filled = [e for e in entries if _is_filled(e.given)]
    if filled and order.annex is not Annex.FULL:
        parts.append(para(TYPICAL_COUNT.format(count=len(filled)), "small"))
    elif filled:
        parts += [
            subheading(page_texts.FILLED_IN_NOT_TYPED),
            para(FILLED_ON_BENCH if order.check.is_bench_alone else FILLED_LEAD, "small"),
            *_filled(filled, width),
        ]
    return [*parts, *_rests_on(order, width)]


def _rests_on(order: Order, width: float) -> list[Flowable]:
    """The logs and tables that the numbers rest on, by their SHA-256: the same file anywhere gives the same digits."""
    parts: list[Flowable] = []
    if order.files:
        rows = [(cut(visible(one.name), LONGEST_NAME), f"{one.length:,}", one.sha256) for one in order.files]
        head = ("File", "Bytes", "SHA-256")
        parts += [
            subheading(page_texts.FILES_THAT_THE_NUMBERS_REST_ON),
            grid(HeadedTable(head, rows, small=True, shares=(0.26, 0.1, 0.64)), width),
        ]
    if order.left_out:
        names = ", ".join(cut(visible(name), LONGEST_NAME) for name in order.left_out)
        parts.append(para(page_texts.FILES_LEFT_OUT.format(names=names), "small"))
    return parts


LONGEST_NAME = 40  # signs of a file's name in the table
_SHARES = (0.46, 0.1, 0.26, 0.18)


def _is_filled(given: Given) -> bool:
    return not given.typed and given.basis in FILLED


def _entries(order: Order) -> Iterator[_Entry]:
    """Every input but those of other pages, and but what is filled in of a thing that is not there."""
    check, system = order.check, order.system
    case = check.case
    for path, given in case.given.items():
        section = path.split(".")[0].split("[")[0]
        in_vain = _is_absent(path, section, check) or of_no_use(path, _fluid(case, section))
        filled_in_vain = in_vain and not given.typed
        if section in OTHER_PAGES or filled_in_vain or (check.is_bench_alone and section not in BENCH):
            continue
        value = as_given(case, path, system)
        if value:
            unit = unit_for(given.kind, UnitSystem.SI) if given.kind in KINDS else ""  # a word has none
            symbol = order.write(symbol_of(path), unit)
            cell = Marked(symbol_markup(symbol), symbol)
            label = _label(path) if check.plant.engine.present or path != CLASS else page_texts.WHAT_IT_IS_ABOUT
            yield _Entry(given, (label, cell, value, uncertainty_of(case, given, system)))


def _is_absent(path: str, section: str, check: Check) -> bool:
    """Whether an input is of a thing that this case has not: of a vehicle on a rig, of a bench in a vehicle."""
    no_vehicle = not check.plant.engine.present and section in OF_A_VEHICLE and path not in COUNTS_ON_A_RIG
    return no_vehicle or (check.bench is None and section in BENCH)


def _fluid(case: Case, section: str) -> str | None:
    """What flows in a stream on the bench; None of any other section."""
    return getattr(case, section).fluid if section in STREAMS else None


def _label(path: str) -> str:
    """Section and label; an item of a list by its number."""
    head, _, rest = path.partition(".")
    item = f" {int(rest.split('[')[1].split(']')[0]) + 1}" if "[" in rest else ""
    section, label = SECTION_LABELS[head], label_of(path)
    if not item and label.lower().startswith(section.lower()):
        return label
    return f"{section}{item}: {label[:1].lower()}{label[1:]}"


def _filled(entries: Sequence[_Entry], width: float) -> list[Flowable]:
    """In small type, two abreast; what each source gave stands together."""
    parts: list[Flowable] = []
    for basis, words in (
        (Basis.TYPICAL, ""),
        (Basis.ASSUMED, "assumed"),
        (Basis.DERIVED, page_texts.FOLLOWING_FROM_THE_OTHERS_IN_A_LINE),
    ):
        sources = dict.fromkeys(words or e.given.source for e in entries if e.given.basis is basis)
        for source in sources:
            some = [e for e in entries if e.given.basis is basis and (words or e.given.source) == source]
            title = capital(source)
            if basis is Basis.DERIVED:
                rows = [(e.cells[0], e.cells[2], e.given.source) for e in some]
                parts.append(grid(HeadedTable((title, "", ""), rows, small=True, shares=(0.3, 0.14, 0.56)), width))
            else:
                parts.append(_two_abreast(title, [(e.cells[0], e.cells[2], e.cells[3]) for e in some], width))
    return parts


def _two_abreast(title: str, cells: Sequence[tuple[str, str, str]], width: float) -> Flowable:
    half = -(-len(cells) // 2)
    right = [*cells[half:], *[("", "", "")] * (2 * half - len(cells))]
    rows = [(*one, *other) for one, other in zip(cells[:half], right, strict=True)]
    shares = (0.28, 0.15, 0.07, 0.28, 0.15, 0.07)
    return grid(HeadedTable((title, "", "", "", "", ""), rows, small=True, shares=shares), width)


def assumptions_part(order: Order, _width: float) -> list[Flowable]:
    """What was taken for granted, by the model and about this layout."""
    check = order.check
    if check.is_bench_alone:
        return bullets(list(BENCH_ASSUMPTIONS))
    taken = ASSUMPTIONS if check.plant.engine.present else RIG_ASSUMPTIONS
    layout = [f"{capital(a.value)}." for a in check.plant.assumptions]
    return [
        *bullets([*layout, *_guessed(check), *taken]),
        *(
            [subheading(page_texts.REMARKS_ON_THE_CASE_FILE), *bullets(list(check.case.warnings), "small")]
            if check.case.warnings
            else []
        ),
    ]


def _guessed(check: Check) -> list[str]:
    names = [d.name for d in check.duties if any(f.code is FindingCode.SPEED_GUESSED for f in d.findings)]
    return [SPEED_GUESSED_IN.format(duties="; ".join(names))] * bool(names)


def uncertainty_part(order: Order, _width: float) -> list[Flowable]:
    """Where spreads and odds come from, and what lies outside a formula's range."""
    if order.check.is_bench_alone:
        return [para(BENCH_UNCERTAINTY)]
    odds = any(duty.holds_probability is not None for duty in order.check.duties)
    drawn = SPREADS_DRAWN if order.check.plant.engine.present else RIG_SPREADS_DRAWN
    told = drawn if odds else SPREADS_NOT_DRAWN
    scaled = CORE_SCALED if order.check.rated is not None else CORE_FROM_DIMENSIONS
    return [para(told), para(scaled), *_validity(order.check, order.system)]


def _validity(check: Check, system: UnitSystem) -> list[Flowable]:
    if not check.validity:
        return [para(ALL_IN_RANGE)]
    names = [d.name for d in check.duties]
    said = [f"{outside_sentence(one, system, names)} Data: {one.span.source}." for one in check.validity]
    return [
        subheading(page_texts.OUTSIDE_A_FORMULAS_RANGE),
        para(CONTINUED),
        *bullets(list(dict.fromkeys(said))),
    ]


def sources_part(order: Order, _width: float) -> list[Flowable]:
    """Where the formulas and properties come from."""
    of_a_core = SOURCES if order.check.plant.engine.present else RIG_SOURCES
    return bullets(list(BENCH_SOURCES if order.check.is_bench_alone else of_a_core), "small bullet")


def cautions_part(order: Order, width: float) -> list[Flowable]:
    """What to mind when acting on the report: all of it, for a report goes from hand to hand."""
    if not order.check.plant.engine.present:
        return bullets(list(BENCH_CAUTIONS))
    rows = [
        (capital(when.value), " ".join(caution.text for caution in some)) for when, some in CAUTIONS.items() if some
    ]
    return [grid(HeadedTable(("When", "Mind"), rows, small=True, shares=(0.18, 0.82)), width)]
