"""The views of the window."""

# ui/window/views/bench/view.py
TABLES_CSV_TSV_TXT_ALL_FILES = "Tables (*.csv *.tsv *.txt);;All files (*)"
ONE_ROW_FOR_EACH_POINT = (
    "One row for each point, one column for each number, with its unit in the head: hot flow [L/min], hot in [°C] "
    "and so on. Paste it from a spreadsheet, or type it."
)
NO_BENCH = "Name both fluids and the arrangement under Rig or problem, and the bench is worked here."
POINTS_TO_MEND = "Things to mend in these points: {count}. Point {point}: {wanted}."
SLIDE_FROM_A_POINT = "Slide from a measured point"
SLIDE_FROM_A_POINT_TIP = (
    "A problem is posed with the point's flows, inlets and conductance. The point itself stays as measured."
)
AS_POINT = "As point {number}"
WHAT_IF_AS_POINT = "What if: {name}"
MEASURED_POINTS_AS_A_TABLE = "Measured points as a table"
SAVE_AS_A_TABLE = "Save as a table..."
TAKE_POINTS_FROM_A_TABLE = "Take points from a table"
OPEN_A_TABLE_OF_MEASURED_POINTS = "Open a table of measured points"
SAVE_THE_MEASURED_POINTS = "Save the measured points"

# ui/window/views/causes/check_card.py
HOW_TO_MAKE_IT = "How to make it"
WHAT_THE_RESULT_MEANS = "What the result means"
CAUTIONS_OF_THE_CHECK = "Cautions of the check"

# ui/window/views/causes/rates.py
HOW_OFTEN_EACH_CAUSE_IS_BEHIND_A_VISIT = (
    "How often each cause is behind a visit for this reason, in per cent before scaling. An empty line keeps the "
    "value shown in it, which is common practice and no count. Own values belong to the case and stand in its "
    "report."
)

# ui/window/views/causes/reading_entry.py
TIME_OF_THE_READING = "Time of the reading: {name}"
LEFT_EMPTY_AT_THE_END_OF_THE_RUN = "Left empty: at the end of the run."
EMPTY_AT_THE_END = "{time}; empty: at the end"
OUTLET_NECK_BESIDE_THE_SENSOR = "outlet neck, beside the sensor"

# ui/window/views/causes/results.py
PUT_IN_WHAT_WAS_SEEN = "Put in what was seen"

# ui/window/views/causes/view.py
NO_OWN_RATES = (
    "The workshop's own base rates were asked for and cannot be read. Mend that, or switch them off in Jobs > Job book."
)
NO_OWN_HISTORY = (
    "This vehicle's own history was asked for and cannot be read. Mend that, or choose another book in Jobs > Job book."
)
NO_RECORD = (
    "Readings are needed: at least one coolant temperature with its time, or something seen. Type them in the "
    "form, or import a log in the warm-up view."
)
NOT_TO_BE_TOLD_APART = "Not to be told apart"
WHAT_MAY_BE_BEHIND_IT = "What may be behind it"
COPY_TABLE_OF_EVIDENCE = "Copy table of evidence"
TWO_FAULTS_AT_ONCE = "Two faults at once"
TRY_PAIRS_OF_THE_LEADING_CAUSES_TOO = "Try pairs of the leading causes too; it takes longer"
BASE_RATES_OF_THE_CAUSES = "Base rates of the causes"
HOW_OFTEN_EACH_CAUSE_IS_BEHIND_A_VISIT_BEFORE = "How often each cause is behind a visit, before any reading"
WHAT_WAS_FOUND_AT_FAULT = "What was found at fault, and whether it is cured: for the job book"

# ui/window/views/charts/view.py
DUTY_OF_THE_CHARTS = "Duty of the charts"
WHAT_A_COMMON_APPROXIMATION_COSTS = "What a common approximation costs"

# ui/window/views/live/by_hand.py
READ_BY_HAND = "Read by hand"
READ_BY_HAND_AT_A_STOP = "Read by hand at a stop, taken with the time of now"
SUCH_AS_UPPER_HOSE_60 = "such as: upper hose 60, vent 35, fan runs, heater high"
WHAT_CAN_BE_TYPED = (
    "At a stop: a place and its temperature, what was seen, or how the heater is set from now on. Enter takes it."
)

