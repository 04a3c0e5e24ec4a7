"""The picture of the coolant circuit: every way in which a circuit can be put together, told as the result tells it."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from laid_out import lettering

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.checks.circuit_places import READ_AT, CircuitPlace
from engcalc.system.round_circuit import CircuitMoment, settled_moment
from engcalc.units import UnitSystem
from reports.plots import circuit as pictures
from reports.plots.describe import WARMTH, CircuitPlot, Line, MarkKind, PlaceMark
from reports.plots.layout import lay_out
from reports.plots.layout.sheet import DASHES, Fill, Picture, Stroke
from reports.plots.palette import DARK, LIGHT

SIDES, BYPASSES, PUMPS = ("outlet", "inlet"), ("closing", "fixed", "none"), ("belt", "electric")
TANKS = ("surge tank", "overflow bottle", "none")
# width and type size: screens of 500 to 900 px at 100 % (some 12.3 px), at 200 % from the least that a picture gets
# there (21 lines of 36 px), a page's column and half of one, both with type of 8 pt
SHEETS = [(500.0, 12.3), (700.0, 12.3), (900.0, 12.3), (756.0, 24.5), (900.0, 24.5), (481.0, 8.0), (250.0, 8.0)]
COLD = CircuitMoment(
    engine_in=311.0,
    engine_out=316.6,
    sensor=316.6,
    upper_hose=316.6,
    lower_hose=262.5,
    heater_in=316.0,
    heater_out=290.0,
    vent=290.2,
    air_in=263.15,
    radiator_flow=1e-7,
    heater_flow=4.6e-5,
    bypass_flow=1.88e-4,
    opening=0.0,
    fan_speed=0.0,
)
HOT = replace(
    COLD,
    engine_in=388.0,
    engine_out=395.4,
    sensor=395.4,
    upper_hose=395.4,
    lower_hose=371.0,
    radiator_flow=2.3e-3,
    opening=1.0,
    bypass_flow=0.0,
    fan_speed=1.0,
    air_out=355.2,
    air_flow=1.66,
    radiator_heat=87_930.0,
    heater_heat=4_270.0,
)
EXTRAS = [{"kind": "gearbox warmer", "name": "Gearbox oil"}, {"kind": "oil warmer", "name": "Engine oil exchanger"}]


def case_of(**told: object) -> Case:
    text = CaseText().with_value("vehicle", {"class": "delivery van"})
    for path, value in told.items():
        text = text.with_value(path.replace("__", "."), value)
    found = resolve(text)
    assert isinstance(found, Case), found
    return found


def every_layout() -> list[Case]:
    """All ways to put a circuit together, by what a person would type."""
    ways = itertools.product(SIDES, BYPASSES, PUMPS, ("100 %", "30 %"), TANKS, ([], EXTRAS))
    return [
        case_of(
            thermostat__side=side,
            thermostat__bypass=bypass,
            circuit__pump_drive=pump,
            heater__valve=valve,
            coolant__tank=tank,
            circuit__extra=extras,
        )
        for side, bypass, pump, valve, tank, extras in ways
    ]


@pytest.fixture(scope="module")
def layouts() -> list[Case]:
    return every_layout()


def marks_everywhere() -> dict[CircuitPlace, tuple[PlaceMark, ...]]:
    return {
        place: (
            PlaceMark(MarkKind.FLAG, "seen: cold when hot"),
            PlaceMark(MarkKind.READING, "read 114 °C at 35 min; healthy 88 to 102 °C"),
            PlaceMark(MarkKind.CHECK, "Measure here"),
        )
        for place in CircuitPlace
    }


def drawn(case: Case, own: CircuitMoment, healthy: CircuitMoment | None = None, *, system=UnitSystem.SI, marks=None):
    return pictures._circuit(pictures._Drawn(case, own, healthy, system, marks or {}), "The circuit", "caption", "grey")


def boxes(picture: Picture, measure):
    for words in lettering(picture):
        wide = measure(words.words, words.size, words.bold)
        left = words.x - words.anchor.value * wide
        yield words.words, left, left + wide, words.y - 0.75 * words.size, words.y + 0.1 * words.size


def overlaps(picture: Picture, measure) -> list[tuple[str, str]]:
    found = list(boxes(picture, measure))
    return [
        (a[0], b[0])
        for a, b in itertools.combinations(found, 2)
        if a[1] < b[2] - 0.5 and b[1] < a[2] - 0.5 and a[3] < b[4] - 0.5 and b[3] < a[4] - 0.5
    ]


def outside(picture: Picture, measure) -> list[str]:
    return [
        words
        for words, left, right, top, bottom in boxes(picture, measure)
        if left < -0.5 or right > picture.width + 0.5 or top < 0.0 or bottom > picture.height + 0.5
    ]


@pytest.mark.parametrize("system", list(UnitSystem))
@pytest.mark.parametrize(("width", "size"), SHEETS)
def test_no_words_meet_whatever_the_circuit_has(layouts, measure, width, size, system):
    for case in layouts:
        for own, healthy, marks in ((COLD, HOT, None), (HOT, COLD, marks_everywhere())):
            picture = lay_out(drawn(case, own, healthy, system=system, marks=marks), width, size, measure)
            assert overlaps(picture, measure) == []
            assert outside(picture, measure) == []


def crosses(line: np.ndarray, left: float, right: float, top: float, bottom: float) -> bool:
    """Whether a level or upright stretch of a line runs through a box."""
    for (x0, y0), (x1, y1) in itertools.pairwise(line.tolist()):
        if min(x0, x1) < right and max(x0, x1) > left and min(y0, y1) < bottom and max(y0, y1) > top:
            return True
    return False


@pytest.mark.parametrize(("width", "size"), SHEETS)
def test_no_hose_runs_through_words(layouts, measure, width, size):
    for case in layouts:
        picture = lay_out(drawn(case, HOT, COLD, marks=marks_everywhere()), width, size, measure)
        hoses = [mark.points for mark in picture.marks if isinstance(mark, Stroke) and mark.tone in WARMTH]
        struck = [words for words, *box in boxes(picture, measure) if any(crosses(hose, *box) for hose in hoses)]
        assert struck == []


# ---- what it tells --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("own", [COLD, HOT])
def test_at_every_junction_as_much_leaves_as_comes(layouts, own):
    """Conservation of mass; the coolant counts as of one density throughout."""
    for case in layouts:
        plot = drawn(case, own if case.thermostat.bypass != "none" else replace(own, bypass_flow=0.0))
        for node in ("outlet", "fork", "join", "pump", "engine", "radiator", "heater"):
            comes = sum(pipe.flow for pipe in plot.pipes if pipe.end == node)
            leaves = sum(pipe.flow for pipe in plot.pipes if pipe.start == node)
            assert comes == pytest.approx(leaves, rel=1e-9), (node, case.thermostat.bypass)


def test_numbers_are_those_of_the_result(examples):
    check = examples["van-no-heat"]
    for duty in check.duties:
        plot, point = pictures.duty_circuit(check, duty, UnitSystem.SI), duty.point
        assert isinstance(plot, CircuitPlot)
        shown = {pipe.key: pipe.temperature + 273.15 for pipe in plot.pipes}
        assert shown[CircuitPlace.UPPER_HOSE] == pytest.approx(point.coolant_out[0], abs=1e-9)
        assert shown[CircuitPlace.LOWER_HOSE] == pytest.approx(point.radiator_out[0], abs=1e-9)
        assert shown[CircuitPlace.PUMP] == pytest.approx(point.coolant_in[0], abs=1e-9)
        assert shown[CircuitPlace.HEATER_OUT] == pytest.approx(point.heater_out[0], abs=1e-9)
        # L/min: kg/s over kg/m3, 60,000 of them to the m3/s
        flow = 60_000.0 * float(point.radiator_mass_flow[0] / point.coolant_density[0])
        assert plot.pipe(CircuitPlace.UPPER_HOSE).flow == pytest.approx(flow, rel=1e-9)
        assert f"{point.coolant_out[0] - 273.15:.0f} °C" in plot.at(CircuitPlace.SENSOR).now
        assert plot.opening == point.opening[0]


def test_a_shut_thermostat_is_drawn_shut(measure):
    """Thin and dashed at the radiator, its plate across the line, and the word."""
    plot = drawn(case_of(), COLD)
    assert plot.at(CircuitPlace.THERMOSTAT).now == ("shut",)
    assert plot.at(CircuitPlace.UPPER_HOSE).now[1] == "hardly any flow"
    assert [p.key for p in plot.pipes if p.strength == 0.0] == [CircuitPlace.UPPER_HOSE, CircuitPlace.LOWER_HOSE]
    picture = lay_out(plot, 600.0, 12.0, measure)
    dashed = [m for m in picture.marks if isinstance(m, Stroke) and m.dash and m.tone in WARMTH]
    solid = [m for m in picture.marks if isinstance(m, Stroke) and not m.dash and m.tone in WARMTH]
    assert len(dashed) == 2
    assert len(DASHES[Line.DASHED]) == 2
    assert max(m.width for m in dashed) < min(m.width for m in solid)
    assert plate(picture, 600.0) == pytest.approx(np.pi / 2.0)
    opened = lay_out(drawn(case_of(), HOT), 600.0, 12.0, measure)
    assert plate(opened, 600.0) == pytest.approx(np.pi)


def plate(picture: Picture, width: float) -> float:
    """The angle of the valve's plate: the one ink line of two points at the bypass that is 2.6 tenths thick."""
    found = [
        m.points
        for m in picture.marks
        if isinstance(m, Stroke) and len(m.points) == 2 and m.width == pytest.approx(0.26 * 12.0)
    ]
    (line,) = [p for p in found if p[:, 0].mean() == pytest.approx(0.485 * width)]
    (x0, y0), (x1, y1) = line
    return float(np.arctan2(y1 - y0, x1 - x0)) % np.pi or np.pi


