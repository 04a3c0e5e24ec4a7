"""What every cooler does in a duty: its numbers close with those of the duty, and all faces tell the same."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.studies.check import check
from engcalc.studies.checked import Check
from engcalc.units import UnitSystem
from engcalc.verdict import FindingCode, FindingLevel, Verdict, with_coolers
from engcalc.words.answer.reasons import duty_sentence, reasons
from engcalc.words.sizing.cooler_words import cooler_rows, cooler_sentences
from ui.command.as_json import check_json

PULL = {"brake_power": "70 kW", "engine_speed": "4000 rpm", "vehicle_speed": "90 km/h", "ambient": "30 degC"}
OIL_CP_RHO = 2220.0 * 840.0  # J/(m3 K); engine oil at 100 degC, Incropera, Table A.5, from memory


def checked(duties: list[dict[str, str]], **oil: str) -> Check:
    case = resolve(
        CaseText(
            {
                "format": FORMAT,
                "vehicle": {"class": "large car"},
                "engine": {"aspiration": "turbo"},
                "airflow": {
                    "upstream": [
                        {"kind": "charge air", "face_share": "60 %", "flow_resistance": "4"},
                        {"name": "Front condenser", "kind": "condenser", "heat": "5 kW"},
                    ]
                },
                "circuit": {
                    "extra": [
                        {"heat": "1 kW"},
                        {"kind": "oil cooler", "name": "Gearbox", "heat": "6 kW", "place": "cold tank", **oil},
                    ]
                },
                "duties": duties,
            }
        )
    )
    assert isinstance(case, Case), case
    return check(case, members=0)


@pytest.fixture(scope="module")
def found() -> Check:
    return checked([{**PULL, "name": "pull", "air_conditioning": "on"}], conductance="400 W/K", coolant_drop="8 kPa")


def test_the_air_gets_what_each_gives_one_behind_the_other(found: Check) -> None:
    duty = found.duties[0]
    charge, condenser, _ = duty.coolers
    C_air, ambient = float(duty.point.core.C_air[0]), 303.15
    assert charge.heat + condenser.heat == pytest.approx(float(duty.point.upstream_heat[0]), rel=1e-9)
    assert charge.enters == pytest.approx(ambient)
    assert charge.leaves - charge.enters == pytest.approx(charge.heat / (0.6 * C_air))
    assert condenser.enters == pytest.approx(ambient + charge.heat / C_air)  # mixed with what went past the first
    assert condenser.heat == pytest.approx(5000.0)
    assert (charge.asked, charge.short, condenser.short) == (None, 0.0, 0.0)
    rho = 101325.0 / (287.05 * ambient)
    head = 0.5 * rho * float(duty.point.air_velocity[0]) ** 2
    assert charge.drop == pytest.approx(4.0 * 0.6 * head, rel=0.01)  # humid air is a little lighter


def test_the_oil_gives_what_the_coolant_gets(found: Check) -> None:
    duty = found.duties[0]
    oil, point = duty.coolers[2], duty.point
    assert oil.heat == pytest.approx(6000.0)
    assert oil.enters == pytest.approx(float(point.core.T_coolant_out[0]))
    assert oil.leaves == pytest.approx(float(point.tank_out[0]))
    flow = 15.0 / 60e3  # m3/s, the usual one
    assert oil.oil_in - oil.oil_out == pytest.approx(6000.0 / (OIL_CP_RHO * flow), rel=0.01)
    assert oil.enters < oil.oil_out < oil.oil_in < oil.oil_most
    stated = float(found.plant.circuit.stated[0, 0])
    now = float(point.radiator_mass_flow[0] / point.coolant_density[0])
    assert oil.drop == pytest.approx(8e3 * (now / stated) ** 2)


def test_a_cooler_too_small_is_told_with_the_heat_that_stays_in_the_oil() -> None:
    small = checked([{**PULL, "name": "pull"}], conductance="60 W/K", hottest="125 degC")
    oil = small.duties[0].coolers[2]
    assert 0.0 < oil.heat < 6000.0
    assert oil.short == pytest.approx(6000.0 - oil.heat)
    assert oil.oil_in == pytest.approx(398.15)
    assert FindingCode.COOLER_SHORT in {finding.code for finding in small.duties[0].findings}
    said = next(r.text for r in reasons(small) if r.code == FindingCode.COOLER_SHORT.value)
    assert said.startswith("pull: the Gearbox passes ")
    assert "hotter than the 125 °C that it may be" in said


def test_rows_sentences_and_json_tell_the_same(found: Check) -> None:
    rows = {row.label: row for row in cooler_rows(found.duties)}
    duty = found.duties[0]
    assert rows["Gearbox: heat into the coolant"].values == (duty.coolers[2].heat,)
    assert rows["Charge-air cooler: air out"].values == (duty.coolers[0].leaves,)
    assert len(rows) == 4 + 4 + 6
    json = check_json(found)["duties"][0]["coolers"]
    assert [one["name"] for one in json] == ["charge-air cooler", "Front condenser", "Gearbox"]
    assert json[2]["heat_W"] == duty.coolers[2].heat
    assert json[2]["out_degC"] == pytest.approx(duty.coolers[2].leaves - 273.15)
    assert json[0]["drop_Pa"] == duty.coolers[0].drop
    said = cooler_sentences(duty, UnitSystem.SI)
    assert said[2].startswith("Gearbox: 6 kW into the coolant, which it warms from ")
    assert len(said) == 3
    idle = replace(duty, coolers=(replace(duty.coolers[0], heat=0.0), *duty.coolers[1:]))
    assert cooler_sentences(idle, UnitSystem.SI)[0].startswith("Charge-air cooler: no heat, since the engine ")
    assert "without boost" not in said[0]


def test_a_case_without_coolers_says_nothing_of_them() -> None:
    case = resolve(CaseText({"format": FORMAT, "vehicle": {"class": "family car"}, "duties": [PULL]}))
    assert isinstance(case, Case)
    plain = check(case, members=0)
    assert plain.duties[0].coolers == ()
    assert list(cooler_rows(plain.duties)) == []


def test_where_oil_overheats_nothing_holds_and_the_sentence_says_so() -> None:
    cool = {**PULL, "name": "pull"}
    small = checked([cool], conductance="60 W/K", hottest="125 degC")
    duty = small.duties[0]
    assert duty.oil_overheats
    assert duty.verdict is not Verdict.HOLDS
    assert duty_sentence(duty).endswith("Its oil overheats.")
    short = [f for f in duty.findings if f.code is FindingCode.COOLER_SHORT]
    assert [f.severity for f in short] == [FindingLevel.FAULT]
    assert with_coolers(Verdict.HOLDS, short) is Verdict.MARGINAL
    assert with_coolers(Verdict.UNDERSIZED, short) is Verdict.UNDERSIZED
    timed = checked([{**cool, "duration": "20 s"}], conductance="60 W/K", hottest="125 degC").duties[0]
    assert not timed.oil_overheats  # its oil may not get there in that time
