"""A lap from a logger's file: read in its units, cut into stretches that keep energy and time, refused by line."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.errors import FileFault, InputError
from engcalc.studies.duties.cycle import cycle, legs_of
from engcalc.studies.duties.lap_file import Lap, full_load_power, parse_lap, read_lap, stretches, with_lap

FOLDER = worked_examples.folder()
TEXT = read_case(FOLDER / "track-day-car.heatcase.json")
ROWS = "time [s],speed [km/h],throttle [%]\n0,90,100\n2,126,100\n4,126,0\n6,90,50\n"


def case_of(text) -> Case:
    case = resolve(text)
    assert isinstance(case, Case), case
    return case


@pytest.fixture(scope="module")
def lap() -> Lap:
    return read_lap(FOLDER / "lap.csv")


def test_columns_in_any_order_and_unit():
    found = parse_lap(
        "# a logger\nthrottle (%);note;RPM [1/min];Speed [mph];t [min]\n50;x;6000;60;0\n0;;3000;30;0,5\n9;;0;0;1\n"
    )
    np.testing.assert_allclose(found.time, [0.0, 30.0, 60.0])
    np.testing.assert_allclose(found.speed, [26.8224, 13.4112, 0.0])  # 1 mph is 0.44704 m/s, NIST SP 811
    np.testing.assert_allclose(found.throttle, [0.5, 0.0, 0.09])
    np.testing.assert_allclose(found.engine_speed, [100.0, 50.0, 0.0])
    assert parse_lap(ROWS).engine_speed is None


def test_energy_and_time_of_the_lap_stay(lap):
    case = case_of(TEXT)
    full = full_load_power(case, lap, np.array([303.15]), np.zeros(1))
    energy = float((lap.throttle * full)[:-1] @ np.diff(lap.time))
    way = float(lap.speed[:-1] @ np.diff(lap.time))
    for most in (3, 6, 40):
        found = stretches(lap, full, most)
        assert len(found) == most
        assert sum(s.duration for s in found) == pytest.approx(lap.duration)
        assert sum(s.power * s.duration for s in found) == pytest.approx(energy)
        assert sum(s.speed * s.duration for s in found) == pytest.approx(way)
        assert all(a.begins + a.duration == pytest.approx(b.begins) for a, b in pairwise(found))


def test_stretches_are_cut_where_power_changes_most():
    time = np.arange(0.0, 61.0)
    throttle = np.where((time >= 20.0) & (time < 45.0), 1.0, 0.2)
    found = stretches(Lap(time, np.full(61, 30.0), throttle, None), np.full(61, 1e5), 3)
    assert [s.duration for s in found] == pytest.approx([20.0, 25.0, 15.0])
    assert [s.power for s in found] == pytest.approx([2e4, 1e5, 2e4])


def test_power_at_full_throttle_follows_the_engine_speed_up_to_the_rated():
    case = case_of(TEXT)
    rated = float(case.engine.rated_speed[0])
    engine = np.array([0.5, 1.0, 1.2]) * rated
    found = full_load_power(case, Lap(np.arange(3.0), np.zeros(3), np.ones(3), engine), np.array([298.15]), np.zeros(1))
    assert found[1:] == pytest.approx(found[2])
    assert found[0] == pytest.approx(0.5 * found[1])


def test_the_duties_go_round_below_those_of_the_case_and_take_their_air(lap):
    case = case_of(TEXT)
    changed = case_of(with_lap(TEXT, case, lap, "Lap"))
    new = changed.duties[len(case.duties) :]
    assert [d.name for d in changed.duties[: len(case.duties)]] == [d.name for d in case.duties]
    assert len(new) == 6
    assert [d.start for d in new] == ["round", *["above"] * 5]
    assert new[0].name.startswith("Lap, 0.0 to ")
    assert {float(d.ambient[0]) for d in new} == {float(case.duties[-1].ambient[0])}
    total = sum(float(d.brake_power[0] * d.duration[0]) for d in new)
    full = full_load_power(case, lap, case.duties[-1].ambient, np.zeros(1))
    assert total == pytest.approx(float((lap.throttle * full)[:-1] @ np.diff(lap.time)), rel=0.002)  # as typed


def test_six_stretches_tell_the_peak_of_many(lap):
    """How the coolant follows within a stretch is left out: two times as many move the peak by less than 1 K."""
    cool = TEXT.with_value("engine.rated_power", "90 kW")
    case = case_of(cool)
    peaks = []
    for most in (6, 12):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(
                "engcalc.studies.duties.lap_file.stretches", lambda lap, full, most=most: stretches(lap, full, most)
            )
            changed = case_of(with_lap(cool, case, lap))
        legs = legs_of(changed, range(len(case.duties), len(changed.duties)))
        peaks.append(cycle(changed, legs, repeat=True).peak)
    assert abs(peaks[1] - peaks[0]) < 1.0
    assert peaks[0] < 395.0, "nothing boils, or there is nothing to be told"


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("time [s],speed [km/h]\n0,1\n1,1\n2,1\n", "a column throttle [%] is missing"),
        ("time [s],speed [knots],throttle [%]\n0,1,1\n1,1,1\n2,1,1\n", "speed with its unit in the head"),
        ("time [s],speed,throttle [%]\n0,1,1\n1,1,1\n2,1,1\n", "speed with its unit in the head"),
        (ROWS.replace("126,0", "fast,0"), "line 4, speed: 'fast'"),
        (ROWS.replace("90,50", "90,150"), "line 5, throttle: '150'"),
        (ROWS.replace("2,126", "2,460"), "line 3, speed: '460'"),
        (ROWS.replace("4,126", "2,126"), "line 4, time"),
        (ROWS.replace("6,90", "6000,90"), "one lap of at most 60 min"),
        ("time [s],speed [km/h],throttle [%]\n0,1,1\n", "3 to 200000 rows"),
        ("time [s],time [s],speed [km/h],throttle [%]\n" + "0,0,1,1\n" * 3, "one column of time"),
    ],
)
def test_what_is_wrong_is_named_with_its_line(typed, said):
    with pytest.raises(InputError) as raised:
        parse_lap(typed, "lap.csv")
    assert said in " ".join(str(fault) for fault in raised.value.faults)


def test_a_folder_and_bytes_that_are_no_text_are_refused(tmp_path):
    with pytest.raises(FileFault, match="no ordinary file"):
        read_lap(tmp_path)
    (tmp_path / "lap.csv").write_bytes(b"time [s]\xff\xfe")
    with pytest.raises(FileFault, match="UTF-8"):
        read_lap(tmp_path / "lap.csv")
