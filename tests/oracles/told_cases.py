"""Invented vehicles with what must be said of them, and the worked examples, for the tests of every face: banner,
command and paper.

The limit of a family car is 115 degC, typed here so that no preset moves it. What must be said is common practice, no
source: a positive gas test, a coolant at its limit, a fan that stands still while it is hot come before any model.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import pypdfium2

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import SUFFIX, read_case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.whole_check import WholeCheck, check_with_records
from engcalc.vehicle.run import read_logs
from reports.build import Options, build
from reports.kinds import Annex, ReportKind

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
LIMIT = {"coolant_limit": "115 degC"}
HOT_DAY = {"ambient": "33 degC", "heater_setting": "off", "driving": "idling"}
MILD = {"ambient": "20 degC", "heater_setting": "off", "driving": "country road"}


@dataclass(frozen=True)
class ToldCase:
    """A case by its sections, and what every face must say of it."""

    name: str
    sections: Mapping[str, Any]
    state: str
    danger: str
    says: tuple[str, ...] = field(default=())  # in the sentences that carry the conclusion and its next check
    never: tuple[str, ...] = field(default=())  # nowhere in them

    @property
    def tree(self) -> dict[str, Any]:
        """The case file's tree."""
        return {"format": "heatdocket-case/1", "vehicle": {"class": "family car"}, **self.sections}


def coolant(value: str, instrument: str = "scan_tool", at: str = "30 min", what: str = "coolant") -> dict[str, str]:
    """One reading by hand."""
    return {"what": what, "at": at, "value": value, "instrument": instrument}


def evidence(
    before: Mapping[str, Any] | None = None, after: Mapping[str, Any] | None = None, **job: str
) -> dict[str, Any]:
    """Records and job as sections of a case."""
    records = {name: record for name, record in (("before", before), ("after", after)) if record is not None}
    return {"job": job, "evidence": records, "limits": LIMIT}


def seen(*spots: Mapping[str, str], air: Mapping[str, str] = MILD, **facts: bool) -> dict[str, Any]:
    """A record of readings and facts."""
    return {**air, "spots": list(spots), "seen": facts}


