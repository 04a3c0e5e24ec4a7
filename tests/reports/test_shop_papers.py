"""Papers of the workshop: the page of claims against outcomes, signed, and the two pages of a screening."""

from __future__ import annotations

from pathlib import Path

import pytest
from poppler import accepts, printed_text

from engcalc.diagnosis.grounds import Danger, VehicleState
from engcalc.diagnosis.odds.honesty import Claim, honesty
from engcalc.diagnosis.ranking import ranked
from engcalc.diagnosis.screening import LogJudged
from reports.shop_papers import screening_pdf, write_honesty
from reports.verification import FoundState
from reports.verifying import verify_report

SHIPPED = {"low_coolant": 0.2, "healthy": 0.8}


def claims(true: int, wrong: int) -> list[Claim]:
    odds = {"low_coolant": 0.75, "healthy": 0.25}
    good = [Claim(job, odds, SHIPPED, "low_coolant") for job in range(1, true + 1)]
    return good + [Claim(job, odds, SHIPPED, "healthy") for job in range(100, 100 + wrong)]


def test_the_page_says_what_the_claims_came_to(tmp_path: Path, moment) -> None:
    written = write_honesty(honesty(claims(15, 5)), (22, 20), tmp_path / "honesty.pdf", now=moment)
    said = printed_text(written.path)
    assert not written.signed
    assert "DRAFT" in said
    for part in ("How honest the odds were", "70 to 80 %", "53 to 89 %", "22 jobs have an outcome", written.report_id):
        assert part in said
    assert said.count("The coolant is low") == 5  # the misses, each with what was named


def test_few_outcomes_are_said_to_be_few(tmp_path: Path, moment) -> None:
    written = write_honesty(honesty(claims(2, 0)), (2, 2), tmp_path / "few.pdf", now=moment)
    assert "too few to conclude anything" in " ".join(printed_text(written.path).split())
    none = write_honesty(honesty([]), (0, 0), tmp_path / "none.pdf", now=moment)
    assert "95 % interval" not in printed_text(none.path)


def test_the_page_is_signed_and_a_changed_number_shows(tmp_path: Path, moment, author) -> None:
    path = tmp_path / "honesty.pdf"
    written = write_honesty(honesty(claims(15, 5)), (22, 20), path, now=moment, identity=author)
    data = path.read_bytes()
    assert written.signed
    assert "DRAFT" not in printed_text(path)
    assert verify_report(data).state is FoundState.INTACT
    assert accepts(path)
    at = data.rindex(b"endstream", 0, len(data) // 2) - 20
    assert verify_report(data[:at] + bytes([data[at] ^ 1]) + data[at + 1 :]).state is not FoundState.INTACT


def judged(deviation: float, fault: float, leading: str, danger: Danger = Danger.NONE) -> LogJudged:
    state = VehicleState.RUNS_COLD if fault > 0.5 else VehicleState.HEALTHY
    return LogJudged(
        state=state, danger=danger, fault=fault, leading=leading, leading_odds=fault, next_check="",
        deviation=deviation, lasted=1200.0, enough=True,
    )  # fmt: skip


@pytest.mark.parametrize("vehicles", [0, 3, 60])
def test_a_screening_takes_two_pages_whatever_the_number_of_vehicles(tmp_path: Path, moment, vehicles: int) -> None:
    logs = {f"van {i:02d}": [judged(-20.0, 0.9, "thermostat_stuck_open")] for i in range(vehicles)}
    pdf = screening_pdf(ranked(logs), [("bad.csv", "no column of the coolant")], moment)
    path = tmp_path / "screening.pdf"
    path.write_bytes(pdf)
    said = printed_text(path)
    assert said.count("\f") == (2 if vehicles else 1)
    assert "bad.csv" in said
    assert ("van 00" in said) is bool(vehicles)
    assert ("40 more vehicles" in said) is (vehicles == 60)