# ui/window/views/live/view.py
NO_RUN_BEFORE = (
    "This case has no run before the repair. Import its log under Before/after, and this run is laid over it as it "
    "grows."
)
IDLE_WORDS = "Plug the adapter in, switch the ignition on, start reading, then start the engine from cold."
WHERE_IS_THE_LOG_TO_BE_WRITTEN = "Where is the log to be written?"
LEG_OF_THE_TEST_DRIVE = "Leg of the test drive that is due"
STATE_OF_THE_READING = "State of the reading"
WHAT_IS_SAID_OF_IT_SO_FAR = "What is said of it so far"
PORT_OF_THE_ADAPTER = "Port of the adapter"
SERIAL_PORT_OF_THIS_COMPUTER = "A serial port of this computer, tcp:HOST:PORT, ble:NAME, or a CAN bus: socketcan:can0"
START_READING_THE_VEHICLE = "Start reading the vehicle"
SPEED_OF_THE_REPLAY = "Speed of the replay"
TIMES_AS_FAST = "{times} times as fast"
AS_FAST_AS_IT_WAS = "as fast as it was"
PLAY_A_LOG_AS_IF_ITS_VEHICLE_WERE_READ_NOW = "Play a log as if its vehicle were read now"
PLAN_THE_DRIVE_THAT_WOULD_SETTLE_THE_MOST = "Plan the drive that would settle the most, before the vehicle is read"
PLAN_A_TEST_DRIVE = "Plan a test drive"
TEST_DRIVE_IS_BEING_PLANNED = "A test drive is being planned; it takes some seconds."
LOG_PLAYED = "What is shown below is of a log that was played. It is no part of this case."
VEHICLE_IS_READ = "A vehicle is being read: what is said of it stands below. It counts here once the reading ends."
LOG_IS_PLAYED = "The log is played."
LOG_WAS_PLAYED = "The log was played; this is the answer to all that was played."
ADAPTER_IS_LOOKED_FOR = "The adapter is looked for. All is written to {path}."
READING_ENDED_IT_IS_NOW_THE_RECORD = "The reading ended; it is now the record of this case ({name})."
VALUES_ARE_READ = "{adapter}, {protocol}: {asked_of_count} values are read.{frozen}"

# ui/window/views/paper/view.py
NO_ANSWER = "The page follows when the answer stands."
NOTHING_WORKED = "There is nothing to work out yet: no duty has a solution, and no point was measured."
SIGN_AND_WRITE_THE_REPORT = "Sign and write the report, or write a draft"
WORKING_STEP_BY_STEP = "The working, step by step"

# ui/window/views/reading_dialog.py
CAUTIONS_OF_THE_READING = "Cautions of the reading"
IT_GOES_INTO_THE_RECORD = "{name}. It goes into the record “{titles}”."

# ui/window/views/refill/view.py
FROM_CASE = "What is typed here belongs to the case and goes into its report. {makers_first}"
TAKE_OVER_THE_READING = "Take over the reading"
TAKE_OVER_THE_REFRACTOMETERS_READING = "Take over the refractometer's reading"
COPY_REFILL_AND_BLEEDING = "Copy refill and bleeding"
COPY_ANSWERS_AND_STEPS_AS_TEXT = "Copy answers and steps as text"

# ui/window/views/studies/adopting.py
PUT_THIS_INTO_THE_CASE = "Put this {what} into the case"
TO_PUT_INTO_THE_CASE = "{what} to put into the case"
PUT_A_INTO_THE_CASE = "Put a {what} into the case"

# ui/window/views/studies/candidates.py
PARTS_TO_LAY_SIDE_BY_SIDE = "Parts to lay side by side, up to {most}"
PARTS_SIDE_BY_SIDE = "Parts side by side"
PARTS_OVER_EVERY_DUTY = "Parts over every duty"
PARTS_OF_YOUR_OWN = "Parts of your own"
CHOOSE_PARTS_TO_COMPARE = "Choose parts to compare"

# ui/window/views/studies/curve.py
COPY_VALUES_OF_THE_SWEEP = "Copy values of the sweep"
COPY_THE_VALUES_BEHIND_THE_CURVE_AS_A_TABLE = "Copy the values behind the curve as a table"

# ui/window/views/studies/duties.py
ONE_ROW_FOR_EACH_DUTY = "One row for each duty, as the check found it. Rows that are chosen can be copied alone."
DUTIES_ARE_BEING_WORKED_OUT = "The duties are being worked out."
COPY_TABLE_OF_DUTIES = "Copy table of duties"
COURSE_IN_TIME = "Course in time {number}, in words"

# ui/window/views/studies/grid.py
NUMBER_THAT_COUNTS_RUNS_OVER_WHOLE_STEPS = (
    "A number that counts runs over whole steps: give it ends that hold two of them."
)

# ui/window/views/studies/least.py
LEAST_CORE_THAT_HOLDS = "The least core that holds"
WHAT_IS_TO_BE_LEAST = "What is to be least"
LEAST_CORE_THAT_HOLDS_EVERY_DUTY = "The least core that holds every duty"
ALL_CORES_OF_THE_CHOICE = "All cores of the choice"
FAN_TO_AIR = "Fan to air, {power}"