NORMAL = coolant("90 degC")
SO_FAR = "One reading since the repair"  # which proves nothing yet: said on every face
CASES: tuple[ToldCase, ...] = (
    ToldCase(
        "hot at idle, fan still",
        evidence(
            seen(coolant("113 degC", "dash_gauge"), air=HOT_DAY, fan_runs_when_hot=False),
            reason="hot at idle",
            complaint="Gets hot in every queue.",
        ),
        "runs_hot",
        "stop",
        ("fan does not run", "113 °C", "Do not let it idle", "fuse, relay, motor"),
    ),
    ToldCase(
        "bubbles, low level, hot",
        evidence(seen(coolant("112 degC"), bubbles_when_running=True, level_low=True), reason="hot at speed"),
        "runs_hot",
        "stop",
        ("Bubbles", "combustion gas", "112 °C"),
    ),
    ToldCase(
        "bubbles, low level, hot, gas",
        evidence(
            seen(coolant("112 degC"), bubbles_when_running=True, level_low=True, combustion_gas_found=True),
            reason="hot at speed",
        ),
        "runs_hot",
        "stop",
        ("found combustion gas", "Repeat the combustion leak test"),
    ),
    ToldCase(
        "gas, all else normal",
        evidence(
            seen(
                NORMAL, combustion_gas_found=True, level_low=False, bubbles_when_running=False, fan_runs_when_hot=True
            ),
            reason="loss of coolant",
        ),
        "loses_coolant",
        "stop",
        ("found combustion gas", "head gasket"),
    ),
    ToldCase(
        "gas, no complaint",
        evidence(seen(NORMAL, combustion_gas_found=True), reason="screening"),
        "loses_coolant",
        "stop",
        ("found combustion gas",),
    ),
    ToldCase(
        "thermostat open when cold",
        evidence(seen(NORMAL, thermostat_open_when_cold=True)),
        "runs_cold",
        "none",
        ("thermostat was found open", "Fit a thermostat"),
    ),
    ToldCase("no thermostat", evidence(seen(thermostat_missing=True)), "runs_cold", "none", ("no thermostat",)),
    ToldCase(
        "thermostat stays shut",
        evidence(seen(NORMAL, thermostat_opens_hot=False)),
        "runs_hot",
        "care",
        ("does not open fully",),
    ),
    ToldCase("at the limit", evidence(seen(coolant("115 degC"))), "runs_hot", "stop", ("at the limit of 115 °C",)),
    ToldCase(
        "just under the limit", evidence(seen(coolant("114.9 degC"))), "runs_hot", "care", ("close to its limit",)
    ),
    ToldCase(
        "5 K under the limit",
        evidence(seen(coolant("110 degC"))),
        "runs_hot",
        "care",
        ("5 K under the limit of 115 °C",),
    ),
    ToldCase("just over 5 K under the limit", evidence(seen(coolant("109.9 degC"))), "runs_hot", "none"),
    ToldCase(
        "a hose by infrared",
        evidence(seen({**coolant("104 degC", "infrared", what="upper_hose"), "surface": "rubber"})),
        "runs_hot",
        "care",
        ("upper radiator hose read 104 °C", "about 110 °C"),
    ),
    ToldCase(
        "typed over time",
        evidence({**MILD, "curve": [[0, "20 degC"], [10, "85 degC"], [25, "117 degC"], [30, "96 degC"]]}),
        "runs_hot",
        "stop",
        ("117 °C 25 min",),
    ),
    ToldCase(
        "cap does not hold",
        evidence(seen(coolant("104 degC"), cap_holds_pressure=False)),
        "runs_hot",
        "care",
        ("close to its limit",),
    ),
    ToldCase(
        "pump without drive", evidence(seen(belt_drives_pump=False)), "runs_hot", "stop", ("no coolant circulates",)
    ),
    ToldCase("fan still, not read", evidence(seen(fan_runs_when_hot=False)), "runs_hot", "care", ("fan does not run",)),
    ToldCase("fan fuse blown", evidence(seen(fan_fuse_good=False)), "runs_hot", "care", ("fan does not run",)),
    ToldCase(
        "fan motor dead, hot",
        evidence(seen(coolant("113 degC"), fan_motor_runs=False), reason="hot at idle"),
        "runs_hot",
        "stop",
        ("fan does not run", "Do not let it idle"),
    ),
    ToldCase(
        "bubbles alone",
        evidence(seen(NORMAL, bubbles_when_running=True)),
        "loses_coolant",
        "care",
        ("combustion leak test",),
    ),
    ToldCase(
        "leak",
        evidence(seen(NORMAL, coolant_leak=True), reason="loss of coolant"),
        "loses_coolant",
        "care",
        ("Coolant leaks",),
    ),
    ToldCase(
        "lost in the cabin, nobody looked",
        evidence(complaint="Sweet smell, wet carpet, the glass fogs up.", coolant_lost_at="cabin"),
        "cannot_tell",
        "none",
        ("look at the coolant level", "heater core"),
    ),
    ToldCase(
        "lost in the cabin, level low",
        evidence(seen(NORMAL, level_low=True, bubbles_when_running=False), coolant_lost_at="cabin"),
        "loses_coolant",
        "care",
        ("The coolant level is low", "heater core"),
    ),
    ToldCase(
        "lost in the cabin, pressure falls",
        evidence(seen(level_low=False, bubbles_when_running=False, pressure_held_cold=False), coolant_lost_at="cabin"),
        "loses_coolant",
        "care",
        ("does not hold the tester's pressure", "heater core", "carpet"),
    ),
    ToldCase(
        "lost in the cabin, all looked at",
        evidence(
            seen(
                NORMAL,
                level_low=False,
                bubbles_when_running=False,
                pressure_held_cold=True,
                combustion_gas_found=False,
            ),
            coolant_lost_at="cabin",
        ),
        "cannot_tell",
        "none",
        ("dye", "heater core"),
    ),
    ToldCase(
        "lost at a hose",
        evidence(seen(pressure_held_cold=False), coolant_lost_at="hose"),
        "loses_coolant",
        "care",
        ("does not hold the tester's pressure",),
        ("heater core",),
    ),
    ToldCase(
        "pressure over the cap's",
        {
            **evidence(seen({"what": "pressure", "value": "1.45 bar", "at": "30 min", "instrument": "pressure_gauge"})),
            "coolant": {"cap_pressure": "1.1 bar"},
        },
        "loses_coolant",
        "stop",
        ("well over the 1.1 bar of its cap",),
    ),
    ToldCase("overheat code", evidence({**MILD, "codes": ["P0217"]}), "runs_hot", "care", ("stored a code",)),
    ToldCase(
        "cold code, normal reading",
        evidence({**seen(NORMAL), "codes": ["P0126"]}, reason="slow warm-up"),
        "cannot_tell",
        "none",
        ("stored a code", "look at the coolant level"),
    ),
    ToldCase(
        "cold code, hot complaint",
        evidence({**seen(NORMAL), "codes": ["P0128"]}, reason="hot at speed"),
        "cannot_tell",
        "none",
        ("cause of the complaint",),
    ),
    ToldCase(
        "repaired, cold code before",
        evidence({**MILD, "codes": ["P0128"]}, seen(NORMAL), reason="slow warm-up"),
        "healthy",
        "none",
        (SO_FAR,),
    ),
    ToldCase("nothing typed", {}, "nothing_to_judge", "none", ("Enter the complaint",)),
    ToldCase("weather only", evidence({"ambient": "20 degC"}), "nothing_to_judge", "none", ("Enter the complaint",)),
    ToldCase(
        "complaint alone",
        evidence(reason="hot at idle", complaint="Boils in town."),
        "cannot_tell",
        "none",
        ("explains the complaint", "See whether the radiator fan runs"),
    ),
    ToldCase(
        "complaint in words alone",
        {**evidence(complaint="It smells sweet."), "duties": [{"name": "Idle"}]},
        "cannot_tell",
        "none",
        ("explains the complaint",),
    ),
    ToldCase(
        "complaint of heat, normal reading",
        evidence(seen(NORMAL), reason="hot at speed"),
        "cannot_tell",
        "none",
        ("cause of the complaint",),
    ),
    ToldCase(
        "heater cold, gauge normal",
        evidence(seen(coolant("90 degC", "dash_gauge")), reason="no heat"),
        "heats_poorly",
        "none",
        ("heater's side",),
    ),
    ToldCase(
        "repaired, gas not tested again",
        evidence(seen(NORMAL, combustion_gas_found=True), seen(NORMAL), reason="loss of coolant"),
        "cannot_tell",
        "none",
        ("has not been repeated",),
    ),
    ToldCase(
        "repaired, fan not seen again",
        evidence(seen(coolant("113 degC"), fan_runs_when_hot=False), seen(NORMAL), reason="hot at idle"),
        "cannot_tell",
        "none",
        ("Nobody has seen it run since",),
    ),
    ToldCase(
        "was too hot, read cold since",
        evidence(seen(coolant("118 degC")), seen(coolant("30 degC", at="3 min"))),
        "cannot_tell",
        "none",
        ("has not been read warm since",),
    ),
    ToldCase(
        "repaired, still too hot",
        evidence(seen(NORMAL), seen(coolant("116 degC")), reason="hot at idle"),
        "runs_hot",
        "stop",
        ("After the repair",),
    ),
    ToldCase(
        "repaired and seen",
        evidence(
            seen(coolant("118 degC"), fan_runs_when_hot=False),
            seen(NORMAL, fan_runs_when_hot=True),
            reason="hot at idle",
        ),
        "healthy",
        "none",
        (SO_FAR, "watch whether the fan comes on"),
    ),
    ToldCase(
        "repaired, read once",
        evidence(seen(coolant("45 degC"), air={**MILD, "ambient": "-6 degC"}), seen(NORMAL), reason="no heat"),
        "healthy",
        "none",
        (SO_FAR, "read the coolant again"),
    ),
    ToldCase(
        "repaired, read twice",
        evidence(seen(coolant("45 degC")), seen(coolant("60 degC", at="8 min"), NORMAL), reason="no heat"),
        "healthy",
        "none",
        ("That is warm",),
        ("so far", "read the coolant again"),
    ),
    ToldCase("normal, no complaint", evidence(seen(NORMAL)), "healthy", "none"),
)


