"""Laid-out pictures: no words off the sheet, none on top of others, marks where the description has them."""

from __future__ import annotations

import numpy as np
import pytest
from laid_out import lettering

from engcalc.units import UnitSystem
from reports.plots import balance, exchanger, measured, temperatures
from reports.plots.describe import (
    Axis,
    Chart,
    Dot,
    Flow,
    FlowPart,
    LabelledPoint,
    Line,
    Link,
    Mark,
    Marker,
    Row,
    Rows,
    Series,
    Span,
    Tone,
    Words,
)
from reports.plots.layout import lay_out
from reports.plots.layout.sheet import Fill, Lettering, PictureSheet, Point, Stroke, apart

WORDS = Words("A title that says what it is", "caption", "alternative")
SIZES = [(320.0, 9.0), (480.0, 8.0), (700.0, 13.0), (900.0, 26.0)]
TEMPERATURE = Axis("Temperature", "temperature", "°C", (0.0, 120.0), tuple(np.arange(0.0, 121.0, 20.0)))


def boxes(picture, measure):
    found = []
    for words in lettering(picture):
        wide = measure(words.words, words.size, words.bold)
        left = words.x - words.anchor.value * wide
        found.append((words.words, left, left + wide, words.y - 0.75 * words.size, words.y + 0.1 * words.size))
    return found


def plots(examples, system):
    for check in examples.values():
        yield from (
            temperatures.margins(check, system),
            measured.readings(check, system),
            measured.rig(check),
            exchanger.rig_effectiveness(check),
        )
        for duty in check.duties:
            yield balance.heat_balance(duty, system)
            yield temperatures.temperatures(duty, check.case, system)
            yield exchanger.resistances(duty, system)
            yield exchanger.effectiveness_chart(duty.name, duty.point.core.exchange, check.plant.arrangement)


@pytest.mark.parametrize(("width", "size"), SIZES)
@pytest.mark.parametrize("system", list(UnitSystem))
def test_no_words_leave_the_sheet_or_cover_others(examples, measure, width, size, system):
    for plot in plots(examples, system):
        if plot is None:
            continue
        picture = lay_out(plot, width, size, measure)
        found = boxes(picture, measure)
        for words, left, right, top, bottom in found:
            assert left >= -0.5, words
            assert right <= width + 0.5 or right - left > width, words
            assert top >= 0.0, words
            assert bottom <= picture.height + 0.5, words
        for i, (words, left, right, top, bottom) in enumerate(found):
            for other, l2, r2, t2, b2 in found[i + 1 :]:
                meet = left < r2 - 0.5 and l2 < right - 0.5 and top < b2 - 0.5 and t2 < bottom - 0.5
                assert not meet, (plot.words.title, words, other)


def test_a_title_can_be_left_to_the_page(measure):
    plot = Rows(WORDS, TEMPERATURE, (Row("Coolant", (Span(20.0, 90.0, Tone.COOLANT),)),))
    with_title, without = (lay_out(plot, 400.0, 10.0, measure, titled=t) for t in (True, False))
    assert WORDS.title in [one.words for one in lettering(with_title)]
    assert WORDS.title not in [one.words for one in lettering(without)]
    assert without.height < with_title.height


def test_spans_and_marks_stand_at_their_values(measure):
    """Both ends of a bar and an upright line share one linear scale with the words of the ticks."""
    plot = Rows(
        WORDS, TEMPERATURE, (Row("Coolant", (Span(20.0, 80.0, Tone.COOLANT),)),), (Mark(100.0, "limit", Tone.LIMIT),)
    )
    picture = lay_out(plot, 400.0, 10.0, measure)
    ticks = {float(one.words): one.x for one in lettering(picture) if one.words.isdigit()}
    slope, start = np.polyfit(list(ticks), list(ticks.values()), 1)
    bar = next(one for one in picture.marks if isinstance(one, Fill) and one.tone is Tone.COOLANT).rings[0]
    assert (bar[:, 0].min(), bar[:, 0].max()) == pytest.approx((start + 20.0 * slope, start + 80.0 * slope), abs=1e-6)
    line = next(one for one in picture.marks if isinstance(one, Stroke) and one.tone is Tone.LIMIT)
    assert line.points[:, 0] == pytest.approx(start + 100.0 * slope, abs=1e-6)


