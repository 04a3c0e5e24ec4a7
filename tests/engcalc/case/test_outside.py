"""What stays outside is refused where it is asked for, with the field and why; and what does not fit together."""

from __future__ import annotations

from typing import Any

import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText


def faults_of(**sections: Any) -> dict[str, str]:
    found = resolve(CaseText({"format": FORMAT, **sections}))
    return {} if isinstance(found, Case) else {f.path: f.wanted for f in found.faults}


@pytest.mark.parametrize(
    ("path", "sections", "why"),
    [
        (
            "circuit.extra[0].kind",
            {"circuit": {"extra": [{"kind": "battery loop"}]}},
            "a battery's coolant loop is outside",
        ),
        ("circuit.extra[0].kind", {"circuit": {"extra": [{"kind": "Heat-Pump"}]}}, "a heat pump is outside"),
        (
            "circuit.extra[0].name",
            {"circuit": {"extra": [{"name": "Battery chiller", "heat": "2 kW"}]}},
            "a battery's coolant loop is outside",
        ),
        (
            "airflow.upstream[0].name",
            {"airflow": {"upstream": [{"name": "heat pump", "heat": "2 kW"}]}},
            "a heat pump is outside",
        ),
        ("heater.coolant_heater", {"heater": {"coolant_heater": "heat pump"}}, "a heat pump is outside"),
        ("vehicle.class", {"vehicle": {"class": "electric car"}}, "without a combustion engine is outside"),
        ("engine.fuel", {"engine": {"fuel": "electric"}}, "without a combustion engine is outside"),
    ],
)
def test_what_is_outside_is_refused_with_the_reason(path: str, sections: dict[str, Any], why: str) -> None:
    found = faults_of(**sections)
    assert list(found) == [path]
    assert why in found[path]
    assert "would do" in found[path] or "leave this item out" in found[path]


def test_what_is_inside_passes() -> None:
    assert not faults_of(
        circuit={"extra": [{"name": "Electric pre-heater", "heat": "2 kW"}]},
        heater={"coolant_heater": "electric"},
        airflow={"upstream": [{"name": "condenser"}]},
    )


def test_a_warmer_takes_no_stated_heat_and_stands_once() -> None:
    found = faults_of(
        circuit={
            "extra": [
                {"kind": "oil warmer", "heat": "2 kW"},
                {"kind": "exhaust heat"},
                {"kind": "exhaust heat"},
                {"kind": "gearbox warmer", "at_idle": "1 kW"},
                {"kind": "heat source"},
            ]
        }
    )
    assert set(found) == {"circuit.extra[0]", "circuit.extra[2].kind", "circuit.extra[3]", "circuit.extra[4]"}
    assert "follows from temperatures" in found["circuit.extra[0]"]
    assert "one of each kind" in found["circuit.extra[2].kind"]
