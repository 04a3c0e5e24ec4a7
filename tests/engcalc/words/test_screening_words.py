"""What a screening says of a vehicle: a check to begin with where there is something to look at, and nowhere else."""

from __future__ import annotations

import pytest

from engcalc.diagnosis.checks.hand_checks import CHECKS, LEVEL
from engcalc.diagnosis.grounds import Danger, VehicleState
from engcalc.diagnosis.ranking import Ranked
from engcalc.diagnosis.screening import LogJudged
from engcalc.words.workshop.screening_words import page_row, progress_line, time_left, vehicle_line, window_row

TITLE = CHECKS[LEVEL].title


def ranked(*, look_first: bool) -> Ranked:
    judged = LogJudged(VehicleState.HEALTHY, Danger.NONE, 0.05, "low_coolant", 0.02, LEVEL, None, 1500.0, enough=True)
    return Ranked("van 7", 1, judged, 0.05, Danger.NONE, None, look_first)


@pytest.mark.parametrize("look_first", [True, False])
def test_only_a_vehicle_to_be_looked_at_has_a_check(look_first: bool) -> None:
    one = ranked(look_first=look_first)
    assert page_row(1, one)[-1] == window_row(1, one)[-1] == (TITLE if look_first else "")
    assert ("First check" in vehicle_line(1, one)) is look_first


def test_no_time_is_left_at_the_end() -> None:
    assert time_left(60.0, 1, 8) is None, "one log says nothing of the pace"
    assert time_left(60.0, 4, 8) == 60.0
    assert time_left(60.0, 8, 8) is None
    assert progress_line(8, 8, "van 7", None) == "8 of 8 logs: van 7"
