"""How logs write things is data: a dialect is one entry, and units have one vocabulary for logs and form."""

from __future__ import annotations

import re

import pytest

from engcalc.logs import channels
from engcalc.logs.channels import SPELLINGS, Channel, ColumnRole, fold, scale
from engcalc.logs.dialects import DELIMITERS, DIALECTS, RULED_OUT, Dialect
from engcalc.logs.stamps import read_stamps
from engcalc.quantity_kinds import ALSO_WRITTEN, KINDS
from engcalc.units import parse


def test_dialects_name_channels_and_roles_that_there_are():
    assert len({dialect.name for dialect in DIALECTS}) == len(DIALECTS)
    for dialect in DIALECTS:
        assert set(dialect.channels) <= set(Channel), dialect.name
        assert set(dialect.roles) <= set(ColumnRole), dialect.name
    assert set(RULED_OUT) <= set(Channel)
    assert all(SPELLINGS[channel].words for channel in Channel)


def test_every_pattern_reads_and_is_listed_once():
    """A pattern is compared with folded names: one that holds an upper case letter or an accent could never match."""
    for channel in Channel:
        patterns = [word for dialect in DIALECTS for word in dialect.channels.get(channel, ())]
        assert len(set(patterns)) == len(patterns), channel
        for pattern in patterns:
            re.compile(pattern)
            plain = re.sub(r"\\[a-z]", "", pattern)
            assert plain == plain.lower(), pattern
            assert plain.isascii(), pattern


def test_every_month_has_a_name_and_no_name_two_months():
    numbers: dict[str, set[int]] = {}
    for dialect in DIALECTS:
        for name, number in dialect.months.items():
            numbers.setdefault(name, set()).add(number)
    assert {next(iter(found)) for found in numbers.values()} == set(range(1, 13))
    assert all(len(found) == 1 for found in numbers.values())


MONTHS = {
    "Jan": 1,
    "fév": 2,
    "mär": 3,
    "Mrz": 3,
    "avr": 4,
    "Mai": 5,
    "juin": 6,
    "juil": 7,
    "aoû": 8,
    "Sep": 9,
    "Okt": 10,
    "Oct": 10,
    "Nov": 11,
    "Dez": 12,
    "déc": 12,
    "Dec": 12,
}


@pytest.mark.parametrize(("name", "number"), MONTHS.items())
def test_a_month_by_its_name_is_the_month_by_its_number(name, number):
    """Short names of months in English, German and French, as any calendar of these languages has them."""
    by_name, by_number = read_stamps([f"03-{name}-2021 10:00:00", f"2021-{number:02d}-03 10:00:00"], "").seconds
    assert by_name == by_number


def test_a_dialect_is_one_entry(monkeypatch):
    """An invented tool that calls the coolant otherwise: its entry alone makes the name known."""
    invented = Dialect("an invented tool", channels={"coolant": ("kw fuehler",)}, roles={"time": "takt"})
    assert not any(re.fullmatch(word, fold("KW-Fühler")) for word in SPELLINGS[Channel.COOLANT].words)
    monkeypatch.setattr(channels, "DIALECTS", (*DIALECTS, invented))
    assert any(re.fullmatch(word, fold("KW-Fühler")) for word in channels._spelling(Channel.COOLANT).words)
    assert re.fullmatch(channels._role_pattern(ColumnRole.TIME), "takt")


def test_the_comma_is_the_last_sign_between_cells():
    """The others are preferred: no decimal is written with them."""
    assert list(DELIMITERS)[-1] == ","


# ---- one vocabulary of units ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        ("90 celsius", "temperature", 363.15),
        ("194 degrees f", "temperature", 363.15),
        ("2400 u/min", "rotation", 40.0),
        ("2400 min-1", "rotation", 40.0),
        ("72 km/hr", "vehicle speed", 20.0),
        ("25 gm/s", "mass flow", 0.025),
        ("36 lph", "coolant flow", 1e-5),
        ("1013.25 hPa", "absolute pressure", 101325.0),
        ("40 pct", "fraction", 0.4),
    ],
)
def test_a_spelling_of_logs_reads_in_the_form_too(text, kind, si):
    """Values by the definitions of the units (NIST SP 811, 2008, appendix B)."""
    assert parse(text, kind).si == pytest.approx(si, rel=1e-12)
    number, unit = text.split(" ", 1)
    found = scale(unit, kind)
    assert found.slope * float(number) + found.intercept == pytest.approx(si, rel=1e-12)


def test_every_other_spelling_stands_for_a_listed_unit():
    for listed, others in ALSO_WRITTEN.items():
        kinds = [kind for kind in KINDS.values() if listed in kind.units]
        assert kinds, listed
        for other in others:
            assert other == other.casefold()
            for kind in kinds:
                assert parse(f"3 {other}", kind.name).si == pytest.approx(parse(f"3 {listed}", kind.name).si, rel=1e-15)