# ui/window/views/studies/limits.py
ALL_CHANGES_TRIED = "All changes tried, by gain"

# ui/window/views/studies/page.py
NO_INPUT = "What is typed above does not read yet: see beneath it."

# ui/window/views/studies/part_tables.py
CORES_FANS_PUMPS = (
    "Cores, fans, pumps, caps or coolers of your own: a CSV file with a column name and columns named as inputs, "
    "such as core_height [mm]. A maker's points go into fan_points, pump_points or heat_points."
)
CHOOSE_A_TABLE_OF_PARTS = "Choose a table of parts"
LOAD_A_TABLE_OF_PARTS = "Load a table of parts"
SAVE_A_TEMPLATE = "Save a template of a table of parts"
TEMPLATE_TIP = "A table with the columns of one kind of part and an invented row, to be filled in."
TEMPLATE_SAVED = "{file} is saved. Fill it in, then load it."
REMOVE_THE_TABLES_OF_PARTS = "Remove the tables of parts"

# ui/window/views/studies/ranges.py
TWO_DIFFERENT_ENDS_WOULD_DO = "two different ends would do"

# ui/window/views/studies/ranking.py
COPY_TABLE_OF_SENSITIVITIES = "Copy table of sensitivities"
TRIED_ON_ONE_SIDE_ONLY = ", tried on one side only"
CHANGE_IS_AT_LEAST_THIS = "; the change is at least this"

# ui/window/views/studies/spread.py
HOW_SURE_IT_IS = "How sure it is"
INTERVALS_OF_THE_RESULTS = "Intervals of the results"
SHARES_OF_THE_VARIANCE = "Shares of the variance"
WHAT_THE_UNCERTAINTY_COMES_FROM = "What the uncertainty comes from"
RESULTS_WITH_THEIR_UNCERTAINTY = "Results with their uncertainty"

# ui/window/views/studies/view.py
DUTY_OF_THE_STUDY = "Duty of the study"

# ui/window/views/view.py
THERE_IS_NO_CASE_WITHOUT_FAULTS_YET = (
    "There is no case without faults yet: mend what the form names, and this view follows."
)
ENTRIES_HAVE_TO_MEND = "The entries have {mend} to mend; this is of the last case without faults."
WHAT_WAS_WORKED_OUT = "What was worked out"

# ui/window/views/waiting.py
STOPPED_THERE_IS_NO_ANSWER_TO_WHAT = "Stopped. There is no answer to what is typed now."
STOPPED_EARLY = "Stopped. What is shown came before the final answer to what is typed now."
STOPPED_OLDER = "Stopped. What is shown is the answer to what stood typed before."

# ui/window/views/warmup/importing.py
LOGS_CSV_TXT_TSV_LOG_ALL_FILES = "Logs (*.csv *.txt *.tsv *.log);;All files (*)"
LOG_IS_BEING_READ = "The log is being read."
LOG_WAS_NOT_TAKEN = "The log was not taken."

# ui/window/views/warmup/moment.py
MINUTES_AFTER_THE_START = "Minutes after the start"

# ui/window/views/warmup/proof.py
CHECK_IS_BEGUN = "You have begun this check: what is left of it. Press “Not checked” for what you leave out."
TWO_WANTED = (
    "Two records of this vehicle are wanted: one as it was found, one after the repair. Each needs a log, minutes "
    "and temperatures, or the coolant read by hand at two times at least; the start counts as one where its "
    "temperature is known, or where the vehicle ran hot. Import the logs here, or type readings in the form."
)
WHAT_THAT_RESTS_ON = "What that rests on, and what is open"
COPY_THE_WORDS_OF_BEFORE_AND_AFTER = "Copy the words of before and after"

# ui/window/views/warmup/times.py
HEALTHY_VEHICLES_5_TO_95 = "Healthy vehicles, 5 to 95 %"

# ui/window/views/warmup/view.py
IMPORT_A_LOG = "Import a log, drop one on the window, or type minutes and temperatures in the form."
VERDICT_ON_THE_WARM_UP = "Verdict on the warm-up"
WHAT_THE_VERDICT_RESTS_ON = "What that rests on"
DONE_TO_THE_LOG = "Done to the log"
COPY_TABLE_OF_TIMES = "Copy table of times"
SAY_WHICH_COLUMN_OF_THE_LOG_IS_WHAT = "Say which column of the log is what"
NOTHING_IS_KNOWN_YET = "{titles} nothing is known yet. {how}"
