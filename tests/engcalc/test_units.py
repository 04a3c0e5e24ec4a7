"""Reading numbers with units: what people type, what is refused, conversions against exact definitions."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from engcalc.errors import UnitFault
from engcalc.quantity_kinds import KINDS
from engcalc.units import (
    LONGEST_TEXT,
    UnitSystem,
    parse,
    parse_difference,
    plain_number,
    raised,
    show,
    show_difference,
    to_unit,
    unbroken,
    unit_for,
)

# The exact factors: NIST SP 811 (2008), appendix B.8 (inch, pound, gallon, foot, mile, psi from lbf and inch; metric
# horsepower 735.4988 W; horsepower of 550 ft lbf/s 745.6999 W; Btu_IT 1055.055 852 62 J; inch of water 249.0889 Pa)
# and the definition of the Celsius scale (0 degC = 273.15 K, SI brochure 9, section 2.3.1).
EXACT = [
    ("88 degC", "temperature", 361.15),
    ("32 degF", "temperature", 273.15),
    ("-40 °F", "temperature", 233.15),
    ("300 K", "temperature", 300.0),
    ("9 degF", "temperature difference", 5.0),
    ("1 inch", "small length", 0.0254),
    ("1 lb", "mass", 0.45359237),
    ("1 gal", "volume", 3.785411784e-3),
    ("1 qt", "volume", 0.946352946e-3),
    ("1 PS", "power", 735.49875),
    ("1 hp", "power", 745.69987158227),
    ("1 psi", "gauge pressure", 6894.757293168),
    ("1 BTU/h", "heat rate", 1055.05585262 / 3600.0),
    ("1 mph", "vehicle speed", 0.44704),
    ("1 cfm", "air flow", 0.3048**3 / 60.0),
    ("1 gpm", "coolant flow", 3.785411784e-3 / 60.0),
    ("1 inH2O", "pressure difference", 249.0889),
    ("60 rpm", "rotation", 1.0),
    ("180 deg", "angle", math.pi),
    ("1 rad/s", "rotation", 1.0 / (2.0 * math.pi)),
    ("1 BTU/h/°F", "conductance", 1055.05585262 / 3600.0 * 1.8),
    ("1 BTU/(h °F)", "conductance", 1055.05585262 / 3600.0 * 1.8),
    ("671.67 °R", "temperature", 373.15),  # 212 °F, from 0 °F = 459.67 °R
    ("9 °R", "temperature difference", 5.0),
    ("1 mL/min", "coolant flow", 1e-6 / 60.0),
    ("1 gph", "coolant flow", 3.785411784e-3 / 3600.0),
    ("1 t/h", "mass flow", 1000.0 / 3600.0),
    ("1 MJ/h", "heat rate", 1e6 / 3600.0),
    ("1 atm", "absolute pressure", 101325.0),
    ("1 mH2O", "pump pressure", 9806.65),  # conventional
    ("1 ftH2O", "pump pressure", 2989.067),  # conventional
    ("1 kcal/(kg K)", "specific heat", 4184.0),  # thermochemical
]


@pytest.mark.parametrize(("text", "kind", "si"), EXACT)
def test_conversions_agree_with_their_definitions(text: str, kind: str, si: float) -> None:
    # 1e-6: the printed factors carry seven digits
    assert parse(text, kind).si == pytest.approx(si, rel=1e-6)


TYPED = [
    ("15 psig", "gauge pressure", 103421.36),
    ("16 lb", "gauge pressure", 110316.12),  # as caps are stamped
    ("210 PS", "power", 154454.74),
    ('2 1/4"', "length", 2.25 * 0.0254),
    ("2-1/4 in", "length", 2.25 * 0.0254),
    ("2¼ in", "length", 2.25 * 0.0254),
    ("1/2 in", "length", 0.0127),
    ("50/50", "fraction", 0.5),
    ("60/40", "fraction", 0.6),
    ("9/10", "fraction", 0.9),
    ("1,600 cfm", "air flow", 1600.0 * 0.3048**3 / 60.0),
    ("10,500 lb", "mass", 10500.0 * 0.45359237),
    ("16 lb cap", "gauge pressure", 16.0 * 6894.757293168),
    ("1.1 bar cap", "gauge pressure", 110e3),
    ("0.4 m^2", "area", 0.4),
    ("0.4 m**2", "area", 0.4),
    ("4 1/2 ft^2", "area", 4.5 * 0.3048**2),
    ("1,5 bar", "gauge pressure", 150e3),
    ("400 cfm", "air flow", 0.188779),
    ("3000 rpm", "rotation", 50.0),
    ("88 °C", "temperature", 361.15),
    ('6"', "small length", 0.1524),
    ("18 /in", "pitch", 0.0254 / 18),
    ("18 fpi", "pitch", 0.0254 / 18),
    ("50 %", "fraction", 0.5),
    ("0.5", "fraction", 0.5),
    ("0,5", "fraction", 0.5),
    ("−5 °C", "temperature", 268.15),
    ("1.5e3 kg", "mass", 1500.0),
    (".5 L", "volume", 0.5e-3),
    ("30000 btu/hr", "heat rate", 8792.13),
    ("120 KM/H", "vehicle speed", 33.3333),
    ("5\u00a0m²", "area", 5.0),
    ("0,125 bar", "gauge pressure", 12500.0),
]


@pytest.mark.parametrize(("text", "kind", "si"), TYPED)
def test_what_people_type_is_read(text: str, kind: str, si: float) -> None:
    assert parse(text, kind).si == pytest.approx(si, rel=1e-5)  # the numbers above carry six digits


REFUSED = [
    ("1,234 kg", "mass", "is 1.234 or 1234 meant"),
    ("1.234,5 kg", "mass", "separators of thousands"),
    ("1,234,567 kg", "mass", "separators of thousands"),
    ("9**9**9 m", "length", "not one for a length"),
    ("5 delta degC", "temperature", "not a difference"),
    ("5 Δ°C", "temperature", "not a difference"),
    ("", "mass", "one number"),
    ("abc", "mass", "one number"),
    ("5", "mass", "needs a unit"),
    ("5 ft", "mass", "not one for a mass"),
    ("nan kg", "mass", "one number"),
    ("1e999 kg", "mass", "finite"),
    ("7 kg", "number", "plain number"),
    ("0 /in", "pitch", "more than zero"),
    ("14 psia", "gauge pressure", "not one for"),
    ("x" * 1_000_000, "mass", f"at most {LONGEST_TEXT} characters"),
    ("5 kg kg", "mass", "not one for"),
    ("inf", "number", "one number"),
    ("__import__('os') kg", "mass", "one number"),
]


@pytest.mark.parametrize(("text", "kind", "wanted"), REFUSED)
def test_what_cannot_be_read_is_refused_in_words(text: str, kind: str, wanted: str) -> None:
    with pytest.raises(UnitFault, match=wanted) as caught:
        parse(text, kind, "radiator.x")
    assert caught.value.faults[0].path == "radiator.x"
    assert len(str(caught.value)) < 400


def test_an_uncertainty_of_a_temperature_is_a_difference() -> None:
    assert parse_difference("2 degC", "temperature") == 2.0
    assert parse_difference("9 °F", "temperature") == pytest.approx(5.0, rel=1e-12)


@pytest.mark.parametrize(("per_inch", "size"), [(10.0, 1.0), (18.0, 0.5), (25.4, 2.0)])
def test_an_uncertainty_counted_per_inch_belongs_to_its_pitch(per_inch: float, size: float) -> None:
    pitch = 0.0254 / ufloat(per_inch, size)  # the uncertainties package: linear propagation of its own
    found = parse_difference(f"{size} /in", "pitch", at=pitch.nominal_value)
    assert found == pytest.approx(pitch.std_dev, rel=1e-12)
    assert show_difference(found, "pitch", pitch.nominal_value, UnitSystem.US) == f"{size:g} /in"


def test_an_uncertainty_of_a_pitch_may_be_a_length_or_nothing_but_not_a_count_without_its_value() -> None:
    assert parse_difference("0.1 mm", "pitch", at=0.0254 / 18.0) == pytest.approx(1e-4)
    assert parse_difference("0 /in", "pitch", at=0.0254 / 18.0) == 0.0
    with pytest.raises(UnitFault, match="a length would do"):
        parse_difference("1 /in", "pitch", "radiator.fin_pitch")


@pytest.mark.parametrize(
    ("kind", "si", "said"),
    [("air flow", 1.0, "3600 m³/h"), ("density", 1000.0, "1000 kg/m³"), ("fouling", 0.0002, "0.0002 m² K/W")],
)
def test_powers_in_units_are_raised_wherever_a_number_is_shown(kind: str, si: float, said: str) -> None:
    """Tables printed m3/h where the working printed m³."""
    assert show(si, kind) == said
    assert parse(said, kind).si == pytest.approx(si)


def test_differences_are_shown_as_differences() -> None:
    assert show_difference(1e-4, "pitch", 1.4e-3) == "0.1 mm"
    assert show_difference(5.0, "temperature", 361.15, UnitSystem.US) == "9.0 °F"
    assert show_difference(3000.0, "power", 90e3) == "3 kW"


@given(st.sampled_from(sorted(KINDS)), st.floats(1e-3, 1e5), st.data())
def test_every_unit_converts_there_and_back(kind_name: str, number: float, data: st.DataObject) -> None:
    kind = KINDS[kind_name]
    spellings = [u for u in (*kind.units, *(kind.reciprocal or {})) if u]
    if not spellings:
        assert parse(repr(number), kind_name).si == number
        return
    unit = data.draw(st.sampled_from(spellings))
    text = f"{number:.12f} {unit}"
    assert to_unit(parse(text, kind_name).si, parse(text, kind_name).unit, kind_name) == pytest.approx(number, rel=1e-6)


@given(st.text(max_size=300), st.sampled_from(sorted(KINDS)))
def test_any_text_is_read_or_refused_and_nothing_else(text: str, kind_name: str) -> None:
    try:
        read = parse(text, kind_name).si
    except UnitFault as caught:
        fault = caught
    else:
        assert math.isfinite(read)
        return
    assert fault.faults[0].wanted


@pytest.mark.parametrize("kind", sorted(KINDS))
@pytest.mark.parametrize("system", list(UnitSystem))
def test_what_is_shown_can_be_typed_again(kind: str, system: UnitSystem) -> None:
    if KINDS[kind].name == "count":
        return
    si = 321.0 if "temperature" in kind else 0.321
    shown = show(si, kind, system, digits=6)
    assert parse(shown, kind).si == pytest.approx(si, rel=3e-4)  # temperatures are shown to a tenth of a degree
    assert raised(unit_for(kind, system)) in shown


def test_numbers_for_a_person_carry_no_exponent_and_no_nan() -> None:
    assert plain_number(1234567.0) == "1234567"
    assert plain_number(0.00012345) == "0.000123"
    assert plain_number(float("nan")) == "not known"
    assert plain_number(-0.01, tenths=True) == "0.0"


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("190 to 191 °F.", "190 to 191\u00a0°F."),
        ("by 5 % or 12 K", "by 5\u00a0% or 12\u00a0K"),
        ("0.3 m2 K/W", "0.3\u00a0m2 K/W"),
        ("40 km/h", "40\u00a0km/h"),
        ("3 minutes, 2 kids", "3 minutes, 2 kids"),
        ("page 1 of 7", "page 1 of 7"),
    ],
)
def test_a_number_stays_with_its_unit(text: str, kept: str) -> None:
    assert unbroken(text) == kept
    assert unbroken(text).replace("\u00a0", " ") == text


@pytest.mark.parametrize("typed", ["9 in 10", "9 of 10", "18 out of 20", "9/10", ".9", "90 %", "0,9"])
def test_a_chance_is_read_as_it_is_told(typed):
    assert parse(typed, "fraction").si == pytest.approx(0.9)


def test_no_other_kind_reads_one_number_of_another():
    with pytest.raises(UnitFault):
        parse("9 in 10", "number")
    with pytest.raises(UnitFault):
        parse("9 in 0", "fraction")


@pytest.mark.parametrize(
    ("typed", "area", "unit"),
    [
        ("600 mm x 220 mm", 0.132, "m2"),
        ("600x220 mm", 0.132, "m2"),
        ("60 cm \u00d7 220 mm", 0.132, "m2"),
        ("0,6 * 0,22 m", 0.132, "m2"),
        ("24 in x 9 in", 216 * 0.0254**2, "in2"),
        ('24" x 9"', 216 * 0.0254**2, "in2"),
        ("24 by 9 in", 216 * 0.0254**2, "in2"),
        ("2X1.5ft", 3 * 0.3048**2, "ft2"),
    ],
)
def test_an_area_is_read_from_its_two_sides(typed, area, unit):
    read = parse(typed, "area")
    assert read.si == pytest.approx(area, rel=1e-12)  # definitions: 1 in = 25.4 mm, 1 ft = 0.3048 m
    assert read.unit == unit


@pytest.mark.parametrize(
    "typed", ["600 x 220", "600 mm x", "x 220 mm", "6 x 2 x 1 m", "-6 x -2 m", "0 x 2 m", "6 x 2 kg", "6 x 2 m2"]
)
def test_sides_that_are_none_are_refused_with_what_would_do(typed):
    with pytest.raises(UnitFault, match=r"600 mm x 220 mm|one number"):
        parse(typed, "area")


def test_a_length_is_no_two_sides():
    with pytest.raises(UnitFault):
        parse("600 mm x 220 mm", "length")
