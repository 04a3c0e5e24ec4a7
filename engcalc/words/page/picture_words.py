"""What stands beneath a picture, on the screen and on paper, where no number is put in."""

from __future__ import annotations

CAUSES_CAPTION = "What the sensor would show under each cause, given all that was read; shaded is its range."
TWICE_UNCERTAIN = "The upright bars are twice the standard uncertainty of the measured effectiveness."
CORES_CAPTION = (
    "Each mark is a core that holds every duty. None of them is beaten in size, fan power, margin and both drops."
)
PICK_CORE = "Put into the case"
PICK_HINT = "A click on a mark puts that core into the case, and so do the arrow keys with return. Undo takes it back."
READINGS_CAPTION = "The bar is where nine in ten healthy vehicles of this kind would be at that time."
WARM_EARLY = "and no fault: a healthy thermostat lets the coolant get that warm."
EARLY_CAPTION = "A reading to the right of its bar was warm early; a healthy thermostat lets the coolant get that warm."
RING_CAPTION = "The ring is the reading, corrected for its instrument; the whisker is how far that may be off."
WORD_CAPTION = "The dark bar is what a word stands for, of gauge or hand."
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
    "The way takes what grille, core and exit cost, less what ram and draught give: on the road it begins below zero. "
    "The air behind the core is as warm as in this duty."
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
RAN_AS = "How it ran, as simulated: {source}."
HOSES_CAPTION = "Hoses as their surface feels, the vent with the heater as noted."
ALONG_BENCH_CAPTION = (
    "From the end at which the hot stream enters, by shares of the area. Where the streams come nearest, the "
    "least heat passes."
)
HEATER_TAKES_NOTHING = "The heater takes nothing here."
WAY_OF_THE_FUEL = "{percent} % of the fuel's heat goes into the engine's metal and from there into the coolant."
AUXILIARY_BESIDE = "The cabin gets another {heat} from its auxiliary heater."
WILSON_CAPTION = (
    "The band is where the line may lie, 95 %. It meets the axis at the resistances that stay the same. "
    "Upright bars: expanded uncertainty of each point, coverage factor {k_p} = {k:g}."
)
LEFT_OUT = "left out"
COMPUTED_BENCH_CAPTION = (
    "Computed with {what} at each point's flows, so that it may differ from what was measured. Upright bars: "
    "expanded uncertainty, coverage factor {k_p} = {k:g}."
)
BENCH_CURVES_CAPTION = "Curves of this arrangement ({arrangement}); NTU = {UA}/{C_min}, {C_r} = {C_min}/{C_max}."
RESISTANCE_TOLD = "Shares of the thermal resistance: {shares}."
MEASURED_POINTS_TOLD = "Effectiveness over NTU of the measured points. {points}."
CURVES_CAPTION = (
    "Curves for this arrangement, {arrangement}; NTU = {UA}/{C_min}, {C_r} = {C_min}/{C_max}, effectiveness = heat over the "
    "most that the smaller stream could take."
)
POINT_ON_CURVES_TOLD = (
    "Effectiveness over NTU. The operating point lies at NTU {ntu}, {C_r} {cr}, effectiveness {effectiveness}."
)
MOST_OF_IT = "{what} hold most of it. Conductance: {conductance}."
F_CHART_CAPTION = (
    "P: rise of the cold stream's temperature over the difference of both inlets. {R_chart}: fall of the hot stream's "
    "over that rise. Where a curve falls steeply, F read to {digits:g} is a poor guide, and the NTU the better way."
)
LEAST_CORE_TOLD = "The least is {core}, with {margin} of margin."
FRONT_TOLD = "{title}: margin over volume. {least} {many} larger ones go up to {largest}."
READINGS_OF_PLACES = "Readings against a healthy vehicle"
READINGS_TOLD = "Readings against a healthy vehicle. {readings}."
RIG_TOLD = "Measured over computed, less one. {points}."
SWEEP_SETTLES = "The curve is where the coolant settles{mean}."
MAP_SETTLES = "It counts from where the coolant settles{top}."
COURSE_TOLD = "Coolant out of the engine over {axis}: {ends}. {drawn}{where}{boils}"
MAP_TOLD = "Margin over {x} and {y}, from {low} to {high}; the limit is broken on {percent} % of the map."
ALONG_TUBES_TOLD = (
    "The coolant goes from {hot} to {cooled}, the air from {fresh} to {one_end} at one end and to {other_end} "
    "at the other."
)
LUMP_CAPTION = (
    "Metal and coolant as one lump of {capacity} kJ/K in the heat of this duty, the fan as in the settled one."
    " About where it settles the time constant is {constant}."
)
CURVES_MEET = "Both curves meet at {at}."
PEAKS_TOLD = "The coolant peaks {far} {side} its limit."
THIN_BAR_CAPTION = "The thin bar is where nine in ten vehicles with these inputs would lie.{not_drawn}"
RECORD_LEAVES = "{shaded} The record leaves it {side} from {at} on."
ENDS_TOLD = "{courses}; a healthy vehicle ends between {low} and {high}."
RECORD_STAYS = "{shaded} The record stays within it."
RECORD_ENDS_OUTSIDE = "{shaded} The record ends {side} it, not long or far enough to count."
RESIDUAL_CAPTION = "Fitted by what nobody measured, with a healthy valve: {rms} rms. The record {parting}."
RESIDUAL_TOLD = "Residual of {rms} rms over the record, which {parting}."
