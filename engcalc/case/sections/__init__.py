"""The inputs of a case, section by section: the one declaration of each.

The form, the checks, the command line, the report's input table and the JSON Schema are all made from these
dataclasses (see :mod:`engcalc.case.catalogue`). Numbers are float64 arrays in SI with members on the last axis; a
number that may be absent is None. Defaults that depend on the vehicle class stand in :mod:`engcalc.case.presets`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engcalc.case.bench_records import BenchProblem, RigPoint
from engcalc.case.cause_rates import BaseRateInputs
from engcalc.case.records import Duty, Evidence
from engcalc.case.refilling import Refilling
from engcalc.case.sections.airflow import Airflow
from engcalc.case.sections.bench import BenchExchanger, Stream
from engcalc.case.sections.cabin import Cabin
from engcalc.case.sections.circuit import Circuit
from engcalc.case.sections.coolant import Coolant
from engcalc.case.sections.engine import Engine
from engcalc.case.sections.heater import Heater
from engcalc.case.sections.job import Job
from engcalc.case.sections.limits import Limits
from engcalc.case.sections.radiator import Radiator
from engcalc.case.sections.thermostat import Thermostat
from engcalc.case.sections.vehicle import Vehicle


@dataclass(frozen=True, eq=False)
class Sections:
    """All inputs of a case."""

    job: Job
    vehicle: Vehicle
    engine: Engine
    coolant: Coolant
    thermostat: Thermostat
    limits: Limits
    radiator: Radiator
    airflow: Airflow
    circuit: Circuit
    heater: Heater
    cabin: Cabin
    refill: Refilling
    base_rates: BaseRateInputs
    duties: tuple[Duty, ...]
    evidence: Evidence
    hot_stream: Stream
    cold_stream: Stream
    exchanger: BenchExchanger
    rig: tuple[RigPoint, ...]
    problems: tuple[BenchProblem, ...]


SECTION_LABELS: Mapping[str, str] = {
    "job": "The job",
    "vehicle": "Vehicle",
    "engine": "Engine",
    "coolant": "Coolant",
    "thermostat": "Thermostat",
    "limits": "Limits",
    "radiator": "Radiator",
    "airflow": "Air flow",
    "circuit": "Coolant circuit",
    "heater": "Heater",
    "cabin": "Cabin",
    "refill": "Refill and bleed",
    "base_rates": "Base rates of causes",
    "duties": "Duties",
    "evidence": "Readings",
    "hot_stream": "Hot stream on the bench",
    "cold_stream": "Cold stream on the bench",
    "exchanger": "Exchanger on the bench",
    "rig": "Bench rig",
    "problems": "Problems",
}
