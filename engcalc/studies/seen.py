"""What was seen at the vehicle, as far as it speaks by itself: a valve that does not close, leaks, gas, fan and pump.

How such facts weigh against one another and against temperatures is a matter of odds, and not done here. What stands
here is common practice, no source: a valve that was seen open while cold is at fault; a hose behind a valve that should
be shut stays cool; level, leaks and gas come before every other check.
"""

from __future__ import annotations

from collections.abc import Iterator

from engcalc.case.case import Case
from engcalc.case.records import Record
from engcalc.verdict import Finding, FindingCode, FindingLevel

IN_HAND = ("thermostat_missing", "thermostat_open_when_cold")  # facts that were looked at, not felt
HOSE = "upper_hose_warms_early"
# Facts that ask for a check of their own first, in the order in which it is done, with the answer that does
ACTS = (
    ("combustion_gas_found", True),
    ("level_low", True),
    ("coolant_leak", True),
    ("pressure_held_cold", False),
    ("bubbles_when_running", True),
    ("belt_drives_pump", False),
    ("lower_hose_collapses", True),
    ("cap_holds_pressure", False),
    ("thermostat_opens_hot", False),
    ("fan_runs_when_hot", False),
    ("fan_fuse_good", False),
    ("fan_relay_works", False),
    ("fan_motor_runs", False),
    ("fan_blows_backward", True),
    ("fan_runs_always", True),
    ("face_dirty", True),
    ("seals_missing", True),
    ("shutter_closed", True),
    ("heater_hoses_swapped", True),
)


def valve_passes(record: Record, side: str) -> str:
    """The fact seen that tells of a valve passing coolant while it should be shut; empty where there is none.

    The upper hose tells it only with the valve at the engine's outlet: before a valve at the inlet it warms in health.
    """
    facts = (*IN_HAND, *((HOSE,) if side == "outlet" else ()))
    return next((fact for fact in facts if record.seen.get(fact) is True), "")


def seen_findings(case: Case) -> tuple[Finding, ...]:
    """What the records' facts say by themselves. After a repair only the later record counts where it answers."""
    records = [r for r in (case.evidence.before, case.evidence.after) if r is not None]
    facts = {fact: value for record in records for fact, value in record.seen.items()}
    return tuple(_findings(facts, case.thermostat.side))


def _findings(facts: dict[str, bool], side: str) -> Iterator[Finding]:
    for fact in IN_HAND:
        if facts.get(fact) is True:
            yield Finding(FindingCode.SEEN_VALVE_OPEN, FindingLevel.FAULT, {}, {"fact": fact})
    if facts.get(HOSE) is True:
        severity = FindingLevel.NOTE if side == "inlet" else FindingLevel.CAUTION
        yield Finding(FindingCode.SEEN_HOSE, severity, {}, {"fact": HOSE, "side": side})
    for fact, value in ACTS:
        if facts.get(fact) is value:
            yield Finding(FindingCode.SEEN, FindingLevel.CAUTION, {}, {"fact": fact})
