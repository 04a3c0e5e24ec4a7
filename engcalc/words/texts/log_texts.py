"""What is said of a log file and its channels."""

# engcalc/logs/channels.py
COOLANT_TEMPERATURE_SECOND_SENSOR = "Coolant temperature, second sensor"
COMMANDED_AIR_FUEL_RATIO_OVER = "Commanded air-fuel ratio over stoichiometric (lambda)"

# engcalc/logs/columns.py
ONE_OF_THESE_WOULD_DO = "one of these would do: time, {channel}"
FILE_HAS_NO_SUCH_COLUMN = "the file has no such column; it has {names}"
COLUMN_OF_TIMES_WOULD_DO = "a column of times would do; none was found among {names}"
COLUMN_COUNTS_AS_THE_TIME = "column {names} counts as the time"

# engcalc/logs/log.py
COLUMN_OF_TIMES_WOULD_DO_SECONDS = (
    "a column of times would do (seconds, or a clock such as 18:42:11.3); none can be read"
)
NUMBERS_IN_THE_COLUMN_OF_A_KNOWN = "numbers in the column of a known channel would do (coolant, engine speed, ...)"
SAMPLES_OF_ONE_CHANNEL_WITH_THE_SAME = "samples of one channel with the same time were merged to the last"
STRETCHES_WITHOUT_ROWS_SPLIT_THE_RECORD = "stretches without rows split the record"
ENGINE_STOOD_STILL_AFTER_ITS_START = "the engine stood still after its start"

# engcalc/logs/notes.py
LINES_BEFORE_THE_HEADER_SKIPPED = "lines before the header skipped"
SPLIT_AT_A_GAP = "split at a gap"
STALE_FIRST_VALUE_DROPPED = "stale first value dropped"
SENSOR_AT_THE_END_OF_ITS_SCALE = "sensor at the end of its scale"

# engcalc/logs/pids.py
COMMANDED_AIR_FUEL_RATIO_OVER_STOICHIOMETRIC = "Commanded air-fuel ratio over stoichiometric"
AIR_MASS_FLOW = "Air mass flow, sensors"
INTAKE_AIR_TEMPERATURE = "Intake air temperature, sensors"

# engcalc/logs/sensors.py
ENGINE_NEVER_RAN_IN_THIS_LOG = "the engine never ran in this log: time counts from the first row"
ENGINE_START_IS_WHERE_ITS_SPEED_FIRST = "engine start is where its speed first stays above 400 rpm"
ENGINE_START_IS_TAKEN_FROM_THE_RUN = "engine start is taken from the run-time counter"
ENGINE_WAS_ALREADY_RUNNING = (
    "the engine was already running when the log begins: time counts from its first engine speed"
)
LOG_HAS_NO_ENGINE_SPEED = "the log has no engine speed: time counts from the first row"
FIRST_INTAKE_AIR_VALUES_WERE_LEFT_OVER = "the first intake-air values were left over from before and are dropped"
READS_40_C_OR_THEREABOUTS = "reads -40 °C or thereabouts: an open circuit"
READS_ABOVE_140_C = "reads above 140 °C: a short circuit or an unplugged sensor"
JUMPS_BY_K_FROM_ONE_ANSWER_TO_THE_NEXT = (
    "{label} jumps by {size:.0f} K from one answer to the next: coolant cannot do that"
)
SECOND_COOLANT_SENSOR_READS_UP_TO_K = (
    "the second coolant sensor reads up to {most:.0f} K above the first, which sits at the hottest place: one of "
    "the two is wrong"
)
STANDS_STILL_FOR_MIN_WITH_THE_ENGINE_RUNNING = (
    "{label} stands still for {still:.0f} min with the engine running: the sensor, its circuit or a substitute "
    "value, not the coolant"
)

# engcalc/logs/stamps.py
TIMES_CARRY_NO_UNIT = "times carry no unit: taken as {name}"
SECONDS_OF_A_UNIX_CLOCK = "seconds of a Unix clock"
DAYS_OF_A_SPREADSHEET = "days of a spreadsheet"
TIMES_SUCH_AS_12_34_ARE_TAKEN = "times such as 12:34 are taken as minutes and seconds"
ROWS_WITHOUT_A_READABLE_TIME_WERE_SKIPPED = "rows without a readable time were skipped"
CLOCK_PASSED_MIDNIGHT_OR_NOON = "the clock passed midnight (or noon on a twelve-hour clock)"
ROWS_WHOSE_TIME_STANDS_OUT_OF_ORDER = "rows whose time stands out of order were skipped"
CLOCK_WAS_SET = "the clock was set, or the time starts anew, within the file: what lies between is not known"

# engcalc/logs/table.py
ROWS_OF_NUMBERS_BELOW_THE_HEADER_WOULD_DO = "rows of numbers below the header would do; there are none"
MORE_THAN_ROWS = "more than {most_rows} rows"
SHORTER_LOG_WOULD_DO = "a shorter log would do"
FILE_WITH_SEMICOLONS_BETWEEN_THE_CELLS = (
    "a file with semicolons between the cells, or with decimal points, would do: here the comma separates both "
    "cells and decimals"
)
REPEATED_HEADERS_WERE_SKIPPED = "repeated headers were skipped"
CELLS_THAT_ARE_NO_NUMBER_WERE_LEFT_OUT = "cells that are no number were left out"
COLUMNS_OF_RAW_BYTES_WERE_DECODED = "columns of raw bytes were decoded"
EACH_ROW_REPEATS_THE_LATEST_VALUE = (
    "each row repeats the latest value of every channel: only the new answers count as observations"
)
IS_NO_UNIT_OF_IT = "{unit!r} is no unit of it"
IT_CARRIES_NO_UNIT = "it carries no unit"
SHARE_OF_ONE = "a share of one"
IMPOSSIBLE_NUMBERS_WERE_LEFT_OUT = "{label}: impossible numbers were left out"
RAW_BYTES_WERE_DECODED = "{title}: raw bytes were decoded"
RAW_ANSWERS_OF_THE_CONTROL_UNIT_WERE_DECODED = "raw answers of the control unit were decoded"

# engcalc/logs/text.py
LOG_OF_AT_MOST_MB_WOULD_DO = "a log of at most {largest} MB would do"
LOG_OF_AT_MOST_LINES_WOULD_DO = "a log of at most {most_lines} lines would do; cut it to the drive in question"
TABLE_WITH_A_TIME_COLUMN_AND_NAMED = (
    "a table with a time column and named channels in its first lines would do; none was found"
)
LOG_OF_AT_MOST_COLUMNS_WOULD_DO = "a log of at most {most_columns} columns would do; leave out what is not read"
SIGNS_DAMAGED_BY_A_WRONG_ENCODING_WERE = "signs damaged by a wrong encoding were repaired in the header"
LINES_BEFORE_THE_HEADER_WERE_SKIPPED = "lines before the header were skipped"
THERE_IS_NO_HEADER = "there is no header: columns are called column 1, column 2, ..."
CELLS_ARE_SEPARATED_BY = "cells are separated by {delimiters}"
FILE_IS_UTF_16 = "the file is UTF-16"
FILE_IS_UTF_16_WITHOUT_A_MARK = "the file is UTF-16 without a mark"
FILE_IS_NOT_UTF_8 = "the file is not UTF-8: read as Western European (cp1252)"