@pytest.mark.parametrize(("flow", "shut"), [(0.0049, True), (0.0051, False)])
def test_under_half_a_per_cent_of_the_engines_flow_counts_as_hardly_any(flow, shut):
    rest = COLD.heater_flow + COLD.bypass_flow
    plot = drawn(case_of(), replace(COLD, radiator_flow=flow / (1.0 - flow) * rest))
    assert (plot.pipe(CircuitPlace.UPPER_HOSE).strength == 0.0) is shut


def test_a_standing_pump_moves_nothing():
    still = replace(HOT, radiator_flow=0.0, heater_flow=0.0, bypass_flow=0.0)
    plot = drawn(case_of(circuit__pump_drive="electric"), still)
    assert {pipe.strength for pipe in plot.pipes} == {0.0}
    assert plot.at(CircuitPlace.PUMP).now == ("stands still",)


def test_more_flow_is_drawn_wider_and_hotter_further_up_the_scale():
    cold, hot = drawn(case_of(), COLD), drawn(case_of(), HOT)
    assert hot.pipe(CircuitPlace.UPPER_HOSE).strength > hot.pipe(CircuitPlace.HEATER_IN).strength > 0.0
    assert hot.pipe(CircuitPlace.NECK).warmth > cold.pipe(CircuitPlace.NECK).warmth
    assert cold.pipe(CircuitPlace.NECK).warmth == pytest.approx((316.6 - 273.15) / 120.0)