GREEN = ("Holds", "Healthy", "Nothing is lost", "Undersized")
COLD_ROW = ToldCase(
    "cold in frost, upper hose warm early",
    evidence(
        {
            "ambient": "-6 degC",
            "heater_setting": "high",
            "driving": "town",
            "engine_off_phases": "no",
            "spots": [coolant("40 degC", at="20 min")],
            "seen": {"upper_hose_warms_early": True},
        },
        reason="no heat",
        complaint="The heater stays cold.",
    ),
    "runs_cold",
    "none",
    ("Runs cold", "40 °C", "look at the coolant level"),
    (*GREEN, "ake the thermostat out", "held open by"),
)
WARMER_ROW = ToldCase(  # as told: warm enough for some healthy vehicles, while the hose points to the thermostat
    "62 degC in frost, upper hose warm early",
    evidence(
        {
            "ambient": "-6 degC",
            "heater_setting": "high",
            "spots": [coolant("62 degC", at="20 min")],
            "seen": {"upper_hose_warms_early": True},
        },
        reason="no heat",
        complaint="The heater stays cold.",
    ),
    "cannot_tell",
    "none",
    ("Cannot tell yet", "62 °C", "points to a thermostat that does not close", "look at the coolant level"),
    (*GREEN, "ake the thermostat out", "lets coolant through"),
)
TABLE: tuple[ToldCase, ...] = (  # what technicians came with in trials, and what every face must say
    ToldCase(
        "hot at idle, fan seen still",
        evidence(
            seen(coolant("113 degC", "dash_gauge"), air=HOT_DAY, fan_runs_when_hot=False),
            reason="hot at idle",
            complaint="Gets hot in every queue.",
        ),
        "runs_hot",
        "stop",
        ("Stop: do not drive on", "runs too hot", "fan does not run", "Do not let it idle", "fuse, relay, motor"),
        GREEN,
    ),
    ToldCase(
        "bubbles, low level, 112 degC",
        evidence(seen(coolant("112 degC"), bubbles_when_running=True, level_low=True), reason="hot at speed"),
        "runs_hot",
        "stop",
        ("Stop: do not drive on", "combustion gas", "combustion leak test"),
        GREEN,
    ),
    ToldCase(
        "gas found",
        evidence(
            seen(coolant("112 degC"), bubbles_when_running=True, level_low=True, combustion_gas_found=True),
            reason="hot at speed",
        ),
        "runs_hot",
        "stop",
        ("Stop: do not drive on", "found combustion gas"),
        GREEN,
    ),
    ToldCase(
        "heater cold, gauge normal, level right",
        evidence(seen(coolant("90 degC", "dash_gauge"), level_low=False), reason="no heat", complaint="Cold feet."),
        "heats_poorly",
        "none",
        ("Heats poorly", "engine gets warm", "heater's side", "flap", "heater valve, core"),
        GREEN,
    ),
    COLD_ROW,
    WARMER_ROW,
    ToldCase(
        "cold, thermostat in the hand and open",
        evidence(
            {
                "ambient": "-6 degC",
                "heater_setting": "high",
                "driving": "town",
                "engine_off_phases": "no",
                "spots": [coolant("62 degC", at="20 min")],
                "seen": {"upper_hose_warms_early": True, "thermostat_open_when_cold": True},
            },
            reason="no heat",
        ),
        "runs_cold",
        "none",
        ("Runs cold", "thermostat was found open when cold", "Fit a thermostat"),
        (*GREEN, "ake the thermostat out", "ake it out", "held open by", "less than 1 %"),
    ),
    ToldCase(
        "warm after 26 min",
        evidence(
            {
                **MILD,
                "ambient": "-20 degC",
                "heater_setting": "high",
                "driving": "idling",
                "engine_off_phases": "no",
                "curve": [[0, "-20 degC"], [10, "20 degC"], [20, "55 degC"], [26, "80 degC"], [40, "88 degC"]],
            },
            reason="slow warm-up",
        ),
        "healthy",
        "none",
        ("not within 20 min",),
        ("within the 20 min", "Undersized"),
    ),
    ToldCase("nothing typed", {}, "nothing_to_judge", "none", ("Nothing judged yet",), GREEN),
)


