"""What the studies say: changes to try, tables of parts, laps, sweeps."""

# engcalc/studies/bench/check.py
TEMPERATURES_AT_WHICH_THE_FLUID = "temperatures at which the fluid has properties ({error})"
THESE_NUMBERS_DO_NOT_SETTLE_THE_OTHERS = (
    "these numbers do not settle the others: another choice of what is known would do"
)
NO_EXCHANGER_OF_THIS_ARRANGEMENT_DOES_THAT = (
    "no exchanger of this arrangement does that: other temperatures or flows would do"
)
SUBSTANCE_HAS_NO_PROPERTIES_AT_THESE = "a substance has no properties at these temperatures: others would do"
SPECIFIC_HEATS_AND_TEMPERATURES_DO = "specific heats and temperatures do not come to rest: other numbers would do"

# engcalc/studies/by_design.py
PUMP_STANDS_WHEN_COLD = "pump stands when cold"

# engcalc/studies/choice/candidates.py
NAME_OUT_OF_THE_TABLES_WOULD_DO = "a name out of the tables would do"
SEVERAL_PARTS_HAVE_THIS_NAME = "several parts have this name: rename one"

# engcalc/studies/choice/changes.py
IN_THE_WAY = (
    "In this duty the fans move no air but stand in its way. A wider way through helps; flaps in the shroud open "
    "one too."
)
ONE_MORE_ROW_OF_TUBES = "one more row of tubes, the core that much deeper"
MORE_FINS_TO_THE_INCH = "20 % more fins to the inch"
CLOSER_FINS_CLOG_SOONER_WITH_DIRT = "Closer fins clog sooner with dirt and insects."
RADIATORS_FACE_CLEANED = "the radiator's face cleaned"
BLOCKED_TUBES_CLEARED = "the blocked tubes cleared, or a new core of the same size"
DEPOSITS_IN_THE_TUBES_FLUSHED_OUT = "the deposits in the tubes flushed out"
ELECTRIC_FAN_OF_THE_USUAL_SIZE = "an electric fan of the usual size"
ONE_MORE_FAN_OF_THE_SAME_KIND = "one more fan of the same kind"
FAN_OF_25_MORE_FLOW = "a fan of 25 % more flow"
SAME_FAN_TURNED_25_FASTER_ASKS = "The same fan turned 25 % faster asks for twice the power."
SHROUD_OVER_THE_WHOLE_FACE = "a shroud over the whole face"
SEALS_BETWEEN_GRILLE_AND_CORE_PUT_BACK = "the seals between grille and core put back"
GRILLE_OPENING_25_LARGER = "a grille opening 25 % larger"
MORE_ROOM_FOR_THE_AIR_TO_LEAVE_BEHIND = "25 % more room for the air to leave behind the core"
HALF_THE_HOT_AIR_COMING_ROUND_AGAIN = "half the hot air coming round again"
GRILLE_SHUTTER_OPEN = "the grille shutter open"
MOVED_OUT_OF_THE_RADIATORS_AIR = "{name} moved out of the radiator's air"
PUMP_TURNING_25_FASTER = "the pump turning 25 % faster"
FASTER_PUMPS_CAVITATE_SOONER_AT_HIGH = "Faster pumps cavitate sooner at high engine speed: check the new speed for it."
PUMP_OF_25_MORE_FLOW = "a pump of 25 % more flow"
COOLANT_FREE_OF_AIR = "the coolant free of air"
ONE_MORE_PASS_THROUGH_THE_SAME_CORE = "one more pass through the same core"
MIXTURE_OF_GLYCOL = "a mixture of {less_glycol:.0%} glycol"
PROTECTS_FROM_FROST_LESS_FAR = "Protects from frost less far, and from corrosion less; mind the coldest day."
LESS_FUEL_IN_THIS_DUTY = "10 % less fuel in this duty"
LESS_POWER_IN_THIS_DUTY = "10 % less power in this duty"
SLOWER_IN_THIS_DUTY = "10 % slower in this duty"
TRAILER_LIGHTER_BY_A_QUARTER = "a trailer lighter by a quarter"
GIVEN_A_COOLER_OF_ITS_OWN = "{name} given a cooler of its own"
CAP_OF_0_3_BAR_MORE = "a cap of 0.3 bar more"
ONLY_WHERE_THE_MAKER_ALLOWS_IT = "Only where the maker allows it: hoses, tank and heater core bear the pressure too."
THERMOSTAT_THAT_OPENS_FULLY = "a thermostat that opens fully"
THERMOSTAT_RATED_10_K_LOWER = "a thermostat rated 10 K lower"
IT_CHANGES_WARM_UP_AND_THE_HEATER = "It changes warm-up and the heater; it adds no cooling once it stands fully open."
EXTRA_HEAT_SOURCE = "extra heat source {i}"