def test_no_span_strikes_through_the_words_of_another(measure):
    """A reading's whisker that reaches over the end of the bar of healthy vehicles hid that end's number."""
    spans = (Span(20.0, 40.0, Tone.WORK, "20 °C", "40 °C"), Span(35.0, 90.0, Tone.INK, thin=True))
    marks = lay_out(Rows(WORDS, TEMPERATURE, (Row("Coolant", spans),)), 500.0, 10.0, measure).marks
    whisker = max(i for i, mark in enumerate(marks) if isinstance(mark, Fill) and mark.tone is Tone.INK)
    words = [i for i, mark in enumerate(marks) if isinstance(mark, Lettering) and mark.words in ("20 °C", "40 °C")]
    assert len(words) == 2
    assert min(words) > whisker


def crossings(picture, measure):
    """Words of a picture of rows that stand on a bar or on a point."""
    bars = [mark.rings[0] for mark in picture.marks if isinstance(mark, Fill) and mark.tone is not Tone.GROUND]
    areas = [(*ring.min(axis=0), *ring.max(axis=0)) for ring in bars]
    areas += [
        (p.x - p.radius, p.y - p.radius, p.x + p.radius, p.y + p.radius) for p in picture.marks if isinstance(p, Point)
    ]
    return [
        words
        for words, left, right, top, bottom in boxes(picture, measure)
        for l2, t2, r2, b2 in areas
        if left < r2 - 0.5 and l2 < right - 0.5 and top < b2 - 0.5 and t2 < bottom - 0.5
    ]


@pytest.mark.parametrize(("width", "size"), SIZES)
def test_no_words_stand_on_a_bar_or_a_point_of_the_examples(examples, measure, width, size):
    for plot in plots(examples, UnitSystem.SI):
        if isinstance(plot, Rows):
            assert crossings(lay_out(plot, width, size, measure), measure) == [], plot.words.title


@pytest.mark.parametrize(("reading", "below"), [(113.0, True), (97.0, True), (66.0, True), (40.0, False)])
def test_the_ends_of_a_range_never_stand_on_a_reading(measure, reading, below):
    """Hot at idle, the fan still: the whisker of 113 degC ran through the "97 °C" of healthy vehicles, and the ring of
    97 degC stood on it. Where they are clear of each other the words stay beside the bar."""
    half = 16.0 if reading > 100.0 else 4.0
    spans = (Span(69.0, 97.0, Tone.WORK, "69 °C", "97 °C"), Span(reading - half, reading + half, Tone.INK, thin=True))
    plot = Rows(
        WORDS,
        TEMPERATURE,
        (Row("Before, at 30 min", spans, (Dot(reading, Tone.INK, "read", Marker.RING),)), Row("After", spans[:1])),
    )
    picture = lay_out(plot, 480.0, 8.0, measure)
    assert crossings(picture, measure) == []
    bar = next(mark.rings[0] for mark in picture.marks if isinstance(mark, Fill) and mark.tone is Tone.WORK)
    first = next(one for one in lettering(picture) if one.words == "97 °C")
    assert (first.y - 0.75 * first.size > bar[:, 1].max() - 0.5) == below


def test_near_marks_keep_their_words_apart(measure):
    marks = tuple(Mark(at, f"mark at {at:.0f} °C", Tone.LIMIT) for at in (100.0, 102.0, 104.0, 106.0))
    plot = Rows(WORDS, TEMPERATURE, (Row("Coolant", (Span(20.0, 80.0, Tone.COOLANT),)),), marks)
    found = [box for box in boxes(lay_out(plot, 400.0, 10.0, measure), measure) if box[0].startswith("mark")]
    for i, (_, left, right, top, bottom) in enumerate(found):
        assert all(right <= l2 or r2 <= left or bottom <= t2 or b2 <= top for _, l2, r2, t2, b2 in found[i + 1 :])


