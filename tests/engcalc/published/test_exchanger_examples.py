"""Worked examples of textbooks on heat exchangers, done with this program's exchanger.

The hot stream stands for the coolant and the cold one for the air throughout (see ``exchanger``), whatever they are in
the book. Numbers are those of the examples as their readers transcribed them for the Python Textbook Companion; slips
in print are named beside the example. Where the book reads an effectiveness or a correction off a chart, the tolerance
is what such a reading is worth: one in the last printed digit, or what the example says of it.
"""

from __future__ import annotations

import numpy as np
import pytest

from engcalc.components.exchanger import (
    LMTD,
    Arrangement,
    NTU_from_effectiveness,
    conductance_from_effectiveness,
    effectiveness,
    exchange,
)
from engcalc.components.flat_tube import Nu_gnielinski
from engcalc.properties.coolant import Base, CoolantMixture

A = Arrangement
ENDLESS = 1e12  # W/K; capacity rate of a stream that condenses: its temperature does not change


def cp_of_water(celsius: float) -> float:
    return float(CoolantMixture(Base.WATER, np.zeros(1)).state(np.array([celsius + 273.15])).cp[0])


def test_the_radiator_of_a_car() -> None:
    # Y. A. Cengel, Heat and Mass Transfer: A Practical Approach, Ex. 11-6: water 0.6 kg/s from 90 to 65 degC, air 20 to
    # 40 degC, 40 tubes of 5 mm inside by 0.65 m. Printed: 62.93 kW, 47.5 K for counterflow, 3,347 W/(m2 K) with a
    # correction of 0.97 off the chart for both streams unmixed.
    Q = 0.6 * cp_of_water(77.5) * 25.0
    assert 0.6 * cp_of_water(77.5) * 25.0 == pytest.approx(62_925.0, rel=1e-3)  # the book's 4,195 J/(kg K)
    assert LMTD(50.0, 45.0)[0] == pytest.approx(47.4561079051, rel=1e-10)
    C_hot, C_cold = Q / 25.0, Q / 20.0
    inner = 40 * np.pi * 0.005 * 0.65
    found = conductance_from_effectiveness(25.0 / 70.0, C_hot, C_cold, A.BOTH_UNMIXED)
    assert found.UA[0] / inner == pytest.approx(3347.0, rel=0.01)  # 0.97 stands for 0.965 to 0.975, cp for 0.1 %
    back = exchange(found.UA, C_hot, C_cold, 363.15, 293.15)
    assert (back.T_hot_out[0], back.T_cold_out[0]) == pytest.approx((338.15, 313.15), abs=1e-6)


def test_a_condenser() -> None:
    # Cengel Ex. 11-3: steam at 30 degC, 45 m2 of 2,100 W/(m2 K), water 14 to 22 degC. Printed: 11.54 K, 1,090.7 kW,
    # 32.58 kg/s (cp 4,184)
    assert LMTD(16.0, 8.0)[0] == pytest.approx(11.5415603271, rel=1e-11)
    done = exchange(45.0 * 2100.0, ENDLESS, 32.5847708805 * 4184.0, 303.15, 287.15, A.COUNTERFLOW)
    assert done.Q[0] == pytest.approx(1_090_677.45, rel=1e-7)
    assert done.T_cold_out[0] == pytest.approx(295.15, abs=1e-5)


def test_water_warmed_by_brine_in_counterflow() -> None:
    # Cengel Ex. 11-8: water 1.2 kg/s (4.18) from 20 to 80 degC by geothermal brine 2 kg/s (4.31) at 160 degC, 640
    # W/(m2 K), tube of 15 mm. Printed: effectiveness 0.4286, NTU 0.652, 5.11 m2, 108 m.
    C_cold, C_hot = 1.2 * 4180.0, 2.0 * 4310.0
    size = NTU_from_effectiveness(60.0 / 140.0, C_cold / C_hot, A.COUNTERFLOW)
    assert size.NTU[0] == pytest.approx(0.652362199516, rel=1e-10)
    area = conductance_from_effectiveness(60.0 / 140.0, C_hot, C_cold, A.COUNTERFLOW).UA[0] / 640.0
    assert area == pytest.approx(5.11288873871, rel=1e-10)
    assert area / (np.pi * 0.015) == pytest.approx(108.0, abs=0.6)  # 108.5, printed without its decimals