# engcalc/studies/choice/core_builds.py
IN_THE_PROPORTIONS_OF_THE_ROOM = "in the proportions of the room"
OVER_THE_WHOLE_WIDTH_OF_THE_ROOM = "over the whole width of the room"
ROOM_FOR_A_CORE_NEEDS_ALL_THREE = "the room for a core needs all three: height, width, depth"
HEIGHT_X_WIDTH_X_DEPTH_WOULD_DO = 'height x width x depth would do, such as "450 x 650 x 60 mm"'
AT_MOST_WOULD_DO = "at most {mm} would do: the room for the core is no larger"

# engcalc/studies/duties/cycle.py
LEG_OF_A_CYCLE_NEEDS_ITS_DURATION = "a leg of a cycle needs its duration"
AT_LEAST_ONE_DUTY_WITH_A_DURATION_WOULD_DO = "at least one duty with a duration would do"

# engcalc/studies/choice/heat_points.py
HEAT_POINTS_EXAMPLE = "60 L/min@3 m/s@25 kW@60 K; 120 L/min@6 m/s@44 kW@60 K"
FLOWS_HEATS_AND_DIFFERENCES_ABOVE_0_WOULD_DO = "flows, heats and differences above 0 would do"

# engcalc/studies/duties/lap_file.py
TIME_IN_SECONDS = "a time in seconds"
TABLE_OF_SHORT_CELLS_WOULD_DO = "a table of short cells would do; {error}"
LINE_OF_HEADS_AND_3_TO_ROWS_WOULD_DO = "a line of heads and 3 to {most_rows} rows would do"
ONE_COLUMN_OF_WOULD_DO = "one column of {key} would do"
WITH_ITS_UNIT_IN_THE_HEAD_WOULD_DO = "{key} with its unit in the head would do: {units}"
COLUMN_IS_MISSING = "a column {key} [{example}] is missing"
MORE_THAN_S_WOULD_DO = "more than {time:g} s would do"
ONE_LAP_OF_AT_MOST_MIN_WOULD_DO = "one lap of at most {longest:.0f} min would do"

# engcalc/studies/choice/least_core.py
AT_LEAST_MM_DEEP_AND_MM_HIGH_WOULD_DO = "at least {tube_widths:.0f} mm deep and {pitch:.1f} mm high would do"
SEARCH_FOR_THE_LEAST_CORE_WAS_CANCELLED = "the search for the least core was cancelled"

# engcalc/studies/members.py
WORK_WAS_CANCELLED = "the work was cancelled"

# engcalc/studies/choice/part_curves.py
FAN_POINTS_EXAMPLE = "0 m3/h@220 Pa; 1500 m3/h@140 Pa; 2400 m3/h@0 Pa"
PUMP_POINTS_EXAMPLE = "100 L/min@95 kPa@5000 rpm; 160 L/min@60 kPa@5000 rpm"
SPEEDS_ABOVE_0_WOULD_DO = "speeds above 0 would do"
TO_POINTS_WOULD_DO = '{least_points} to {most_points} points would do, such as "{example}"'
POINT_AS_IN_WOULD_DO = 'a point as in "{example}" would do'
POINTS_OF_AT_LEAST_TWO_FLOWS = (
    "points of at least two flows, none below 0, whose pressure falls as the flow rises, would do"
)
FLOW_ABOVE_0_WOULD_DO = "a flow above 0 would do: it tells what the circuit is"

# engcalc/studies/duties/ready_duties.py
DYNO_PULL_BLOWER_OF_50_KM_H = "Dyno pull, blower of 50 km/h"
HILL_8_AT_60_KM_H = "Hill, 8 % at 60 km/h"
TRAILER_OF_1500_KG = "Trailer of 1500 kg, 6 % at 80 km/h"
PASS_AT_2500_M = "Pass at 2500 m, 7 % at 60 km/h"
WAY_TO_THE_GRID = "Way to the grid"

# engcalc/studies/refill.py
SCALE_AND_COOLANT = "scale and coolant: water has no refractometer scale; ethylene or propylene glycol would do"
TANK_OR_RADIATOR_CAP = "tank or radiator cap"
THERMOSTAT_AT_THE_ENGINES_OUTLET = "thermostat at the engine's outlet"
THERMOSTAT_AT_THE_PUMPS_INLET = "thermostat at the pump's inlet"

# engcalc/studies/rig.py
HOT_STREAM_GIVES_OFF_AND_THE_COLD = (
    "the hot stream gives off {hot} and the cold one takes up {cold}. At these flows and inlets no exchanger "
    "passes on more than {most}. Flows and temperatures at which both heats agree below that would do. The cold "
    "stream is taken for air through the radiator; if it is another fluid, name both fluids and the arrangement of "
    "the exchanger on the bench"
)

# engcalc/studies/spread/sensitivity.py
PER_10_OF_THE_VALUE = "per 10 % of the value"
PER_10_OF_ITS_USUAL_RANGE = "per 10 % of its usual range, from zero"
FOLLOWS_FROM_OTHER_INPUTS = "follows from other inputs"
OTHER_INPUTS_THAT_WERE_TYPED_HOLD = "other inputs that were typed hold it where it is"
AIR_FILM_AND_FINS = "air film and fins"
DEPOSITS_IN_THE_TUBES = "deposits in the tubes"
GRILLE_COOLERS_AHEAD = "grille, coolers ahead, engine bay"