def test_the_healthy_vehicle_is_named_where_it_differs_and_only_there():
    plot = drawn(case_of(), COLD, replace(COLD, lower_hose=COLD.lower_hose + 5.0, upper_hose=COLD.upper_hose + 1.0))
    assert plot.at(CircuitPlace.LOWER_HOSE).healthy == ("healthy -6 °C",)
    assert plot.at(CircuitPlace.UPPER_HOSE).healthy == ()
    assert "grey" in plot.words.caption
    assert "grey" not in drawn(case_of(), COLD, COLD).words.caption


# ---- what is marked -------------------------------------------------------------------------------------------------


def flags(case: Case, own: CircuitMoment, healthy: CircuitMoment | None = None) -> set[tuple[CircuitPlace, str]]:
    return {(place, mark.words) for place, mark in pictures._of_model(case, own, healthy)}


def test_where_heat_is_lost_or_flow_is_blocked():
    van = case_of(thermostat__rating="88 degC")
    leaks = replace(COLD, radiator_flow=5e-5, opening=0.05)
    assert flags(van, leaks, COLD) == {(CircuitPlace.THERMOSTAT, "open when cold")}
    assert flags(van, COLD, COLD) == set()
    stuck = replace(HOT, opening=0.05, fan_speed=1.0)
    assert flags(van, stuck) == {(CircuitPlace.THERMOSTAT, "does not open")}
    assert flags(van, replace(HOT, fan_speed=0.0)) == {(CircuitPlace.FAN, "stands still")}
    dirty = case_of(radiator__blocked_face="20 %", radiator__blocked_tubes="20 %", heater__valve="30 %")
    assert flags(dirty, HOT) == {
        (CircuitPlace.RADIATOR, "clogged"),
        (CircuitPlace.RADIATOR, "face covered"),
        (CircuitPlace.HEATER, "valve shut"),
    }


