"""The form of the window."""

# ui/window/form/facts.py
CHANGE_WHAT_WAS_SEEN = "Change what was seen"
CHOOSE_WHAT_WAS_LOOKED_AT = "choose what was looked at"

# ui/window/form/fields.py
ONE_ON_EACH_LINE = "One on each line. {help}"

# ui/window/form/first.py
AS_THE_LOG_SHOWS = "as the log shows"
AS_ITS_SCHEDULE_SAYS = "as its schedule says"
SIX_ENTRIES_GIVE_A_VERDICT = "Six entries give a verdict"
WHAT_THE_CUSTOMER_TELLS = "What the customer tells, and of which vehicle"
WHAT_WAS_READ_AND_SEEN = "What was read and seen"
COOLANT_READ_WITH = "{before}: Coolant read with"
WHY_THE_VEHICLE_IS_HERE = "1  Why the vehicle is here"
WHAT_IS_WANTED = "1  What is wanted"
WHAT_IT_IS_ABOUT = "2  What it is about"
NAME_OF_WHAT_IT_IS_ABOUT = "What it is about"
QUESTION_IN_WORDS = "The question in words"
LESSON_HELP = "A lesson works measured points and problems of a bench."
BENCH_HELP = "A bench needs nothing but its exchanger and its two streams."
QUESTION_HELP = "What the class is to find out, as it stands on the paper."
OF_THE_CLASS = "What is not entered counts as typical of the class, and the report says so."
ON_THE_BENCH = "What is not entered counts as the form says it, and the report lists it."
AT_THIS_TIME_SINCE_THE_START = "at this time since the start"
TIME_OF_THE_COOLANT_READING = "Time of the coolant reading"
HOW_IT_RAN_UNTIL_THEN = "how it ran until then"
SIXTH_ENTRY_ONE_THING_SEEN = "6  One thing seen"
ONE_THING_SEEN = "{before}: One thing seen"
WHAT_IT_IS_FOR = "What it is for"

# ui/window/form/items.py
DUTIES_TO_BE_CHECKED = "Duties to be checked"
COOLERS_AHEAD_OF_THE_RADIATOR = "Coolers ahead of the radiator"
COOLERS_THAT_GIVE_HEAT_TO_THE_COOLANT = "Coolers that give heat to the coolant"
HOW_IT_WAS_RUN = "How it was run"
NONE_TYPED_THOSE_OF_THE_CLASS_COUNT = "None typed: those of the class count ({names})."

# ui/window/form/lap.py
LAPS_CSV_TSV_TXT_ALL_FILES = "Laps (*.csv *.tsv *.txt);;All files (*)"
CSV_FILE_WITH_TIME_S = (
    "A CSV file with time [s], speed [km/h], throttle [%] and, where it was logged, engine speed [rpm]. It becomes "
    "six duties that go round, with the air of the duty above them."
)
FIRST_MEND = "First mend what is marked in the form: the lap's power comes from the engine."
LAP_FROM_A_FILE = "A lap from a file..."
ADD_A_LAP_FROM_A_FILE = "Add a lap from a file"

# ui/window/form/number.py
BASIS_AND_UNCERTAINTY = "{name}, basis and uncertainty"
WHERE_THE_VALUE_COMES_FROM = "Where the value comes from, and its uncertainty"
LAW_OF_ITS_UNCERTAINTY = "{name}, law of its uncertainty"

# ui/window/form/panel.py
WHAT_IS_TO_MEND = "What is to mend"
HELP_FOR_THE_FIELD = "Help for the field"
MORE_TYPED_USUAL_AND_ALL_ENTRIES_SHOW_THEM = "{count} more {plural} typed; usual and all entries show them."

# ui/window/form/ready.py
ADD_A_USUAL_DUTY = "Add a usual duty"

# ui/window/form/tables.py
CHOOSE_THE_FILE = "{name}, choose the file"
COLUMN_IN_THE_FILE = "Column in the file"

# ui/window/form/told.py
HEATER_COLD_GAUGE_LOW = "heater cold or lukewarm, gauge low"
HEATER_COLD_GAUGE_NORMAL = "heater cold, gauge normal"
HEATER_LUKEWARM_GAUGE_NORMAL = "heater lukewarm, gauge normal"
HOW_TO_PRESS = "Press for yes, again for no, again for not asked."
CHANGE_WHAT_THE_CUSTOMER_TELLS = "Change what the customer tells"
