"""The verdict as it is told to whoever brought the vehicle: what is wrong, and what it costs to leave it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engcalc.diagnosis.conclusion import HOT_COMPLAINTS, Conclusion, conclude
from engcalc.diagnosis.grounds import GroundCode, VehicleState
from engcalc.studies.checked import Check
from engcalc.verdict import FindingCode, Verdict
from engcalc.words.answer.answer import rig_agrees, speaks_for_the_class
from engcalc.words.diagnosis.conclusion_words import BY_ODDS, LEADS, part_found
from engcalc.words.lesson.bench_words import bench_agrees
from engcalc.words.terms.numbers import chance


@dataclass(frozen=True)
class PlainVerdict:
    """One verdict for the customer."""

    lead: str
    if_left: str


PLAIN: Mapping[Verdict | None, PlainVerdict] = {
    Verdict.UNDERSIZED: PlainVerdict(
        "The engine runs too hot.",
        "An engine that runs too hot can warp its cylinder head, burn through the head gasket and seize. Do not drive "
        "on with the gauge in the red: stop in a safe place, switch the engine off and let it cool with the cap shut.",
    ),
    Verdict.OVERCOOLING: PlainVerdict(
        "The engine does not get warm enough.",
        "An engine that stays cold burns more fuel, wears faster and thins its oil with fuel. In frost the heater "
        "cannot keep the cabin warm or the windscreen clear.",
    ),
    Verdict.MARGINAL: PlainVerdict(
        "The cooling holds, but only just.",
        "It holds only just. A hotter day, a longer hill, a trailer or a dirty radiator can be enough to make the "
        "engine run too hot.",
    ),
    Verdict.HOLDS: PlainVerdict("Such a system holds its temperature.", "Nothing is lost by leaving it as it is."),
    None: PlainVerdict(
        "There is no answer for this vehicle as it was described.",
        "No answer could be computed for this vehicle as it was described; the reasons are on the next pages.",
    ),
}

NOTHING_LOST = "Nothing is lost by leaving it as it is."
DUTIES_APART = "What was read is as it should be. Whether the system would hold its duties is another question."

FUEL_DOUBTED = "Not known yet: the log looks like another fuel's than the one entered. Settle that first."

_DECIDES = "Not known yet: the next check decides. Parts fitted on suspicion may cost more than the check."
NOT_SETTLED = PlainVerdict("Whether the engine gets warm enough is not settled yet.", _DECIDES)
VALVE_SUSPECTED = PlainVerdict("What was seen points to the thermostat, and does not prove it yet.", _DECIDES)
OPEN: Mapping[FindingCode, PlainVerdict] = {  # what the first such finding says while nothing is settled
    FindingCode.READING_DEPENDS: NOT_SETTLED,
    FindingCode.READING_UNDECIDED: NOT_SETTLED,
    FindingCode.VALVE_SUSPECTED: VALVE_SUSPECTED,
    FindingCode.TOO_EARLY: PlainVerdict(
        "It is too early to tell whether the engine gets warm enough.",
        "Not known yet: a later reading decides. Parts fitted on suspicion may cost more than the check.",
    ),
}

RIG_AGREES = PlainVerdict(
    "What was measured and what the dimensions give agree.",
    "Within their uncertainties nothing speaks against the exchanger's dimensions or the rig's probes.",
)
RIG_DIFFERS = PlainVerdict(
    "What was measured and what the dimensions give do not agree.",
    "Check flows, probes and dimensions before you use either.",
)
BENCH_AGREES = PlainVerdict(
    "What both sides of the exchanger measured agrees.",
    "Both heats balance, and nothing speaks against the numbers measured.",
)
BENCH_DIFFERS = PlainVerdict(
    "Some of what was measured on the exchanger does not agree.",
    "Look at the points named below before you use them.",
)
BENCH_WORKED = PlainVerdict("The problems are worked out.", "Each answer is below, with its working.")
BENCH_OPEN = PlainVerdict("There is nothing to work out yet.", "Enter measured points or a problem.")


def plain(check: Check) -> PlainVerdict:
    """The conclusion of a check for the customer."""
    found = conclude(check)
    if speaks_for_the_class(found):
        return _of_the_class(check)
    code = found.lead.code
    if code in LEADS:
        lead, if_left = LEADS[code]
        return PlainVerdict(" ".join(part for part in (lead, part_found(found.lead)) if part), if_left)
    if code is GroundCode.COLDER:
        return PLAIN[Verdict.OVERCOOLING]
    if found.lead.odds is not None:
        return PlainVerdict(*BY_ODDS[found.state])
    if found.state is VehicleState.HEALTHY:
        lead = _healthy_lead(found, hot=check.case.job.reason in HOT_COMPLAINTS)
        left = NOTHING_LOST if found.green else FUEL_DOUBTED if found.fuel_doubted else DUTIES_APART
        return PlainVerdict(lead, left)
    told = {f.code for reading in check.readings for f in reading.findings}
    return next((words for finding, words in OPEN.items() if finding in told), NOT_SETTLED)


def _of_the_class(check: Check) -> PlainVerdict:
    """Nothing is known of a vehicle: what a bench, a rig or such a system does."""
    if check.bench is not None:
        if not check.bench.points and not check.bench.problems:
            return BENCH_OPEN
        agrees = bench_agrees(check)
        return BENCH_WORKED if agrees is None else BENCH_AGREES if agrees else BENCH_DIFFERS
    agrees = rig_agrees(check)
    return PLAIN[check.verdict] if agrees is None else RIG_AGREES if agrees else RIG_DIFFERS


def _healthy_lead(found: Conclusion, *, hot: bool) -> str:
    if found.lead.code is GroundCode.AGREES_COLD:
        return "The engine is as warm as this kind of driving makes it in this weather."
    kept = "keeps its temperature" if hot else "gets warm as it should"
    return f"After the repair the engine {kept}." if found.repaired else f"The engine {kept}."


def beside_lead(check: Check) -> str:
    """How sure a conclusion is that no single reading proves: by what was felt, or by all of them together. Empty
    where one does."""
    lead = conclude(check).lead
    if lead.odds is not None:
        return f"The odds of that are {chance(lead.odds.probability)}. A look at the part settles it."
    if lead.code is not GroundCode.VALVE_SUSPECTED:
        return ""
    return "This rests on what was seen and felt at the vehicle; a look at the cold thermostat settles it."
