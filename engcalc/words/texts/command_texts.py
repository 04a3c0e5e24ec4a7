"""What the command line says beside the answers."""

# ui/command/booking.py

# ui/command/charts.py
CASE_WITH_A_DUTY = "a case with a duty"

# ui/command/checking.py
NO_DUTY_HAS_A_STEADY_STATE_BECAUSE = "No duty has a steady state. {why}"
LAP_WITH_A_FILE_OF_A_LAP = "--lap with a file of a lap, or --add with a usual duty, would do beside it"

# ui/command/diagnosing.py
SUCH_AS_THERMOSTAT_STUCK_OPEN_30_WOULD_DO = "such as thermostat_stuck_open=30 would do"

# ui/command/identities.py
WHAT_IT_SHOWS = (
    "It is made by the signer: a report signed with it shows who signed and that nothing changed, and nobody else "
    "vouches for it."
)
GIVE_THE_FINGERPRINT_TO_YOUR_CUSTOMERS = (
    "Give the fingerprint to your customers by another way, such as on your invoice, so that they can compare it."
)
IS_MISSING_A_NEW_IDENTITY_HAS_A_NAME = "is missing; a new identity has a name and a credential"
IDENTITY_OF_MADE = "{output}: identity of {name} made, valid to {date}."
NAMES_THE_TOKEN_WITH_THE_IDENTITY_OF = "{path}: names the token with the identity of {name}, valid to {date}."
SIGN_WITH_IT_AS_WITH_ANY_IDENTITY = (
    "Sign with it as with any identity; the PIN takes the place of the password. The key stays on the token."
)
IDENTITY_OF_VALID_TO = "{path}: identity of {name}, valid to {date}."
IDENTITY_OF_RENEWED = "{path}: identity of {name} renewed, valid to {date}."
ITS_KEY_IS_THE_OLD_ONE = (
    "Its key is the old one: whoever knows you in this program knows you on. To others give the new fingerprint."
)
REPORTS_THAT_WERE_SIGNED_BEFORE_KEEP = "Reports that were signed before keep their old certificate."
IDENTITY_OF_OPENS_WITH_THE_NEW_PASSWORD_ONLY = "{path}: the identity of {name} opens with the new password only."
COPIES_OF_THE_FILE_THAT_YOU_KEEP = "Copies of the file that you keep elsewhere still open with the old one."
FILE_IS_NO_LONGER_THERE = " (the file is no longer there)"
NO_IDENTITY_WAS_MADE_OR_OPENED_HERE_YET = "No identity was made or opened here yet."

# ui/command/knowing.py
PEOPLE_WHOM_YOU_KNOW = "People whom you know"
ISSUERS_WHOSE_WORD_ON_NAMES_COUNTS = "Issuers whose word on names counts"
CLOCKS_WHOSE_WORD_ON_TIMES_COUNTS = "Clocks whose word on times counts"
KNOWN_FROM_NOW_ON = "Known from now on: {name}."
NOBODY_WHOM_YOU_KNOW_HAS_IT = "nobody whom you know has it; see: known list"
ITS_WORD_ON_COUNTS_FROM_NOW_ON = "{file}: its word on {of_what} counts from now on."

# ui/command/listening.py
WITH_BEFORE_ONLY_AFTER_WOULD_DO = "with --before only after would do: it is laid over that run"
WITHOUT_PLAN_IT_WOULD_DO = "without --plan it would do: a plan reads the case"
WITHOUT_PORT_AND_REPLAY_IT_WOULD_DO = "without --port and --replay it would do: nothing is read"
EITHER_PORT_TO_READ_A_VEHICLE = "either --port, to read a vehicle, or --replay, to play a log, would do"
NAME_OF_THE_LOG_TO_BE_WRITTEN_WOULD_DO = "the name of the log to be written would do"
MORE_THAN_0 = "more than 0, up to {fastest:g}, would do"
MORE_THAN_0_WOULD_DO = "more than 0 would do"
VALUES_CAN_BE_READ = "{adapter}, {protocol}: {asked_of_count} values can be read."
VALUES_WERE_READ = "{samples} values were read, {gaps} gaps."
THEY_STAND_IN = "They stand in {output}."
TYPE_WHAT_YOU_READ = (
    'Standing, type what you read by hand and press Enter: such as "upper hose 60", "vent 35", "fan runs". '
    '"back" takes the last one back.'
)
NOT_TAKEN = "Not taken: {line}; {wanted}."
CASE_IS_KEPT = "The case with this reading is kept in {keep}."
FOLDER_OF_THE_LOG_WOULD_DO = "the folder of the log, or one above it, would do"
ODDS_FELL_BELOW = "The odds fell below 9 in 10 again."
COOLANT_WAS_NOT_READ = "The coolant was not read: there is nothing to judge."