def test_words_over_close_dots_are_moved_apart(measure):
    dots = (Dot(60.0, Tone.COOLANT, "60.0 °C"), Dot(60.5, Tone.LIMIT, "60.5 °C", Marker.SQUARE))
    plot = Rows(WORDS, TEMPERATURE, (Row("Idle", (), dots),))
    found = [box for box in boxes(lay_out(plot, 500.0, 10.0, measure), measure) if "°C" in box[0][-2:]]
    pairs = sorted((left, right) for words, left, right, *_ in found if words.startswith("60"))
    assert pairs[0][1] <= pairs[1][0]


def test_a_flow_s_bars_are_as_high_as_their_amounts(measure):
    def part(key, amount):
        return FlowPart(key, key, amount, f"{amount} kW", Tone.FUEL)

    columns = ((part("fuel", 100.0),), (part("brake", 30.0), part("metal", 70.0)))
    links = (Link("fuel", "brake", 30.0), Link("fuel", "metal", 70.0))
    picture = lay_out(Flow(WORDS, "kW", columns, links), 600.0, 10.0, measure)
    heights = [np.ptp(one.rings[0][:, 1]) for one in picture.marks if isinstance(one, Fill) and one.opacity == 1.0]
    assert np.array(heights) / heights[0] == pytest.approx([1.0, 0.3, 0.7], rel=1e-9)


def test_error_bars_and_points_of_a_series(measure):
    x, y = np.array([1.0, 2.0]), np.array([10.0, 20.0])
    series = Series("measured", x, y, Tone.INK, Line.NONE, Marker.RING, y_error=np.array([2.0, 4.0]))
    axis = Axis("y", "number", "", (0.0, 40.0), (0.0, 20.0, 40.0))
    plot = Chart(
        WORDS,
        Axis("x", "number", "", (0.0, 4.0), (0.0, 2.0, 4.0)),
        axis,
        (series,),
        spots=(LabelledPoint(3.0, 30.0, "here", Tone.COOLANT),),
    )
    picture = lay_out(plot, 400.0, 10.0, measure)
    bars = [np.ptp(one.points[:, 1]) for one in picture.marks if isinstance(one, Stroke) and one.tone is Tone.INK]
    assert bars[1] == pytest.approx(2.0 * bars[0])
    assert len([one for one in picture.marks if isinstance(one, Point) and one.shape is Marker.RING]) == 3  # key too


CLASS_POINTS = ((1.523, 0.715), (1.259, 0.622), (1.058, 0.543), (0.929, 0.483), (0.810, 0.463), (1.084, 0.571))
"""NTU and effectiveness of a class's points: the sixth lies just above the third."""


@pytest.mark.parametrize(("width", "size"), SIZES)
def test_a_point_s_name_is_read_as_no_other_point_s(measure, width, size):
    """The name of point 6 stood beside the ring of point 3, and that of point 1 on the ring of point 2."""
    spots = [LabelledPoint(*at, f"point {i + 1}", Tone.INK) for i, at in enumerate(CLASS_POINTS)]
    spots.append(LabelledPoint(1.005, 0.537, "Between both days", Tone.COOLANT, Marker.DIAMOND))
    across = Axis("NTU", "number", "", (0.0, 2.0), (0.0, 1.0, 2.0))
    up = Axis("Effectiveness", "number", "", (0.0, 1.0), (0.0, 0.5, 1.0))
    picture = lay_out(Chart(WORDS, across, up, (), spots=tuple(spots)), width, size, measure)
    drawn = [one for one in picture.marks if isinstance(one, Point)]
    assert len(drawn) == len(spots)
    own = {spot.words: (one.x, one.y) for spot, one in zip(spots, drawn, strict=True)}
    named = [box for box in boxes(picture, measure) if box[0] in own]
    assert "Between both days" in [words for words, *_ in named] or width < 400.0  # wrapped where it is narrow
    assert any(words.startswith("point") for words, *_ in named)
    for words, left, right, top, bottom in named:
        if words == "Between both days":
            continue

        def off(at, left=left, right=right, top=top, bottom=bottom):
            return np.hypot(max(left - at[0], at[0] - right, 0.0), max(top - at[1], at[1] - bottom, 0.0))

        nearest = min(own, key=lambda name: off(own[name]))
        assert nearest == words