def test_exhaust_gas_to_water() -> None:
    # Incropera, DeWitt, Bergman, Lavine, Fundamentals of Heat and Mass Transfer, Ex. 11.3, p. 692: finned tubes, both
    # unmixed, water 1 kg/s (4,197) from 35 to 125 degC, gas (1,000) 300 to 100 degC. Read off Fig. 11.14 at 0.75 and
    # 0.45: NTU 2.1, so 39.7 m2 at 100 W/(m2 K).
    C_cold = 4197.0
    C_hot = C_cold * 90.0 / 200.0
    eps = 200.0 / 265.0
    found = conductance_from_effectiveness(eps, C_hot, C_cold, A.BOTH_UNMIXED)
    assert eps == pytest.approx(0.75, abs=5e-3)
    assert found.UA[0] / C_hot == pytest.approx(2.1, abs=0.05)
    assert found.UA[0] / 100.0 == pytest.approx(39.66, abs=39.66 * 0.05 / 2.1)


def test_a_compact_core_between_gas_and_water() -> None:
    # Incropera Ex. 11.6, p. 702: water 1 kg/s (4,184) from 290 to 370 K, gas 1.25 kg/s (1,075) at 825 K, both unmixed.
    # Printed: effectiveness 0.47, NTU 0.65 off Fig. 11.14; with 95.55 W/(m2 K) and 269 m2 for each m3 a core of
    # 0.034 m3. The exact NTU at the effectiveness as computed, 0.4656, is 0.699: the chart is read 0.05 low.
    C_hot, C_cold = 1.25 * 1075.0, 4184.0
    eps = C_cold * 80.0 / (C_hot * 535.0)
    assert eps == pytest.approx(0.47, abs=5e-3)
    UA = conductance_from_effectiveness(eps, C_hot, C_cold, A.BOTH_UNMIXED).UA[0]
    assert UA / C_hot == pytest.approx(0.65, abs=0.05)
    volume = UA / 95.55 / 269.0
    assert volume == pytest.approx(0.034, abs=0.034 * 0.05 / 0.65 + 5e-4)


OIL, STEAM = 1900.0, 1860.0  # J/(kg K)


def test_oil_warmed_by_steam_at_half_its_flow() -> None:
    # J. P. Holman, Heat Transfer, Ex. 10-8 and 10-9: 275 W/(m2 K), 10.83 m2, crossflow, steam (hot) mixed; oil from 15
    # to 85 degC by steam 130 to 110 degC is 193.44 kW at full flow. At half the oil's flow the book reads an
    # effectiveness of "approximately 0.8" off its chart and finds 34 % less heat. Its formula (Table 10-3) gives 0.831
    # and 32 %.
    C_steam = 5.2 * STEAM
    C_oil = 193_440.0 / 70.0
    full = conductance_from_effectiveness(70.0 / 115.0, C_steam, C_oil, A.COOLANT_MIXED)
    assert full.UA[0] == pytest.approx(275.0 * 10.83, rel=0.03)  # the book's 10.83 m2 come of F = 0.97 off a chart
    half = exchange(275.0 * 10.83, C_steam, 0.725 * OIL, 403.15, 288.15, A.COOLANT_MIXED)
    assert half.effectiveness[0] == pytest.approx(0.8, abs=0.05)
    assert 1.0 - half.Q[0] / 193_440.0 == pytest.approx(0.34, abs=0.34 * 0.05 / 0.8 + 5e-3)


def test_a_finned_coil_of_a_duct() -> None:
    # Holman Ex. 10-11: air from 15.55 to 29.44 degC takes 40.33 kW of water at 82.22 degC, 227 W/(m2 K) on 9.29 m2,
    # both unmixed. By trial the book ends at 660 W/K for the water (effectiveness 0.92 of its chart) and 21.1 degC. The
    # exact effectiveness there is 0.906: the chart is read 0.014 high, and heat and outlet with it.
    C_air = 40_330.0 / (29.44 - 15.55)
    done = exchange(227.0 * 9.29, 660.0, C_air, 355.37, 288.70, A.BOTH_UNMIXED)
    assert done.effectiveness[0] == pytest.approx(0.92, abs=0.015)
    assert done.Q[0] == pytest.approx(40_330.0, rel=0.015 / 0.92)
    assert done.T_hot_out[0] - 273.15 == pytest.approx(21.1, abs=0.015 * 66.67)


