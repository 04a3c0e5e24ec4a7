"""What is said of a case file and its inputs: what was wrong, and what would do."""

# engcalc/case/bench_rules.py
NAME_THE_HOT_FLUID = "name the hot fluid"
NAME_THE_COLD_FLUID = "name the cold fluid"
SAY_HOW_THE_STREAMS_PASS_EACH_OTHER = "say how the streams pass each other"
NOTHING_IS_ASSUMED_FOR_AN_EXCHANGER = "{wanted}: nothing is assumed for an exchanger on a bench"
ITS_NAME_IN_COOLPROP_WOULD_DO = "its name in CoolProp would do, such as Ammonia"
FLUID_BY_ITS_PROPERTIES_NEEDS = "a fluid by its properties needs its specific heat"
FLOW_GIVEN_BY_VOLUME_NEEDS_THE_DENSITY = "a flow given by volume needs the density"
OF_FLOWS_TEMPERATURES = (
    "{wanted} of flows, temperatures, heat and conductance would do: the other {unknowns} follow from them"
)
FLOW_ABOVE_NOTHING_WOULD_DO = "more than 0 would do: a stream that stands still takes no heat away"
BELOW_WOULD_DO = "below {high} would do: heat goes from hot to cold"

# engcalc/case/budgets.py
AT_MOST_WOULD_DO = "at most {most_duties} would do; part them among several cases"
ALL_TIMED_DUTIES_TOGETHER = "all timed duties together"
ALL_STEPS_OF_ONE_RECORD_TOGETHER = "all steps of one record together"
AT_MOST_H_WOULD_DO_FOR = "at most {hours:.0f} h would do for {what}"

# engcalc/case/cause_rates.py
HOW_OFTEN_IT_IS_BEHIND_SUCH_A_VISIT = (
    "How often it is behind such a visit, before scaling. Absent: common practice, no source."
)

# engcalc/case/declare.py
FACTS_EACH_TRUE_OR_FALSE = "facts, each true or false"
LIST_OF_MINUTES = "list of [minutes, temperature]"
LOG_FILE_AND_ITS_COLUMNS = "a log file and its columns"

# engcalc/case/file.py
FILE_CANNOT_BE_READ = "the file cannot be read ({strerror}); name {wanted}"
FILE_HAS_MORE_THAN_BYTES = "the file has more than {largest} bytes; {wanted} has at most that"
NO_FILE_CAN_HAVE_THIS_NAME = "no file can have this name; name {wanted}"
IT_CANNOT_BE_READ = "it cannot be read: no ordinary file but a folder, a device or the like; name {wanted}"
CHOOSE_THE_FILE = "choose the file, or save the case beside it first"
NO_FILE_CAN_HAVE_THIS_NAME_NAME_A_FILE = "no file can have this name; name a file beside the case"
ONLY_FILES_IN_THE_CASES_OWN_FOLDER_ARE_READ = (
    "only files in the case's own folder are read; choose the file anew in the window, which copies it there, or "
    "copy it there and name it without a folder"
)
IS_NOT_A_NUMBER_THAT_CAN_BE_USED = "{word} is not a number that can be used; write a finite number"
FILE_IS_NOT_JSON_AS_A_CASE_FILE_IS = (
    "the file is not JSON as a case file is: it breaks off or has a slip in line {lineno}, column {colno}. Look "
    "there, or open a saved copy"
)
FILE_IS_NESTED_TOO_DEEPLY_FOR_A_CASE = "the file is nested too deeply for a case"
THIS_KEY_STANDS_TWICE_IN_ONE_OBJECT = "this key stands twice in one object; keep one"
CASE_FILE_IS_ONE_JSON_OBJECT_WITH_FORMAT = 'a case file is one JSON object with "format": "heatdocket-case/1"'
KEY_FORMAT_SHOULD_READ = 'the key "format" should read "{format}"; this file has {found}'
FILE_HAS_NO_FORMAT = "none"
FILE_WAS_WRITTEN_BY_A_NEWER_PROGRAM = "the file was written by a newer program ({found}); this one reads {format}"
IT_IS_NO_ORDINARY_FILE = "it is no ordinary file"
FILE_CANNOT_BE_WRITTEN = "the file cannot be written ({why}); choose another place"