def test_a_point_without_a_name_clears_no_ground(measure):
    """An empty name wiped a gap into each curve that passed beneath it."""
    axis = Axis("y", "number", "", (0.0, 1.0), (0.0, 1.0))
    spots = (LabelledPoint(0.5, 0.5, "", Tone.INK),)
    marks = lay_out(Chart(WORDS, axis, axis, (), spots=spots), 400.0, 10.0, measure).marks
    assert not [one for one in marks if isinstance(one, Fill) and one.tone is Tone.GROUND]


@pytest.mark.parametrize(
    ("places", "least", "moved"),
    [
        ([1.0, 5.0], 2.0, [1.0, 5.0]),
        ([1.0, 1.5, 2.0], 2.0, [1.0, 3.0, 5.0]),
        ([8.0, 9.0, 9.5], 2.0, [6.0, 8.0, 10.0]),
    ],
)
def test_apart(places, least, moved):
    assert apart(places, least, 0.0, 10.0) == pytest.approx(moved)


def test_words_break_between_words_then_between_number_and_unit_then_within_a_word() -> None:
    """Every picture wraps one way: nothing is wider than its room, and a number stays with its unit while it can."""

    def ten_a_letter(text: str, size: float, bold: bool) -> float:
        return 10.0 * len(text)

    sheet = PictureSheet(400.0, 10.0, ten_a_letter)
    assert sheet.wrapped("the sensor reads 83 K here", 190.0) == ["the sensor reads", "83 K here"]
    assert sheet.wrapped("reads  83 K", 90.0) == ["reads", "83 K"]
    assert sheet.wrapped("1000000 W/(m2", 80.0) == ["1000000", "W/(m2"]
    assert sheet.wrapped("an overheating", 60.0) == ["an", "overhe", "ating"]
    assert sheet.wrapped("", 60.0) == [""]


def test_the_title_of_the_upright_axis_stands_above_the_names_of_legs(measure):
    """The names of a lap's legs were written over it."""
    time = Axis("Time", "time", "min", (0.0, 8.0), (0.0, 4.0, 8.0))
    legs = (Mark(2.0, "Way to the grid", Tone.MUTED, Line.DOTTED), Mark(3.0, "Grid, engine idles", Tone.MUTED))
    picture = lay_out(Chart(WORDS, time, TEMPERATURE, (), x_marks=legs), 400.0, 8.0, measure)
    found = boxes(picture, measure)
    [(_, left, right, top, bottom)] = [box for box in found if box[0] == TEMPERATURE.title]
    named = [box for box in found if box[0] in {leg.words for leg in legs}]
    assert len(named) == 2
    for _, near, far, high, low in named:
        assert far <= left or near >= right or low <= top or high >= bottom


def test_a_points_name_stays_off_the_axis_where_it_can(measure):
    """ "least: 11.9 L" lay on the axis beneath its point."""
    axis = Axis("y", "number", "", (0.0, 1.0), (0.0, 1.0))
    spots = (LabelledPoint(0.2, 0.03, "least", Tone.COOLANT),)
    marks = lay_out(Chart(WORDS, axis, axis, (), spots=spots), 400.0, 10.0, measure).marks
    [name] = [one for one in marks if isinstance(one, Lettering) and one.words == "least"]
    [point] = [one for one in marks if isinstance(one, Point)]
    assert name.y < point.y