FOOT, BTU_H, RANKINE = 0.3048, 0.2930711, 5.0 / 9.0  # m, W, K


def test_glycol_warmed_in_a_double_pipe() -> None:
    # W. S. Janna, Engineering Heat Transfer, Ex. 9.3, p. 463: water 5,000 lb/h at 195 degF in a tube 0.1076 ft inside
    # and 1.375 in outside, ethylene glycol 12,000 lb/h at 85 degF in the annulus to 0.1674 ft, 20 ft, counterflow.
    # Printed: the glycol leaves at 99.4 degF. The book's films are those of Dittus and Boelter; ours are Gnielinski's,
    # which agree with them within some 10 % there (both correlations claim no more), on the book's equivalent diameter.
    inner, outer, shell, length = 0.1076, 1.375 / 12, 0.1674, 20.0  # ft
    equivalent = (shell**2 - outer**2) / outer
    water = 5000 / 3600 / (0.985 * 62.4 * np.pi / 4 * inner**2)  # ft/s
    glycol = 12000 / 3600 / (1.087 * 62.4 * np.pi / 4 * (shell**2 - outer**2))
    h_water = Nu_gnielinski(np.array([water * inner / 0.514e-5]), np.array([3.02])) * 0.376 / inner
    h_glycol = Nu_gnielinski(np.array([glycol * equivalent / 5.11e-5]), np.array([51.0])) * 0.150 / equivalent
    UA = np.pi * outer * length / (outer / (h_water * inner) + 1.0 / h_glycol)  # Btu/(h R)
    per_kelvin = BTU_H / RANKINE
    done = exchange(
        UA * per_kelvin,
        5000 * 0.9994 * per_kelvin,
        12000 * 0.612 * per_kelvin,
        195.0 * RANKINE,
        85.0 * RANKINE,
        A.COUNTERFLOW,
    )
    assert done.T_cold_out[0] / RANKINE == pytest.approx(99.4, abs=0.1 * 14.4)


def test_an_oil_cooler_in_air() -> None:
    # Janna Ex. 9.7, p. 499: oil 39.8 lb/min (0.509) from 190 to 158 degF, air 67 lb/min (0.241) from 126 to 166 degF,
    # both unmixed. Printed: 1,602 Btu/(h R) with a correction of 0.87, effectiveness 0.62, both off Fig. 9.21; outlets
    # 165.7 and 158.0 degF.
    per_kelvin = 60.0 * BTU_H / RANKINE
    C_oil, C_air = 39.8 * 0.509 * per_kelvin, 67.0 * 0.241 * per_kelvin
    UA = 1602.0 * BTU_H / RANKINE
    done = exchange(UA, C_oil, C_air, 190.0 * RANKINE, 126.0 * RANKINE, A.BOTH_UNMIXED)
    assert done.effectiveness[0] == pytest.approx(0.62, abs=0.01)
    assert done.T_cold_out[0] / RANKINE == pytest.approx(165.7, abs=0.01 * 64.0)
    assert done.T_hot_out[0] / RANKINE == pytest.approx(158.0, abs=0.01 * 64.0)


def test_two_liquids_in_parallel_flow() -> None:
    # R. C. Sachdeva, Fundamentals of Engineering Heat and Mass Transfer, Ex. 12.12, p. 524: 250 kg/h (3,350) at 120
    # degC, water 1,000 kg/h (4,186) at 10 degC, 1,160 W/(m2 K), 0.25 m2. Printed: 0.647, 24.23 and 48.87 degC.
    done = exchange(1160.0 * 0.25, 250 * 3350 / 3600, 1000 * 4186 / 3600, 393.15, 283.15, A.PARALLEL)
    assert done.effectiveness[0] == pytest.approx(0.647, abs=5e-4)
    assert done.T_cold_out[0] - 273.15 == pytest.approx(24.23, abs=0.01)
    assert done.T_hot_out[0] - 273.15 == pytest.approx(48.87, abs=0.06)  # from the effectiveness as rounded


def test_air_cooled_by_water() -> None:
    # Sachdeva Ex. 12.15, p. 530: air 4,000 kg/h (1,010) at 40 degC, water 4,600 kg/h (4,180) at 5 degC, 150 W/(m2 K),
    # 25 m2. Printed: water out 11.8, air out 7.8 degC, which is the effectiveness 0.92 of both streams unmixed.
    done = exchange(150.0 * 25.0, 4000 * 1010 / 3600, 4600 * 4180 / 3600, 313.15, 278.15, A.BOTH_UNMIXED)
    assert done.T_cold_out[0] - 273.15 == pytest.approx(11.8, abs=0.05 + 0.01 * 7.4)
    assert done.T_hot_out[0] - 273.15 == pytest.approx(7.8, abs=0.05 + 0.01 * 35.0)