# ui/command/main.py
ONE_CASE_FILE = "one case file or one of the subcommands would do: {subcommands}"
THERE_IS_NO_SUCH_FILE = "there is no such file, and it is no subcommand; try heatdocket --help"
SCRIPT_NEEDS_ITS_GUARD = (
    "The script that calls Heatdocket would run once more in a process that helps it: put the call under "
    "\"if __name__ == '__main__':\". The answer is there all the same, but later."
)
THIS_IS_A_DEFECT_OF_HEATDOCKET = "This is a defect of Heatdocket, not of your input. Nothing was changed."

# ui/command/outputs.py
CHOOSE_ANOTHER_NAME = "{an_input}; choose another name"
CHOOSE_ANOTHER_NAME_OR_ADD_FORCE = "{signed}; choose another name, or add --force"

# ui/command/papers.py
DRAFT_IT_IS_NOT_SIGNED = "a draft: it is not signed"
NAME_A_SERVER_WITH_TIMESTAMP_SERVER_TOO = "name a server with --timestamp-server too"
ONLY_WHAT_IS_SIGNED_IS_STAMPED = "only what is signed is stamped; name an identity with --identity too"

# ui/command/passwords.py
NEEDS_ITS_PASSWORD = "{path} needs its password: set {variable} or run this on a terminal, where it is asked for"
TWO_ENTRIES_DIFFER = "the two entries differ; type the same password twice"

# ui/command/rigs.py
CASE_WITH_MEASURED_POINTS_OR_PROBLEMS = "a case with measured points or problems, or --points TABLE.csv"

# ui/command/screening.py
SCHEDULERS_OWN_WORKERS_COUNT = "the scheduler's own workers count; leave --workers out"

# ui/command/sizing.py
WRITE_NEEDS_A_PART_TO_PUT_IN = (
    "--write needs a part to put in, --adopt, or a room to seek the least core in: --room, or limits.room_height, "
    "room_width, room_depth"
)
CASE_FILE_WANTED = "a case file would do (*.heatcase.json); only a template needs none"
KINDS_OF_PARTS_WOULD_DO = "one of {kinds} would do"
TEMPLATE_WRITTEN = "{file}: a table of parts to fill in is written. `size --table` reads it."
CASE_WITH_IN_IT_WRITTEN = "{write}: the case with {adopt} in it written."
NO_DUTY_HAS_A_STEADY_STATE = "No duty has a steady state."
WAS_NOT_WRITTEN = "{write} was not written: no core holds every duty."
CASE_WITH_THIS_CORE_IN_IT_WRITTEN = "{write}: the case with this core in it written."
LARGER_ONES_THAT_ARE_BETTER_IN_SOMETHING = "Larger ones that are better in something:"
WRITE_WITH_THE_FILE_TO_WRITE_WOULD_DO = "--write with the file to write would do"
TABLE_OF_PARTS_WOULD_DO = "a table of parts would do: --table, or job.part_tables of the case"
PARTS_SIDE_BY_SIDE = "Parts side by side:"
SEEKS_THE_LEAST_CORE = "seeking the least core"
LAYS_PARTS_SIDE_BY_SIDE = "laying parts side by side"
ALL_CHANGES_TRIED = "All changes tried, by gain:"

# ui/command/uncertain.py
HOW_SURE_EACH_DUTY_IS = "How sure each duty is:"

# ui/command/verifying.py
CASE_IS_WRITTEN_FROM_ONE_REPORT_AT_A_TIME = "a case is written from one report at a time"
THIS_FILE_CARRIES_NO_CASE_TO_EXTRACT = "this file carries no case to extract"
CARRIED_CASE_WAS_NOT_WRITTEN = "The carried case was not written: the report is {value}. Add --anyway to write it."
CARRIED_CASE_WAS_WRITTEN_TO = "The carried case was written to {extract}{with_them}."

# ui/command/warming.py
RULE_BEHIND_THE_TIMES = "13 CCR 1968.2 (e)(10.2.1)(A)(ii), text of 9 November 2007"