# engcalc/case/impossible.py
CANNOT_BE_AFTER_MIN_OF_RUNNING_IN_AIR_OF = (
    "{degrees} cannot be after {at:.0f} min of running in air of {degrees_2}: coolant does not get colder than the "
    "air. Read it again, or correct the outside temperature; where the sensor itself shows this, enter the trouble "
    "code of its circuit"
)
CANNOT_COME_BACK_WHERE_THE_READ = (
    "{degrees} cannot come back where the {feed_words} read {degrees_2}: the coolant gives off heat on its way. "
    "Read both again at the same time, or see whether the hoses are mixed up"
)
FROM_TO_WITHIN_MIN_IS_MORE_THAN_ALL = (
    "from {degrees} to {degrees_2} within {seconds:.1f} min is more than all heat of this engine could bring "
    "about. Correct one of the readings or its time"
)
FAN_THAT_RUNS_FROM_A_COLD_START = "a fan that runs from a cold start on runs when hot as well"
THERE_IS_NO_THERMOSTAT_THAT_COULD_STAND_OPEN = "there is no thermostat that could stand open"
THERE_IS_NO_THERMOSTAT_THAT_COULD_OPEN = "there is no thermostat that could open in hot water"
THERE_IS_NO_THERMOSTAT_TO_PUT_INTO_HOT_WATER = "there is no thermostat to put into hot water"
TAKE_BACK_THIS_OR_EVIDENCE = "{why}. Take back this or evidence.{name}.seen.{other}"
THERE_IS_NO_THERMOSTAT_TO_PUT_INTO_HOT = "there is no thermostat to put into hot water. Take back this or {other}"
THERE_IS_NO_THERMOSTAT = "there is no thermostat, as thermostat.kind says. Take back this or that"

# engcalc/case/outside.py
BATTERYS_COOLANT_LOOP_IS_OUTSIDE_WHAT = (
    "a battery's coolant loop is outside what is computed here: it has its own pump, valves and chiller, and high "
    "voltage is for trained staff"
)
HEAT_PUMP = (
    "a heat pump is outside what is computed here: its heat comes by a refrigerant from the air or from another "
    "loop. High voltage is for trained staff"
)
NO_ENGINE = (
    "a vehicle without a combustion engine is outside what is computed here: there is no engine to cool or to heat with"
)
LEAVE_THIS_ITEM_OUT = "{why}; leave this item out"

# engcalc/case/near_keys.py
DID_YOU_MEAN_THE_KEY = " Did you mean {keys}?"
THESE_KEYS_WOULD_DO = " These would do: {keys}."
FIELDS_LISTS_THE_KEYS = " “heatdocket fields” lists those that would do."

# engcalc/case/resolve.py
THIS_KEY_IS_NOT_KNOWN = "{key}: this key is not known; it is kept and not used.{would_do}"
READING_WITHOUT_A_VALUE = "A reading has no value yet and is not used: {path}."
OBJECT_WITH_THE_KEYS_OF_THIS_SECTION = "an object with the keys of this section belongs here"
LIST_OF_AT_MOST_ITEMS_BELONGS_HERE = "a list of at most {most_items} items belongs here"
ONE_OF_THE_WORDS_WOULD_DO = "one of the words {words} would do: this reads no degrees"
OBJECT_NEEDS_A_VALUE = 'the object needs a "value"'
ONE_OF_WOULD_DO = "one of {writable_bases} would do"
ONE_NUMBER_WITH_ITS_UNIT = "one number with its unit, as text, would do"
OR_ONE_OF_THE_WORDS = "; or one of the words {words}"
THIS_WORD_GOES_WITH = "; this word goes with {said_with} {others}"
WHOLE_NUMBER_WOULD_DO = "a whole number would do"
DID_YOU_MEAN = " (did you mean {text} %?)"
TO_WOULD_DO = "{limits_low} to {limits_high} would do{hint}"
ZERO_OR_MORE_WOULD_DO = "zero or more would do"
LOGNORMAL_LAW_NEEDS_A_VALUE_ABOVE_0 = "a lognormal law needs a value above 0"
OBJECT_SUCH_AS_ENGINE_RATED_POWER = (
    'an object such as {"engine.rated_power": 0.5}, each coefficient between -1 and 1, would do'
)
SUCH_AS_TO = "such as {usual_low} to {usual_high}"
IT_HAS_TO_BE_GIVEN = "it has to be given"
TEXT_OF_AT_MOST_CHARACTERS_WOULD_DO = "text of at most {longest_free_text} characters would do"
LIST_OF_AT_MOST_TEXTS_WOULD_DO = "a list of at most {most_items} texts would do"
OBJECT_OF_FACTS = "an object of facts, each true or false, would do"
THIS_FACT_IS_NOT_KNOWN = "{key}: this fact is not known; it is kept and not used.{would_do}"
TRUE_OR_FALSE_WOULD_DO = "true or false would do"
LIST_OF_PAIRS_SUCH_AS_5 = 'a list of pairs such as [5, "48 degC"] would do'
ONE_PAIR_SUCH_AS_5 = 'one pair such as [5, "48 degC"] would do'
OBJECT_WITH_A_FILE_AND = 'an object with a "file" and, where needed, "columns" would do'
OBJECT_THAT_NAMES_THE_COLUMN_OF_EACH = "an object that names the column of each channel would do"