def test_water_to_water_in_parallel_flow() -> None:
    # J. H. Lienhard, A Heat Transfer Textbook, Ex. 3.5, p. 112: 20 and 10 kW/K, 40 and 150 degC, 500 W/(m2 K), 30 m2.
    # Printed: 0.596, 655.6 kW, 84.44 and 72.78 degC, all from the effectiveness as rounded.
    done = exchange(15_000.0, 10_000.0, 20_000.0, 423.0, 313.0, A.PARALLEL)
    assert done.effectiveness[0] == pytest.approx(0.596, abs=5e-4)
    assert done.Q[0] == pytest.approx(655.6e3, abs=5e-4 * 1.1e6)
    assert done.T_hot_out[0] - 273.0 == pytest.approx(84.44, abs=0.06)
    assert done.T_cold_out[0] - 273.0 == pytest.approx(72.78, abs=0.03)


@pytest.mark.parametrize(
    ("arrangement", "ends", "mean", "area"),
    [
        (A.PARALLEL, (47.0, 26.0), 35.4699026617, 0.397731567932),
        (A.COUNTERFLOW, (41.0, 32.0), 36.3143018164, 0.38848330532),
    ],
)
def test_the_same_duty_in_parallel_and_in_counterflow(
    arrangement: Arrangement, ends: tuple[float, float], mean: float, area: float
) -> None:
    # S. K. Som, Introduction to Heat Transfer, Ex. 10.1, p. 415: water 0.18 kg/s (4,180) from 55 to 40 degC, water from
    # 8 to 14 degC, 800 W/(m2 K). Printed with a logarithm good to 3e-7.
    C_hot, Q = 0.18 * 4180.0, 11_286.0
    assert LMTD(*ends)[0] == pytest.approx(mean, rel=5e-7)
    found = conductance_from_effectiveness(15.0 / 47.0, C_hot, Q / 6.0, arrangement)
    assert found.UA[0] / 800.0 == pytest.approx(area, rel=5e-7)


def test_water_cooled_by_water() -> None:
    # S. P. Sukhatme, A Textbook on Heat Transfer, Ex. 7.4a, p. 302: 10 kg/min from 70 to 50 degC by 25 kg/min at 25
    # degC, parallel flow, 1,600 W/(m2 K) on either side. Printed: 28.757 K, 0.6055 m2. Heat capacities are ours.
    C_hot, C_cold = 10 / 60 * cp_of_water(60.0), 25 / 60 * cp_of_water(29.0)
    cold_out = 25.0 + 20.0 * C_hot / C_cold
    assert LMTD(45.0, 50.0 - cold_out)[0] == pytest.approx(28.7569, abs=0.01)  # tables of steam agree to 0.1 % in cp
    found = conductance_from_effectiveness(20.0 / 45.0, C_hot, C_cold, A.PARALLEL)
    assert found.UA[0] / 800.0 == pytest.approx(0.6055, rel=2e-3)


def test_a_plate_heater_for_a_gas_turbine() -> None:
    # F. Kreith, R. M. Manglik, M. S. Bohn, Principles of Heat Transfer, Ex. 8.3, p. 511: air 0.75 kg/s (1,047) at 290
    # K, gas 0.6 kg/s (1,101) at 1,150 K, both unmixed. At the effectiveness 0.13 of its chart: gas 1,038, air 384 K.
    C_gas, C_air = 0.6 * 1101.0, 0.75 * 1047.0
    UA = conductance_from_effectiveness(0.13, C_gas, C_air, A.BOTH_UNMIXED).UA
    done = exchange(UA, C_gas, C_air, 1150.0, 290.0, A.BOTH_UNMIXED)
    assert done.T_hot_out[0] == pytest.approx(1038.0, abs=0.5)
    assert done.T_cold_out[0] == pytest.approx(384.0, abs=0.5)
    assert effectiveness(UA / C_gas, C_gas / C_air, A.BOTH_UNMIXED)[0] == pytest.approx(0.13, rel=1e-9)
