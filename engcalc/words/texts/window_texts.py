"""The window itself: start page, menus, progress, crashes."""

# ui/window/accessible.py
COOLER_AHEAD_OF_THE_RADIATOR = "Cooler ahead of the radiator"
COOLER_IN_THE_COOLANT = "Cooler in the coolant"

# ui/window/crash_hooks.py
UNSAVED_WORK_WAS_KEPT = "Unsaved work was kept."
NOT_KEPT = "Unsaved work could not be kept: save the case now."
WHERE_TOLD = "Help, Report of crashes says where it happened."
DEFECT_OF_HEATDOCKET = "A defect of Heatdocket: {kind}. {kept} {where_told}"

# ui/window/errands.py
REPORT_NEEDS_AN_ANSWER_TO_WHAT_IS_TYPED = (
    "A report needs an answer to what is typed. Mend what the form names first, or wait until the check has ended."
)
TABLE_WAS_COPIED = "The table was copied."
THIS_VIEW_HAS_NO_TABLE_TO_COPY = "This view has no table to copy."
PICTURE_WAS_COPIED = "The picture was copied."
THIS_VIEW_HAS_NO_PICTURE_TO_COPY = "This view has no picture to copy."
VIEW_AT_HAND = "The view at hand: {name}"
SYMBOLS_OF_RESULTS_AND_WORKING = "Symbols of results and working"
WHERE_THE_BENCH_STANDS = (
    "Readings, pictures and all tables stand under Bench, each number with its formula under Working."
)
SYMBOLS_OF_A_BENCH = "Symbols of a bench, set {set}"

# ui/window/main_window.py
THIS_CASE_CANNOT_BE_OPENED = "This case cannot be opened"
THIS_EXAMPLE_CANNOT_BE_OPENED = "This example cannot be opened"
CASE_WAS_NOT_SAVED = "The case was not saved"
KEPT_WORK_THAT_CANNOT_BE_READ = "Kept work that cannot be read was passed over, in {unsaved_folder}: {names}"
UNSAVED_WORK_COULD_NOT_BE_KEPT = "Unsaved work could not be kept: {error}"

# ui/window/menus.py
COPY_TABLE_OF_RESULTS_WITH_KEY = "Copy &table of results"
KEEP_THIS_CASE_IN_THE_JOB_BOOK_WITH_KEY = "&Keep this case in the job book"
ALL_THAT_IS_KEPT_OF_THIS_JOB_WITH_KEY = "&All that is kept of this job..."
HOW_THIS_JOB_ENDED_WITH_KEY = "How this job &ended..."
HOW_HONEST_THE_ODDS_WERE_WITH_KEY = "How &honest the odds were..."
VIEW_BESIDE_THE_STEP_WITH_KEY = "&View beside the step"
CHECK_A_SIGNED_REPORT_WITH_KEY = "&Check a signed report..."
PEOPLE_AND_AUTHORITIES_YOU_KNOW_WITH_KEY = "People and authorities you &know..."

# ui/window/progress.py
PROGRESS_OF_THE_CHECK = "Progress of the check"

# ui/window/prompts.py
SAVE_THE_CASE_AS = "Save the case as"
HAS_CHANGES_THAT_ARE_NOT_SAVED = "{name} has changes that are not saved. Save them?"
WAS_SAVED_BY_ANOTHER_WINDOW_OR_PROGRAM = "{name} was saved by another window or program since you opened it. Keep both?"

# ui/window/results/content.py
RECORDS_TO_COME = "The duties below are answered; what was recorded over time is still being weighed."

# ui/window/results/panel.py
TABLE_OF_THE_BENCH_S_ANSWER = "Answer of the bench, table {number}"
NAME_OF_WHERE_THE_BENCH_STANDS = "Where the bench stands"
THIS_IS_THE_ANSWER_TO_WHAT_WAS_TYPED_BEFORE = "This is the answer to what was typed before."

# ui/window/results/verdict_bar.py
OUT_OF_DATE = "Out of date: {reason}"

# ui/window/start_page.py
NO_JOB_BOOK_IS_IN_USE_YET = (
    "No job book is in use yet. One file keeps all cases, finds them by any word, and counts how the jobs ended."
)
HEATER_STAYS_COLD = (
    "The heater stays cold, the engine warms up slowly, it runs hot, it loses coolant. Six entries give a verdict; "
    "what is not known counts as typical of the class of vehicle."
)
START_WITH_A_COMPLAINT = "Start with a complaint"
RADIATOR_TO_SIZE = "A radiator to size"
POWER_CORE_FAN_AND_PUMP_AGAINST = (
    "Power, core, fan and pump against the duties they have to hold. Which limit is reached, at which outside "
    "temperature, and what stands in the way."
)
START_WITH_A_RADIATOR = "Start with a radiator"
BENCH_EXCHANGER_WITH_TWO_FLOWS = (
    "A bench exchanger with two flows and four temperatures: measured against computed, every number with its formula."
)
START_WITH_A_LESSON = "Start with a lesson"
DOES_THE_COOLING_HOLD = (
    "Does the cooling hold, does the heater heat, and if not, why? The answer goes into a signed report."
)
WHAT_IS_ON_THE_BENCH = "What is on the bench?"
NONE_YET_A_CASE_CAN_ALSO_BE_DRAGGED = "None yet. A case can also be dragged into this window."
CHOOSE_OR_MAKE_A_JOB_BOOK = "Choose or make a job book..."
TITLE_OF_CHOOSING_A_JOB_BOOK = "Choose or make a job book"
UNSAVED_WORK_WAS_FOUND = "Unsaved work was found"
CASE_WITHOUT_A_FILE = "a case without a file"

# ui/window/workspace.py
CHECK_WAS_STOPPED = "The check was stopped. F5 works the answer out."
STOPPED_ODDS = "The check was stopped before its odds were worked out. F5 works them out."
DEFECT_OF_HEATDOCKET_KEPT_THE_CHECK = "A defect of Heatdocket kept the check from ending"
THIS_IS_THE_LAST_GOOD_ANSWER = "this is the last good answer"
THERE_IS_NO_ANSWER_YET = "there is no answer yet"
ENTRIES_HAVE_TO_MEND = "The entries have {mend} to mend; {last}."
