"""A reading that an instrument is too coarse to tell from health is not called warm where it is a danger."""

from __future__ import annotations

import pytest

from engcalc.diagnosis.hottest import NEAR_LIMIT
from engcalc.units import UnitSystem
from engcalc.verdict import Finding, FindingCode, FindingLevel
from engcalc.words.answer.finding_sentences import finding_sentence

ZERO = 273.15  # K at 0 degC, by definition
LIMIT = 115.0  # degC


def said(read: float) -> str:
    numbers = {
        "as_read": read + ZERO,
        "measured": read + ZERO,
        "uncertainty": 8.0,
        "limit": LIMIT + ZERO,
        "expected": 92.0 + ZERO,
        "expected_low": 87.0 + ZERO,
        "expected_high": 97.0 + ZERO,
        "short_by": 92.0 - read,
        "opens": 88.0 + ZERO,
        "regulates": 100.0 + ZERO,
        "heat_limited": 0.0,
        "at": 1500.0,
    }
    return finding_sentence(Finding(FindingCode.READING_AGREES, FindingLevel.NOTE, numbers), UnitSystem.SI)


@pytest.mark.parametrize("read", [LIMIT - NEAR_LIMIT, 113.0])
def test_close_to_the_limit_it_says_so(read: float) -> None:
    assert "That is close to the limit of 115 °C; by then a healthy vehicle would be at 87 to 97 °C." in said(read)
    assert "warm" not in said(read)


@pytest.mark.parametrize("read", [97.0, 90.0])
def test_further_away_it_is_warm(read: float) -> None:
    assert "That is warm: by then a healthy vehicle would be at 87 to 97 °C." in said(read)


@pytest.mark.parametrize("read", [97.6, 100.5])
def test_warm_early_is_told_as_no_fault(read: float) -> None:
    """88 °C after 18 min was read in seven of nine real healthy starts in frost, over the band of a heater on high."""
    assert "That is warmer than expected by then (87 to 97 °C), and no fault: a healthy thermostat lets" in said(read)


@pytest.mark.parametrize("read", [100.6, LIMIT - NEAR_LIMIT - 0.5])
def test_hotter_than_nine_in_ten_is_not_said_to_be_among_them(read: float) -> None:
    assert "hotter than nine in ten healthy vehicles by then (87 to 97 °C), but not by enough" in said(read)
