"""Where nobody stated a rating, a valve at the pump's inlet opens lower than one at the outlet.

Service manuals, as stored pages of them say: Mazda L8, LF, L3 (thermostat at the lower radiator hose) starts at 80 to
84 degC; Toyota 3GR-FSE (thermostat in the water inlet) at 80 to 84 degC; a 1998 2.0 L of Plymouth (in the outlet
connector) holds 88 to 93 degC, a GM 6.5 L (in the water crossover) starts at 88 degC.
"""

from __future__ import annotations

import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.members.simulated import problem_of
from engcalc.vehicle.run import runs_of

K0 = 273.15
READ = {"ambient": "20 degC", "spots": [{"what": "coolant", "at": "20 min", "value": "90 degC"}]}


def with_valve(**thermostat: str) -> Case:
    text = {"format": FORMAT, "vehicle": {"class": "family car"}, "thermostat": thermostat}
    found = resolve(CaseText({**text, "evidence": {"before": READ}}))
    assert isinstance(found, Case), found
    return found


@pytest.mark.parametrize(("side", "low", "high"), [("inlet", 80.0, 84.0), ("outlet", 86.0, 91.0)])
def test_a_valve_opens_where_service_manuals_have_it(side: str, low: float, high: float) -> None:
    case = with_valve(side=side)
    assert low <= case.thermostat.start_to_open[0] - K0 <= high
    assert case.thermostat.full_open[0] - case.thermostat.start_to_open[0] == pytest.approx(12.0)


def test_what_was_typed_stays() -> None:
    assert with_valve(side="inlet", rating="88 degC").thermostat.start_to_open[0] == pytest.approx(88.0 + K0)
    assert with_valve(side="inlet", start_to_open="85 degC").thermostat.start_to_open[0] == pytest.approx(85.0 + K0)


def test_where_the_place_is_unknown_each_layout_has_its_own() -> None:
    case = with_valve(side="unknown")
    layouts = problem_of(case, *runs_of(case, "before", {})).layouts
    opens = {made.thermostat.side: float(made.thermostat.start_to_open[0]) - K0 for made in layouts}
    assert opens == pytest.approx({"outlet": 88.0, "inlet": 82.0})
