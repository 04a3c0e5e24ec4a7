"""What every report ends with, in words: what was taken for granted, how sure the numbers are, where they come from."""

from __future__ import annotations

ASSUMPTIONS = (
    "A duty without a duration lasts until the temperatures settle; a short one may stay cooler than shown.",
    "Coolant is mixed evenly, and the air is spread evenly over the open part of the core.",
    "Air and coolant properties count at the temperatures of each duty; above 100 °C those of glycol mixtures continue "
    "the tables by a rule of ours, checked against published tables to 125 °C.",
    (
        "Once all has settled, what the radiator's hoses lose counts as heat of the radiator; what the "
        "heater's hoses lose counts by itself. In a warm-up each hose counts by itself."
    ),
    "A trailer adds its weight, and drag with its own frontal area and drag coefficient; a headwind adds to the speed "
    "of the air for both.",
)
SOURCES = (
    "Engine: Willans line and heat to the coolant, Heywood, Internal Combustion Engine Fundamentals (1988).",
    "Air side of the core: Chang & Wang, Int. J. Heat Mass Transfer 40 (1997) 533; friction: Chang, Hsu, Lin & Wang, "
    "ibid. 43 (2000) 2237 with the blend of Chang, Chang, Li & Wang, ibid. 49 (2006) 4250.",
    "Coolant side: Shah & London, Laminar Flow Forced Convection in Ducts (1978); Gnielinski, Int. Chem. Eng. 16 "
    "(1976) 359 and Int. J. Heat Mass Transfer 63 (2013) 134.",
    "Effectiveness and NTU: Shah & Sekulic, Fundamentals of Heat Exchanger Design (2003); Baclic, ASME J. Heat "
    "Transfer 100 (1978) 746.",
    "Accuracy of a core predicted from its dimensions, +24/-10 %: Ng, Johnson & Watkins (2005).",
    "Coolant properties: CoolProp (water: IAPWS-95; glycols: tables of the ASHRAE Handbook, Fundamentals).",
    "Air-to-boil: SAE J1393.",
    "Air by altitude: ISO 2533. Uncertainty: JCGM 101.",
)

FILLED_ON_BENCH = "Assumed where nothing was entered."
FILLED_LEAD = (
    "Typical values of the class, assumptions, and what follows from other inputs. Nobody measured these here."
)
SPEED_GUESSED_IN = "The engine speed was not given and is a guess from speed and load in: {duties}."
SPREADS_DRAWN = (
    "For odds and spreads many vehicles like this one were computed. Each input with an uncertainty "
    "varied in them, and so did the conductance of the core. A probability is to the nearest 5 %."
)
SPREADS_NOT_DRAWN = "Odds and spreads were not computed for this report."
CORE_SCALED = "A maker's point scales the core; 5 % of its conductance is left as uncertain."
CORE_FROM_DIMENSIONS = "The conductance of a core predicted from its dimensions may be off by +24 to -10 %."
ALL_IN_RANGE = "Every formula was used within the range of its data."
CONTINUED = "The formulas were continued there; trust these less."