# engcalc/case/rig_table.py
TABLE_OF_AT_MOST_CHARACTERS_WOULD_DO = "a table of at most {largest} characters would do"
ROW_OF_HEADS_AND_A_ROW_FOR_EACH_POINT = "a row of heads and a row for each point would do: {wanted}"
CELLS_WOULD_DO = "{heads_count} cells would do, as the heads say"
EACH_OF_THESE_ONCE_WOULD_DO = (
    "each of these once would do: {wanted}, group. With both fluids named, a fluid's name may stand for hot or cold."
)
COLUMN_IS_MISSING = "a column {name} is missing"

# engcalc/case/text.py
LIST_HAS_ITEMS = "the list has {items_count} items"

# engcalc/case/whole.py
AS_THE_CUSTOMER_TELLS_IT = "as the customer tells it"
HEATER_OF_EACH_STEP_OF_THE_SCHEDULE_WOULD_DO = (
    "the heater of each step would do: this run has a schedule, whose steps have settings of their own"
)
RPM_OVER_THE_WARM_IDLE = "{rise:.0f} rpm over the warm idle"
RATING_LESS_AT_THE_INLET = "the class's rating less {lower:.0f} K, as valves at the pump's inlet have it"
K_ABOVE_THE_START_TO_OPEN = "{opening_span:.0f} K above the start to open"
TYPICAL_OF_A_VALVE_THAT_IS_OPENED = "typical of a valve that is opened earlier under load"
ONLY_HEAT_OR_A_COMMAND_LOWERS_IT = "only heat or a command lowers it"
TUBE_PITCH_LESS_TUBE_HEIGHT = "tube pitch less tube height"
TUBE_PITCH_LESS_FIN_HEIGHT = "tube pitch less fin height"
TUBE_HEIGHT_PLUS_FIN_HEIGHT = "tube height plus fin height"
CORE_DEPTH_SHARED_AMONG_THE_ROWS = "core depth shared among the rows, 2 mm between two"
SHARE_OF_THE_FIN_HEIGHT = "85 % of the fin height"
POWER_AT_THE_WHEELS_OVER_DRIVELINE = "power at the wheels over driveline efficiency"
BRAKE_POWER_OR_POWER_AT_THE_WHEELS_WOULD_DO = "brake power or power at the wheels would do, not both"
PATH_OF_ANOTHER_INPUT_WOULD_DO = "the path of another input would do, both with an uncertainty"
ONE_COEFFICIENT_FOR_EACH_PAIR_WOULD_DO = "one coefficient for each pair would do"
ABOVE_THE_TEMPERATURE_WHERE_IT_GIVES_LESS = "above the temperature where it gives less"
MORE_THAN_TWO_FIN_THICKNESSES_WOULD_DO = (
    "more than two fin thicknesses would do; absent, it is tube pitch less tube height"
)
MORE_THAN_TUBE_HEIGHT_AND_TWO_FIN = (
    "more than tube height and two fin thicknesses would do: the air passes between the tubes"
)
MORE_THAN_TWICE_THE_TUBE_WALL_WOULD_DO = "more than twice the tube wall would do"
MORE_THAN_THE_FIN_THICKNESS_WOULD_DO = "more than the fin thickness would do"
AT_MOST_THE_FIN_HEIGHT_WOULD_DO = "at most the fin height would do"
ROWS_TIMES_TUBE_WIDTH_FIT = "rows times tube width fit into the core depth, and a tube is wider than it is high"
AT_LEAST_ONE_TUBE_PITCH_FOR_EACH_PASS = "at least one tube pitch for each pass would do"
ABOVE_THE_TEMPERATURE_WHERE_IT_STARTS = "above the temperature where it starts to open"
ONLY_THESE_OPEN_EARLIER_UNDER_LOAD = "0 K would do: of the kinds of valve only {mapped_kinds} open earlier under load"
AT_LEAST_THE_MINIMUM_OPENING_WOULD_DO = "at least the minimum opening would do"
AT_LEAST_THE_WARM_IDLE_SPEED_WOULD_DO = "at least the warm idle speed would do: a cold engine idles faster"
BELOW_THE_TEMPERATURE_WHERE_IT_COMES_ON = "below the temperature where it comes on"
ABOVE_THE_TEMPERATURE_WHERE_THE_LOW = "above the temperature where the low speed comes on"
BELOW_THE_TEMPERATURE_WHERE_THE_HIGH = "below the temperature where the high speed comes on"
ABOVE_THE_TEMPERATURE_WHERE_IT_STARTS_TO_ENGAGE = "above the temperature where it starts to engage"
NONE_OF_THIS_DIAMETER_WOULD_DO = "none of this diameter would do"
MORE_DO_NOT_FIT_THE_FACE_OF_THE_CORE = "{told}: more do not fit the face of the core"
MORE_THAN_THE_TUBES_HEIGHT_WOULD_DO = "more than the tube's height would do"
MAKERS_POINT_NEEDS_ALL_FOUR = "a maker's point needs all four: heat, coolant flow, air velocity, inlet difference"
THIS_NEEDS_A_MEASURED_POINT_ON_THE_RIGS_PAGE = "this needs a measured point on the rig's page"
GIVE_HEAT_OR_BOTH_AT_IDLE_AND_AT_RATED = "its heat would do: that always there, or that at idle and that at rated power"
NO_STATED_HEAT_WOULD_DO = "no stated heat would do: that of the {kind} follows from temperatures"
ONE_OF_EACH_KIND_WOULD_DO = "one of each kind would do: put its numbers together"
ENGINE_WHOSE_ASPIRATION_IS_TURBO_WOULD_DO = (
    "an engine whose aspiration is turbo would do: one that draws its air by itself has no charge air to cool"
)
BEHIND_WOULD_DO = "behind would do: no cooler stands above it"
SMALLER_SHARE_WOULD_DO = "a smaller share would do: coolers side by side cover at most the whole face together"
WARM_OR_ROUND_WOULD_DO = "warm or round would do: there is no duty above the first"
DUTY_THAT_BEGINS_WHERE_ANOTHER_ENDS = "a duty that begins where another ends needs its duration"
WOULD_DO_THE_REFRACTOMETERS_GLYCOL_SCALE = "{glycol_scales} would do: the refractometer's glycol scale"
ANOTHER_INSTRUMENT_WOULD_DO = "another instrument would do: a refractometer reads {mixture_spots}"
ANOTHER_INSTRUMENT_WOULD_DO_A_HAND = "another instrument would do: a hand tells of {held}"
ANOTHER_INSTRUMENT_WOULD_DO_A_DASH = "another instrument would do: a dash gauge shows the coolant"
AT_MOST_AS_LONG_AS_THE_VEHICLE_STOOD = "at most as long as the vehicle stood would do"
NAME_THE_KIND_UNDER_AUXILIARY_HEATER_RAN = (
    "name the kind under Auxiliary heater ran, the same as under Heater in the coolant circuit"
)
COLD_STREAM_LEAVES_NO_HOTTER = "the cold stream leaves no hotter than the hot one enters"
HOT_STREAM_LEAVES_NO_COLDER = "the hot stream leaves no colder than the cold one enters"

# engcalc/causes/base_rates.py
COMMON_PRACTICE_NO_SOURCE = "common practice, no source"
AT_LEAST_ONE_CAUSE_WITH_A_WEIGHT = "at least one cause with a weight above 0 would do"
OF_THEM_AS_ENTERED = "{own_count} of them as entered, else {rest}"
KEY_OF_THE_LIST_OF_CAUSES_WOULD_DO = "a key of the list of causes would do: {causes}"
WEIGHT_OF_0_OR_MORE_WOULD_DO = "a weight of 0 or more would do"

# engcalc/causes/outcomes.py
LOOKED_AT_AND_FOUND_SO = "looked at and found so"
MEASURED_OR_TESTED_ON_THE_PART = "measured or tested on the part"
COMPLAINT_WENT_WHEN_IT_WAS_PUT_RIGHT = "the complaint went when it was put right"
COMPLAINT_IS_GONE = "the complaint is gone"
COMPLAINT_IS_STILL_THERE = "the complaint is still there"
ONE_OF_THESE_WORDS_WOULD_DO = "one of these words would do: {confirmed}"
YES_WOULD_DO = "'yes' would do, as the cause is confirmed by the cure"
