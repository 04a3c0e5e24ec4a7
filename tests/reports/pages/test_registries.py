"""The lists of pictures and of report sections: each entry is made for an example, stands where it says, and alone."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pypdfium2
import pytest
from less_effort import FEW

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import SUFFIX, read_case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.odds.diagnosis import diagnose
from engcalc.diagnosis.repair.before_after import compare
from engcalc.studies.checked import Check, check_of_bench
from engcalc.studies.choice import core_search
from engcalc.studies.choice.candidates import compare_parts
from engcalc.studies.choice.core_builds import Room
from engcalc.studies.choice.least_core import least_core
from engcalc.studies.choice.sizing import size
from engcalc.studies.choice.tables import parse_table
from engcalc.studies.spread.sensitivity import sensitivity
from engcalc.studies.sweeps import SweepAxis, margin_map, sweep
from engcalc.studies.teaching import taught
from engcalc.units import UnitSystem
from engcalc.vehicle.earlier import EarlierVisit, LeftOpen, measured_runs
from engcalc.vehicle.moment import RecordMoment
from engcalc.vehicle.run import read_logs
from engcalc.vehicle.warmup_study import study
from reports.build import Options, build
from reports.kinds import Annex, Order, Records, ReportKind
from reports.layout import PAGE_SIZES, frame_width
from reports.pages.duty_tables import tables_abreast
from reports.plots.describe import Axis, Plot, Rows, Words
from reports.plots.registry import PICTURES, ChosenDuty, Paper, PictureEntry, PicturePlace, Screen, pictures_at
from reports.sections import SECTIONS, sections_of

PROJECT = Path(__file__).resolve().parents[3]
FOLDER = worked_examples.folder()
EXAMPLES = (
    "bench-exchanger",
    "double-pipe",
    "tow-and-track",
    "track-day-car",
    "van-no-heat",
    "van-repaired",
    "repaired",
)
PLOT_TYPES = {"Plot", "Chart", "Rows", "Flow", "Map", "CircuitPlot", "None"}
SHORT_RUN = {
    "vehicle": {"class": "family car"},
    "duties": [{"name": "Town", "vehicle_speed": "50 km/h", "ambient": "5 degC"}],
    "evidence": {
        "before": {
            "ambient": "5 degC",
            "start_temperature": "5 degC",
            "engine_off_phases": "no",
            "schedule": [{"vehicle_speed": "50 km/h", "duration": "12 min"}],
            "curve": [[0, "5 degC"], [4, "62 degC"], [8, "75 degC"], [12, "79 degC"]],
        }
    },
}


def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def imports_of(path: Path) -> Iterator[tuple[str, str]]:
    """Module and name of everything that a file imports by ``from``."""
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.ImportFrom):
            yield from ((node.module or "", alias.name) for alias in node.names)


def places(of: type) -> dict[str, PicturePlace[object]]:
    return {name: place for name, place in vars(of).items() if isinstance(place, PicturePlace)}


# ---- what the lists themselves must be ------------------------------------------------------------------------------


def test_each_picture_has_a_key_and_a_title_of_its_own_and_a_place():
    assert len({entry.key for entry in PICTURES}) == len(PICTURES)
    assert len({entry.title for entry in PICTURES}) == len(PICTURES)
    assert all(entry.title.strip() == entry.title != "" for entry in PICTURES)
    assert all(entry.screen is not None or entry.paper is not None for entry in PICTURES)


def test_each_place_has_a_name_of_its_own_and_pictures():
    every = [*places(Screen).values(), *places(Paper).values()]
    assert len({place.name for place in places(Screen).values()}) == len(places(Screen))
    assert len({place.name for place in places(Paper).values()}) == len(places(Paper))
    assert all(pictures_at(place) for place in every)
    assert {id(place) for e in PICTURES for place in (e.screen, e.paper) if place is not None} == set(map(id, every))


def asks_for(folder: str, word: str) -> dict[str, set[str]]:
    """Which place of ``word`` each file of a folder shows."""
    found: dict[str, set[str]] = {}
    for path in sorted((PROJECT / folder).rglob("*.py")):
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == word:
                found.setdefault(node.attr, set()).add(path.relative_to(PROJECT).as_posix())
    return found


def test_each_place_on_screen_is_shown_by_one_widget():
    shown = asks_for("ui", "Screen")
    assert set(shown) == set(places(Screen))
    assert {name: files for name, files in shown.items() if len(files) != 1} == {}


def test_each_place_on_paper_is_shown_by_a_page():
    shown = asks_for("reports/pages", "Paper")
    assert set(shown) == set(places(Paper))
    several = {name: files for name, files in shown.items() if len(files) != 1}
    # readings stand on page one where they carry the conclusion, else with what was measured: never on both
    assert several == {
        "READINGS": {"reports/pages/one_picture.py", "reports/pages/evidence.py"},
        "WARMUP": {"reports/pages/one_picture.py", "reports/pages/warmup.py"},
    }


@cache
def builder_files() -> set[str]:
    """The modules from which the list takes its builders."""
    modules = {module for module, _ in imports_of(PROJECT / "reports/plots/registry.py")}
    return {m for m in modules if m.startswith("reports.plots.")} - {"reports.plots.describe"}


def builders(module: str) -> Iterator[str]:
    """Public functions of a module that give a picture."""
    for node in tree_of(PROJECT / f"{module.replace('.', '/')}.py").body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_") and node.returns is not None:
            names = set(ast.unparse(node.returns).split(" | "))
            if names <= PLOT_TYPES:
                yield node.name


def test_no_builder_is_left_out_of_the_list():
    listed = {name for _, name in imports_of(PROJECT / "reports/plots/registry.py")}
    every = {name for module in builder_files() for name in builders(module)}
    # air's and coolant's shares come from one builder; fan and pump stand in a lesson and in a sizing report
    assert len(every) >= len(PICTURES) - 3
    assert every - listed == {"effectiveness_chart"}  # which duty_effectiveness calls with the duty's own numbers


def test_no_picture_is_built_elsewhere():
    own = {"reports/plots/registry.py"} | {f"{module.replace('.', '/')}.py" for module in builder_files()}
    wrong = []
    for folder in ("reports", "ui", "engcalc"):
        for path in sorted((PROJECT / folder).rglob("*.py")):
            name = path.relative_to(PROJECT).as_posix()
            if name not in own:
                bad = [f"{m}.{n}" for m, n in imports_of(path) if {m, f"{m}.{n}"} & builder_files()]
                wrong += [f"{name}: {one}" for one in bad]
    assert wrong == []


# ---- each is made for an example ------------------------------------------------------------------------------------


@cache
def case_of(name: str) -> Case:
    found = resolve(read_case(FOLDER / f"{name}{SUFFIX}"))
    assert isinstance(found, Case), found
    return found


@pytest.fixture(scope="module")
def proof() -> Records:
    case = case_of("van-repaired")
    found = study(case, read_logs(case, FOLDER), members=24, fits=False)
    return Records(found, compare(found))


@pytest.fixture(scope="module")
def causes():
    return diagnose(case_of("van-no-heat"), {}, effort=FEW)


@pytest.fixture(scope="module")
def least():
    """The least core of a handful of builds."""
    with pytest.MonkeyPatch.context() as patch:
        for name, values in (("TUBE_WIDTHS", (0.042,)), ("ROWS", (1,)), ("FINS_PER_INCH", (22,)), ("PASSES", (1,))):
            patch.setattr(core_search, name, values)
        return least_core(read_case(FOLDER / f"track-day-car{SUFFIX}"), Room(0.60, 0.75, 0.05))


@pytest.fixture(scope="module")
def side_by_side():
    """Three parts beside the car as it is."""
    parts = parse_table("name,core_height [mm],price\nTall,420,310\nTaller,460,\nTallest,490,390\n")
    return compare_parts(read_case(FOLDER / f"track-day-car{SUFFIX}"), parts)


@pytest.fixture(scope="module")
def subjects(example, proof, causes, least) -> dict[PicturePlace[object], list[object]]:
    """Something to draw for each place on the screen, and for that on paper whose pictures stand nowhere else."""
    checks = [example(name).check for name in EXAMPLES]
    duties = [ChosenDuty(check, duty) for check in checks for duty in check.duties]
    track = case_of("track-day-car")
    short = resolve(CaseText({"format": FORMAT, **SHORT_RUN}))
    run = study(short, {}, members=12).records
    folder = worked_examples.folder()
    van = case_of("van-repaired")
    opening = LeftOpen(0.02, 0.03, 0.05, 1.0, 0.2)
    visit = measured_runs(van, read_logs(van, folder), lambda _run: opening)
    earlier = tuple(EarlierVisit(n, f"2026-0{n}-16", visit, None) for n in (1, 2))
    values = track.duties[0].ambient + np.linspace(0.0, 20.0, 5)
    speeds = np.array([5.0, 15.0, 25.0])
    of_duties = dict.fromkeys((Screen.READINGS, Screen.BENCH, Screen.DUTY, Screen.CIRCUIT, Screen.MORE), duties)
    map_paths = ("duties[0].vehicle_speed", SweepAxis.AMBIENT.path(0))
    return {
        **of_duties,
        Screen.EXCHANGER: [ChosenDuty(check, None) for check in (*checks, _shell_and_tube())],
        Screen.TEACHING: [taught(case_of("tow-and-track"), 5)],
        Paper.CURVES: [taught(case_of("tow-and-track"), 5)],
        Screen.CAUSES: [causes],
        Screen.WARMUP: run,
        Screen.WARMUP_END: run,
        Screen.LIVE: run,
        Screen.WARMUP_CIRCUIT: [RecordMoment(short, record, 300.0) for record in run],
        Screen.LIVE_PROOF: [proof.both],
        Screen.PROOF: [proof.both],
        Screen.EARLIER: [earlier],
        Screen.LIMITS: [size(track)],
        Screen.LEAST_CORE: [least],
        Screen.COURSES: [course for check in checks for course in check.courses],
        Screen.SWEEP: [sweep(track, 0, SweepAxis.AMBIENT.path(0), values)],
        Screen.MAP: [margin_map(track, 0, speeds, values[:3], x_axis=map_paths[0], y_axis=map_paths[1])],
        Screen.SENSITIVITY: [sensitivity(track, 0)],
    }


def _shell_and_tube() -> Check:
    """The bench with one shell pass and two tube passes, of which there is a chart of F."""
    text = read_case(FOLDER / f"double-pipe{SUFFIX}").with_value("exchanger.arrangement", "shell and tube 1-2")
    return check_of_bench(resolve(text))


@pytest.mark.parametrize("system", list(UnitSystem))
@pytest.mark.parametrize("entry", PICTURES, ids=[entry.key for entry in PICTURES])
def test_each_picture_is_built_for_an_example_and_has_words(entry, system, subjects):
    built = [entry.build(subject, system) for subject in subjects[entry.screen or entry.paper]]
    drawn = [plot for plot in built if plot is not None]
    assert drawn, "built for no example"
    assert all(isinstance(plot, Plot) for plot in drawn)
    assert all(plot.words.title and plot.words.caption is not None and plot.words.alternative for plot in drawn)


def test_pictures_of_a_duty_stand_in_the_report_where_the_list_says(example, report, page_texts):
    """Titles in the text of the pages as a reader that is not ours finds them."""
    seen = set()
    for name in ("bench-exchanger", "tow-and-track", "track-day-car"):
        check = example(name).check
        text = " ".join(page_texts(report(name, ReportKind.SIZING)))
        for place in (Paper.SIZING_PAGE, Paper.HARDEST_DUTY, Paper.MEASURED):
            for entry in pictures_at(place):
                plots = [entry.build(ChosenDuty(check, duty), UnitSystem.SI) for duty in check.duties]
                on_page = [plot for plot in plots if plot is not None and plot.words.title in text]
                if on_page:
                    seen.add(entry.key)
    paper = {e.key for p in (Paper.SIZING_PAGE, Paper.HARDEST_DUTY, Paper.MEASURED) for e in pictures_at(p)}
    assert seen == paper


# ---- sections -------------------------------------------------------------------------------------------------------


def test_each_section_has_a_key_and_a_title_of_its_own():
    assert len({section.key for section in SECTIONS}) == len(SECTIONS)
    assert len({section.title for section in SECTIONS}) == len(SECTIONS)
    assert all(section.from_annex for section in SECTIONS)


def test_a_report_takes_its_pages_from_the_list_alone():
    """Only the customer's two pages and the signature are added by hand: the places of the signatures are known only
    from there. From the others come titles."""
    taken = {module for module, _ in imports_of(PROJECT / "reports/build.py") if module.startswith("reports.pages")}
    assert taken == {"reports.pages.signature", "reports.pages.customer"}


def first_words(flowables) -> str:
    """The text of the first flowable that has one."""
    texts = (one.getPlainText() for one in flowables if hasattr(one, "getPlainText"))
    return next(texts, "")


@pytest.fixture(scope="module")
def orders(example, subject_from, moment, proof, causes, least, side_by_side) -> list[Order]:
    """What reports of both kinds are made from: every example, one with records in time, one with causes, a refill."""
    extras = {"van-repaired": (proof, None), "van-no-heat": (None, causes)}
    refilled = {**SHORT_RUN, "format": FORMAT, "refill": {"drained": "4 L", "filled": "3.5 L", "target": "45 %"}}
    checks = {name: example(name).check for name in EXAMPLES} | {"refilled": subject_from(refilled).check}
    found = []
    for name, check in checks.items():
        records, diagnosis = extras.get(name, (None, None))
        for kind in ReportKind:
            order = Order(check, kind, moment, UnitSystem.SI, False, FOLDER, None, "test", records, diagnosis)
            if name == "track-day-car":
                order = replace(order, least_core=least, candidates=side_by_side)
            found.append(order)
    return found


def test_a_sizing_report_with_three_parts_and_the_least_core_takes_eight_pages(
    example, moment, least, side_by_side, page_texts
):
    one = example("track-day-car")
    options = Options(annex=Annex.SHORT, least_core=least, candidates=side_by_side)
    texts = page_texts(build(one.check, one.text, ReportKind.SIZING, moment, options).pdf)
    assert 6 <= len(texts) <= 8
    assert all(f"{name}: " in " ".join(texts) for name in ("Tall", "Taller", "Tallest"))
    assert "Reviewer" in texts[-1]
    assert min(len(text) for text in texts) > 700  # letters: no page is nearly empty


def test_six_duties_stand_in_one_table():
    """Six duties made two tables of three each, three times in a report: a page and a half more."""
    names = [f"Duty {i}" for i in range(1, 9)]
    width = frame_width(PAGE_SIZES[UnitSystem.SI])
    for many, tables in ((5, 1), (6, 1), (7, 1), (8, 2)):
        duties = [SimpleNamespace(name=name) for name in names[:many]]
        assert len(tables_abreast(duties, [("Row", ["1"] * many)], width)) == tables


@pytest.mark.parametrize("kind", list(ReportKind))
def test_each_section_is_there_for_an_example_under_its_title(kind, orders):
    width = frame_width(PAGE_SIZES[UnitSystem.SI])
    missing = {section.key for section in sections_of(kind, Annex.FULL)}
    for order in (order for order in orders if order.kind is kind):
        for section in sections_of(kind, Annex.FULL):
            parts = section.parts(order, width)
            if not parts:
                continue
            missing.discard(section.key)
            first = first_words(parts)
            own_titles = {
                "sizing_page": order.check.case.job.title,
                "lesson_page": order.check.case.job.title,
                "point_working": "Working of measured point 1",
                "bench_working": "Working of measured point 1",
                "hardest_duty": "What limits it",  # where the duty is hot
            }
            expected = (section.title, own_titles.get(section.key) or section.title)
            assert first.startswith(expected), (section.key, first)
    assert missing == set()


@pytest.mark.parametrize("kind", list(ReportKind))
def test_sections_stand_on_the_pages_in_the_order_of_the_list(kind, report):
    document = pypdfium2.PdfDocument(report("track-day-car", kind))
    headings = [mark.get_title() for mark in document.get_toc()]
    document.close()
    titles = [section.title for section in sections_of(kind, Annex.FULL)[1:] if not section.heads_itself]
    on_paper = [heading for heading in headings if heading in titles]
    assert len(on_paper) >= 6
    assert on_paper == [title for title in titles if title in on_paper]


def test_a_picture_without_a_title_of_its_own_has_that_of_its_entry() -> None:
    axis = Axis("Temperature", "temperature", "°C", (0.0, 1.0), (0.0, 1.0))
    for own, shown in (("", "Peaks"), ("Its own", "Its own")):
        rows = Rows(Words(own, "beneath", "told"), axis, ())
        entry: PictureEntry[int] = PictureEntry("peaks", "Peaks", lambda _one, _system, rows=rows: rows, None, None)
        plot = entry.build(1, UnitSystem.SI)
        assert plot is not None
        assert plot.words == Words(shown, "beneath", "told")
    nothing: PictureEntry[int] = PictureEntry("none", "None", lambda _one, _system: None, None, None)
    assert nothing.build(1, UnitSystem.SI) is None
