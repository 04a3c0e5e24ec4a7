"""The check digit of a VIN against the law's own tables and known numbers."""

from __future__ import annotations

import random

import pytest

from engcalc.case.vin import VinState, check_digit, tidy_vin, vin_state

# 49 CFR 565.15: table III (values of letters) and table IV (weights of positions), typed here a second time, by rows.
TABLE_III = {1: "AJ", 2: "BKS", 3: "CLT", 4: "DMU", 5: "ENV", 6: "FW", 7: "GPX", 8: "HY", 9: "RZ"}
TABLE_IV = {
    1: 8, 2: 7, 3: 6, 4: 5, 5: 4, 6: 3, 7: 2, 8: 10, 10: 9, 11: 8, 12: 7, 13: 6, 14: 5, 15: 4, 16: 3, 17: 2
}  # fmt: skip
LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ0123456789"


def by_the_law(vin: str) -> str:
    """The digit by the tables, position by position."""
    total = 0
    for position, weight in TABLE_IV.items():
        character = vin[position - 1]
        value = int(character) if character.isdigit() else next(v for v, row in TABLE_III.items() if character in row)
        total += weight * value
    return "0123456789X"[total % 11]


@pytest.mark.parametrize(
    ("vin", "digit"),
    [
        ("1M8GDM9AXKP042788", "X"),  # the example that is worked in many places; from memory
        ("11111111111111111", "1"),  # the sum of the weights is 89, which leaves 1: by hand
        ("5GZCZ43D13S812715", "1"),  # from memory
    ],
)
def test_known_numbers(vin: str, digit: str) -> None:
    assert check_digit(vin) == digit
    assert vin_state(vin) is VinState.AGREES


def test_every_character_at_every_position_as_the_tables_have_it() -> None:
    rng = random.Random(3)
    for position in range(17):
        for character in LETTERS:
            rest = [rng.choice(LETTERS) for _ in range(17)]
            vin = "".join([*rest[:position], character, *rest[position + 1 :]])
            assert check_digit(vin) == by_the_law(vin)


def test_one_wrong_character_is_told() -> None:
    """A weighted sum modulo 11 finds every single slip whose value differs."""
    good = "1M8GDM9AXKP042788"
    for position in (0, 4, 10, 16):
        slip = good[:position] + ("2" if good[position] != "2" else "3") + good[position + 1 :]
        assert vin_state(slip) is VinState.DISAGREES


def test_a_number_from_elsewhere_need_not_carry_the_digit() -> None:
    assert vin_state("WXY11111111111111") is VinState.NO_CHECK_DIGIT  # W: Europe (ISO 3780)
    assert vin_state("5XY11111111111111") is VinState.DISAGREES  # 5: North America
    assert vin_state("6XY11111111111111") is VinState.NO_CHECK_DIGIT  # 6: Oceania


@pytest.mark.parametrize("typed", ["1M8GDM9AXKP04278", "1M8GDM9AXKP0427888", "1M8GDM9AXKPO42788", "1M8GDM9AXKP0Q2788"])
def test_what_is_no_vehicle_number(typed: str) -> None:
    assert vin_state(typed) is VinState.MALFORMED


def test_blanks_and_small_letters_do_no_harm() -> None:
    assert tidy_vin(" 1m8gdm9a-xkp 042788 ") == "1M8GDM9AXKP042788"
    assert vin_state(" 1m8gdm9a-xkp 042788 ") is VinState.AGREES
    assert vin_state("  ") is VinState.ABSENT