# engcalc/studies/choice/sizing.py
ANY_CONDUCTANCE_HOLDS_IT = "any conductance holds it"
NO_CONDUCTANCE_HOLDS_IT = "no conductance holds it: the flows alone fall short"
SIZING_WAS_CANCELLED = "the sizing was cancelled"
CASE_HAS_NO_SUCH_ITEM = "the case has no such item: enter one first"

# engcalc/studies/spread/spread_study.py
COOLANT_OUT_OF_THE_ENGINE = "Coolant out of the engine, hottest"
HEAT_OF_THE_RADIATOR = "Heat of the radiator"
CONDUCTANCE_OF_THE_RADIATOR = "Conductance of the radiator"
AIR_THROUGH_THE_CORE = "Air through the core"
RISE_OF_THE_COOLANT_IN_THE_ENGINE = "Rise of the coolant in the engine"
RISE_OF_THE_AIR_IN_THE_CORE = "Rise of the air in the core"
STUDY_WAS_CANCELLED = "the study was cancelled"

# engcalc/studies/sweeps.py
TWO_DIFFERENT_INPUTS_WOULD_DO = "two different inputs would do for the two axes of a map"
PATH_OF_A_NUMERIC_INPUT_THAT_THIS_CASE = "the path of a numeric input that this case has would do"
THIS_INPUT_IS_NO_NUMBER = "this input is no number; a numeric input would do"
CASE_HAS_DUTIES_0_TO = "the case has duties 0 to {duties_count}"
TO_VALUES_WOULD_DO = "1 to {most_members} values would do"
FINITE_NUMBERS_WOULD_DO = "finite numbers would do"
INPUT_OF_THIS_DUTY_WOULD_DO = "an input of this duty would do: its paths begin with {prefix}"
THIS_DUTYS_POWER_IS_GIVEN = "this duty's power is given, so that this changes nothing: take the power away first"
THIS_DUTYS_COOLANT_FLOW_IS_GIVEN = "this duty's coolant flow is given, so that this changes nothing: take it away first"

# engcalc/studies/choice/tables.py
LINE_OF_HEADERS_AND_1_TO_ROWS_WOULD_DO = "a line of headers and 1 to {most_rows} rows would do"
THIS_INPUT_HAS_A_COLUMN_ALREADY = "this input has a column already; keep one"
AT_LEAST_ONE_COLUMN_NAMED_AS_AN_INPUT = (
    "at least one column named as an input would do, such as core_height; heatdocket fields lists them"
)
THIS_NAMES_SEVERAL_INPUTS = "this names several inputs; write one of {found}"
WOULD_DO_AS_THE_UNIT = "{wanted} would do as the unit"
COLUMN_IS_SHOWN_AND_NOT_USED = "Column '{cell}' is shown and not used: no part has such an input. Is {alike} meant?"
COLUMN_IS_SHOWN_AND_NOT_USED_NO_PART = "Column '{cell}' is shown and not used: no part has such an input."
CELLS_AS_IN_THE_HEADER = (
    "{width} cells, as in the header, would do: with a decimal comma part the columns by semicolons"
)
SAYS_OTHERWISE_WHAT_THE_POINTS_OF_HEAT_SAY = "{} says otherwise what the points of heat say: keep one of them"
FOLLOWS_FROM_THE_POINTS_OR_VOLTS = "{} follows from the points or volts and amps of the fan: keep one of them"
AT_LEAST_ONE_VALUE_BESIDES_THE_NAME_WOULD_DO = "at least one value besides the name would do"
NUMBER_ABOVE_0_OF_WOULD_DO = "a number above 0 of {unit} would do"
AND_GIVE_A_FANS_POWER_TOGETHER = "{volts} and {amps} give a fan's power together: both would do"

# engcalc/studies/choice/table_templates.py
TEMPLATE_ROWS_ARE_INVENTED = "The row below is invented: put your own parts in its place, one in each row."
TEMPLATE_OTHER_COLUMNS = (
    "Any other column, such as price or supplier, is kept and shown. Leave empty what you do not know."
)
TEMPLATE_CORES = "heat_points: coolant flow@air speed@heat@coolant in over air in, points parted by semicolons."
TEMPLATE_FANS = (
    "fan_points: flow@pressure of one fan, points parted by semicolons. fan_volts and fan_amps give its power."
)
TEMPLATE_PUMPS = "pump_points: flow@pressure@pump speed, points parted by semicolons. pump_ratio: pump to engine turns."
TEMPLATE_CAPS = "cap_pressure: what is printed on the cap."
TEMPLATE_COOLERS = (
    "airflow.upstream[0] is the first cooler ahead of the core in the case, [1] the second. "
    "An oil cooler in the coolant is circuit.extra[0]."
)

# engcalc/studies/choice/least_core.py
FANS_FIT_NO_CORE_OF_THE_ROOM = "fans that fit side by side on a core in the room would do, or a larger room"
