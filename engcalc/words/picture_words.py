"""What stands beneath a picture, on the screen and on paper, where no number is put in."""

from __future__ import annotations

CAUSES_CAPTION = "What the sensor would show under each cause, given all that was read; shaded is its range."
TWICE_UNCERTAIN = "The upright bars are twice the standard uncertainty of the measured effectiveness."
CORES_CAPTION = (
    "Each mark is a core that holds every duty. None of them is beaten in size, margin and both pressure drops."
)
READINGS_CAPTION = "The bar is where nine in ten healthy vehicles of this kind would be at that time."
WARM_EARLY = "That is no fault: a healthy thermostat lets the coolant get that warm."
EARLY_CAPTION = "A reading to the right of its bar was warm early; a healthy thermostat lets the coolant get that warm."
RING_CAPTION = "The ring is the reading, corrected for its instrument; the whisker is how far that may be off."
WORD_CAPTION = "The dark bar is what the word of the gauge stands for."
RIG_CAPTION = (
    "The whisker is twice the standard uncertainty of the measurement. Computed from dimensions alone a core "
    "is known to +24/-10 %."
)
PROOF_CAPTION = "Dashed: before. Solid: after. Shaded: nine in ten healthy vehicles like this one, second drive."
SO_FAR_CAPTION = (
    "Dashed: before, drawn where as much heat had been put into the engine. Solid: after, so far. Shaded: nine in ten "
    "healthy vehicles like this one, this drive."
)
NO_STEADY_STATE = "This duty has no steady state that could be drawn: see the reasons."
NO_HEAT = "No heat flows in this duty."
SENSITIVITY_CAPTION = "Change of the coolant out of the engine when one input rises, all else as it is."
PRESSURE_CAPTION = "Share of the driving pressure that each part takes."
GAIN_CAPTION = "Gain in margin under the limit of one change alone, all else as it is."
AIR_WAY_CAPTION = (
    "The way takes what grille, core and exit cost, less what ram and draught give: so it begins below zero on"
    " the road. Drawn with air as warm behind the core as in this duty; the point is the engine's own."
)
CIRCUIT_CAPTION = (
    "The circuit takes what the engine's jacket and the branches cost together: radiator with its valve as it "
    "stands in this duty, heater, bypass."
)
ALONG_TUBES_CAPTION = (
    "Along the tubes from the coolant's inlet: the coolant, mean over the depth; the air as it leaves there; "
    "the air as it comes."
)
WOULD_SETTLE = "Drawn is where the coolant would settle. Within the duty's time it boils."
WARMUP_CAPTION = "Shaded: nine in ten healthy vehicles like this one."
HOSES_CAPTION = "Hoses as their surface feels, the vent with the heater as noted."
ALONG_BENCH_CAPTION = (
    "From the end at which the hot stream enters, by shares of the area. Where the streams come nearest, the "
    "least heat passes."
)
HEATER_TAKES_NOTHING = "The heater takes nothing here."
