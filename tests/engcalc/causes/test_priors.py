"""Every number of the causes against a table of its own, so that none moves unnoticed.

Source of all of them: common practice, no source. The table (``priors.json``) is read by nothing else. Where a number
is changed on purpose, ``tests/calibration`` is run again and the table is changed by hand with it.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from engcalc.causes import base_rates
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.record import RARE, Cause, SeverityPrior
from engcalc.words.texts import case_texts

GOLDEN: dict[str, Any] = json.loads((Path(__file__).parent / "priors.json").read_text(encoding="utf-8"))
HERE = np.array([0.1, 0.5, 300.0])  # what a case holds where a cause changes it: shares, and beyond all bounds
WITHIN = 1e-9  # relative; the table's own rounding


def severity_numbers(prior: SeverityPrior | None) -> dict[str, float]:
    """The prior's own numbers, and its quantity one spread to each side of the median."""
    if prior is None:
        return {}
    low, high = prior.value(np.array([-1.0, 1.0])).tolist()
    return {
        "median": prior.median,
        "spread": prior.spread,
        "low": prior.low,
        "high": prior.high,
        "one spread below": low,
        "one spread above": high,
    }


def numbers_of(cause: Cause) -> dict[str, Any]:
    """All numbers of a record: severity, rates by reason, and what it makes of a case and of a look at its median."""
    median = np.full(len(HERE), 0.0 if cause.severity is None else cause.severity.median)
    beyond = median if cause.reserve is None else median - cause.reserve.median
    return {
        "severity": severity_numbers(cause.severity),
        **({} if cause.reserve is None else {"reserve": severity_numbers(cause.reserve)}),
        "per cent": {reason: cause.rate(reason) for reason in RARE},
        "changes": {c.where: c.act(HERE, beyond if c.past_reserve else median).tolist() for c in cause.changes},
        "states": {state.name: float(of(median)[0]) for state, of in cause.states.items()},
        "broad": cause.broad,
    }


def compared(found: Any, wanted: Any, where: str) -> None:
    """Fails at the first number that differs, by its place."""
    if isinstance(wanted, dict):
        assert list(found) == list(wanted), where
        for key, value in wanted.items():
            compared(found[key], value, f"{where}: {key}")
    else:
        assert found == pytest.approx(wanted, rel=WITHIN, abs=0.0), where


@pytest.mark.parametrize("key", CAUSES)
def test_the_numbers_of_a_cause_are_those_of_the_table(key: str) -> None:
    compared(numbers_of(CAUSES[key]), GOLDEN["causes"][key], key)


def test_the_table_has_every_cause_and_says_its_source() -> None:
    # these keys are promised: case files and scripts hold them
    assert list(GOLDEN["causes"]) == list(CAUSES)
    assert GOLDEN["source"] == case_texts.COMMON_PRACTICE_NO_SOURCE == "common practice, no source"


def test_what_all_rates_share_is_that_of_the_table() -> None:
    assert pytest.approx(GOLDEN["repaired"], rel=WITHIN) == base_rates.REPAIRED
    assert pytest.approx(GOLDEN["pair factor"], rel=WITHIN) == base_rates.PAIR_FACTOR
    assert dict(RARE) == pytest.approx(GOLDEN["rare, per cent"], rel=WITHIN)


def test_the_table_notices_a_number_that_moves_by_five_per_cent() -> None:
    wanted = GOLDEN["causes"]["thermostat_stuck_open"]
    for part, name in (("severity", "median"), ("severity", "spread"), ("per cent", "no heat")):
        moved = {**wanted, part: {**wanted[part], name: 1.05 * wanted[part][name]}}
        with pytest.raises(AssertionError, match=name):
            compared(numbers_of(CAUSES["thermostat_stuck_open"]), moved, "thermostat_stuck_open")