@cache
def answered(name: str) -> tuple[CaseText, WholeCheck]:
    """The text of an invented case and its whole check, computed once for all faces."""
    text = CaseText(BY_NAME[name].tree)
    case = resolve(text)
    assert isinstance(case, Case), case
    return text, check_with_records(case, {}, members=20)


@cache
def customer_pages(name: str) -> tuple[str, ...]:
    """The customer's pages of an invented case as pdfium reads them, blanks and line ends as one blank."""
    text, whole = answered(name)
    options = Options(annex=Annex.NONE)
    document = pypdfium2.PdfDocument(build(whole.check, text, ReportKind.CUSTOMER, NOON, options).pdf)
    try:
        return tuple(" ".join(page.get_textpage().get_text_bounded().split()) for page in document)
    finally:
        document.close()


def first_page(name: str) -> str:
    """Page one of the same."""
    return customer_pages(name)[0]


@cache
def example_answered(name: str) -> WholeCheck:
    """The whole check of a worked example with its logs, computed once for all faces."""
    path = EXAMPLES[name]
    case = resolve(read_case(path))
    assert isinstance(case, Case), case
    return check_with_records(case, read_logs(case, path.parent), members=20)


EXAMPLES: Mapping[str, Path] = {
    path.name.removesuffix(SUFFIX): path for path in sorted(worked_examples.folder().rglob(f"*{SUFFIX}"))
}
BY_NAME: Mapping[str, ToldCase] = {case.name: case for case in (*TABLE, *CASES)}