def test_each_kind_of_mark_has_a_form_of_its_own(measure):
    """A flag is outlined, a check stands light on dark, a reading has a ring: without any colour they stay apart."""

    def new(kind: MarkKind) -> list[object]:
        plot = drawn(case_of(), COLD, marks={CircuitPlace.BYPASS: (PlaceMark(kind, "words"),)})
        without = drawn(case_of(), COLD, marks={})
        known = [type(mark).__name__ for mark in lay_out(without, 600.0, 12.0, measure).marks]
        found = [type(mark).__name__ for mark in lay_out(plot, 600.0, 12.0, measure).marks]
        for name in known:
            found.remove(name)
        return sorted(found)

    assert new(MarkKind.READING) == ["Lettering", "Point"]
    assert new(MarkKind.CHECK) == ["Fill", "Fill", "Lettering"]  # the words' ground, and the band under the hose
    assert new(MarkKind.FLAG) == ["Fill", "Lettering", "Stroke", "Stroke"]  # pennant, words, outline and pole


def test_a_click_finds_each_place_where_a_reading_is_taken(layouts, measure):
    for case in layouts:
        plot = drawn(case, HOT)
        picture = lay_out(plot, 600.0, 12.0, measure)
        assert plot.taps == tuple(READ_AT)
        for key in plot.taps:
            assert [target for target in picture.targets if target.key == key], key
        for one, other in itertools.combinations(plot.taps, 2):
            for a in (t.box for t in picture.targets if t.key == one):
                for b in (t.box for t in picture.targets if t.key == other):
                    wide = min(a.right, b.right) - max(a.left, b.left)
                    tall = min(a.bottom, b.bottom) - max(a.top, b.top)
                    assert min(wide, tall) <= 1.0 + 1.4 * 12.0, (one, other)  # at most where two hoses meet


def test_a_bench_has_no_circuit_of_an_engine(examples):
    bench = examples["bench-exchanger"]
    assert [pictures.duty_circuit(bench, duty, UnitSystem.SI) for duty in bench.duties] == [None] * len(bench.duties)


def test_what_did_not_settle_is_not_drawn(boiling):
    assert pictures.duty_circuit(boiling, boiling.duties[0], UnitSystem.SI) is None


# ---- the scale of colours -------------------------------------------------------------------------------------------


def luminance(colour: str) -> float:
    """WCAG 2.2, relative luminance of an sRGB colour."""
    channels = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def lightness(colour: str) -> float:
    """CIE 1976 L*, from the luminance over that of white."""
    Y = luminance(colour)
    return 116.0 * np.cbrt(Y) - 16.0 if Y > 216.0 / 24389.0 else Y * 24389.0 / 27.0


@pytest.mark.parametrize(("palette", "ground", "sign"), [(LIGHT, "#ffffff", -1.0), (DARK, "#15181b", 1.0)])
def test_the_steps_of_warmth_are_even_to_the_eye_and_stand_out(palette, ground, sign):
    steps = sign * np.diff([lightness(palette[tone]) for tone in WARMTH])
    assert steps == pytest.approx(np.full(len(WARMTH) - 1, steps.mean()), abs=0.6)
    assert steps.mean() > 4.0
    for tone in WARMTH:
        bright, dark = sorted((luminance(palette[tone]), luminance(ground)), reverse=True)
        assert (bright + 0.05) / (dark + 0.05) >= 3.0  # WCAG 2.2, 1.4.11, for graphics


def test_a_halo_lies_under_a_hose_that_is_to_be_measured(measure):
    lit = drawn(case_of(), COLD, marks={CircuitPlace.LOWER_HOSE: (PlaceMark(MarkKind.CHECK, "Measure here"),)})
    plain = lay_out(drawn(case_of(), COLD), 600.0, 12.0, measure)
    picture = lay_out(lit, 600.0, 12.0, measure)
    halos = [m for m in picture.marks if isinstance(m, Fill) and 0.0 < m.opacity < 1.0]
    assert len(halos) == 2
    assert not [m for m in plain.marks if isinstance(m, Fill) and 0.0 < m.opacity < 1.0]


def test_settled_moment_of_a_check_balances(examples):
    for duty in examples["track-day-car"].duties:
        moment = settled_moment(duty.point)
        total = float(duty.point.coolant_mass_flow[0] / duty.point.coolant_density[0])
        assert moment.engine_flow == pytest.approx(total, rel=1e-9)


def test_a_hose_felt_by_hand_shows_the_word_that_was_typed() -> None:
    """It read "70 °C", which nobody had measured."""
    spot = {"what": "heater_inlet_hose", "value": "too hot to hold", "at": "25 min", "instrument": "hand"}
    record = case_of(evidence={"before": {"ambient": "-2 degC", "spots": [spot]}}).evidence.before
    marks = dict(pictures._of_record(record, {0: (340.0, 340.0)}, UnitSystem.SI))
    (mark,) = marks.values()
    assert mark.words == "read \u201ctoo hot to hold\u201d at 25 min; healthy 67 °C"
