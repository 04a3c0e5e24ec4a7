"""The hand checks in the order of what they tell about vehicles drawn from the odds."""

from __future__ import annotations

from engcalc.case.case import Case
from engcalc.diagnosis.checks.hand_checks import first_checks, noted_in
from engcalc.diagnosis.checks.next_check import CheckValue, check_values
from engcalc.diagnosis.checks.run_of_checks import CheckedVehicles, run_of_checks
from engcalc.diagnosis.members.simulated import Problem, Runner, Simulated, Stop, joined, simulate
from engcalc.diagnosis.odds.drawn_vehicles import DrawnVehicles


def checked_vehicles(
    problem: Problem, drawn: DrawnVehicles, record: Simulated, cancelled: Stop = None, runner: Runner = simulate
) -> CheckedVehicles:
    """Drawn vehicles with their ``record`` and the run that the checks need. Raises Cancelled."""
    start = float((drawn.weight * record.coolant[-1]).sum())
    run = problem.run
    drive = run_of_checks(problem.layouts[0], run.record, run.drive.conditions.ambient, start)
    hot = joined(runner(problem, drawn.batch, cancelled, drive))
    return CheckedVehicles(record, hot, drawn.cause, drawn.weight)


def checks_in_order(seen: CheckedVehicles, problem: Problem, case: Case, reason: str) -> tuple[CheckValue, ...]:
    """Every check that the record does not answer yet: those that come first for the ``reason`` of the visit, then by
    what they tell a minute."""
    side = case.thermostat.side
    done = noted_in(problem.run.record)
    return check_values(seen, done, "outlet" if side == "unknown" else side, first_checks(reason, case))
