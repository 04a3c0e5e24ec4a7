"""The help of the command line: each subcommand and option."""

# ui/command/book_parser.py
BOOK_HELP = "the job book: cases kept, found again, and learned from"
JOB_BOOK_JOBBOOK = "the job book (*.jobbook); 'add' and 'import' make one"
PRINT_ONE_JSON_OBJECT_AND_NOTHING_ELSE = "print one JSON object and nothing else"
KEEP_CASES_WITH_THE_LOGS = "keep cases, with the logs, photographs and tables they name, and reports"
CASE_FILE_OR_A_REPORT_PDF = "a case file, or a report (PDF)"
JOB_THAT_THEY_BELONG_TO = "the job that they belong to; else it is told by the case"
JOBS_IN_WHICH_EVERY_WORD = "the jobs in which every word, or its beginning, is met; the newest first"
ANY_WORD_OF_THE_JOB = "any word of the job; without one, all jobs"
ONLY_JOBS_THAT_ARE_NOT_CLOSED_BY_AN_OUTCOME = "only jobs that are not closed by an outcome"
HOW_MANY_AT_MOST = "how many at most; else 50"
EVERYTHING_OF_ONE_JOB = "everything of one job; its reports are verified anew"
NUMBER_OF_THE_JOB = "the number of the job"
WRITE_ITS_NEWEST_CASE_TO_THIS_NEW_FILE = "write its newest case to this new file"
EVERY_VISIT_OF_A_JOBS_VEHICLE = "every visit of a job's vehicle: warm-ups, how it ended"
NUMBER_OF_ONE_OF_ITS_JOBS = "the number of one of its jobs"
WITHOUT_WHAT_EACH_RECORDS_FIT_SAYS = "without what each record's fit says of the valve, which takes seconds"
UNITS_OF_THE_WORDS = "units of the words"
TAKE_OUT_A_CUSTOMER_WITH_EVERYTHING = "take out a customer with everything that is theirs, for good"
KEEP_THEIR_SIGNED_REPORTS = "keep their signed reports, and say why, such as a law that asks for it"
KEEP_EVERY_CASE = "keep every case, report and log in a folder and those below it"
FOLDER_TO_READ = "the folder to read"
WRITE_THE_WHOLE_BOOK_AS_FILES = "write the whole book as files"
FOLDER_TO_MAKE = "the folder to make; it must not exist yet"
WRITE_A_WHOLE_COPY_OF_THE_BOOK = "write a whole copy of the book, beside those made each day"
FILE_TO_WRITE = "the file to write"
PUT_A_BACKUP_IN_THE_BOOKS_PLACE = "put a backup in the book's place; close the book elsewhere first"
HOW_A_JOB_ENDED = "how a job ended: what was found at fault, and whether it is cured"
CAUSE_AS_DIAGNOSE_JSON_HAS_IT = "the cause, as 'diagnose --json' has it; healthy for none"
WHAT_WAS_REPLACED_OR_PUT_RIGHT = "what was replaced or put right"
WORKSHOPS_OWN_BASE_RATES = "the workshop's own base rates, from its confirmed outcomes"
OF_THIS_REASON_FOR_THE_VISIT = "of this reason for the visit; else of each"
OF_THIS_CLASS_OF_VEHICLE = "of this class of vehicle, where enough"
OF_WHAT_THE_PROGRAM_CLAIMED = "of what the program claimed, how much came true on these jobs"
WRITE_IT_AS_A_PDF_TOO = "write it as a PDF too"
SIGNS_THE_PDF_WITH_THIS_IDENTITY = "signs the PDF with this identity"
WRITE_OVER_A_PDF_THAT_EXISTS = "write over a PDF that exists; never over what is read"
WRITE_THE_CONFIRMED_OUTCOMES = "write the confirmed outcomes, anonymised, for another workshop"
FILE_TO_WRITE_JSON_LINES = "the file to write (JSON Lines); it must not exist yet"
SIGNS_THE_FILE = "signs the file; the signature lies beside it"
READ_IN_THE_OUTCOMES_OF_ANOTHER_WORKSHOP = "read in the outcomes of another workshop"
FILE_THAT_GIVE_WROTE = "a file that 'give' wrote"
HOW_MUCH_ONE_COUNTS_BESIDE_ONES_OWN_JOB = "how much one counts beside one's own job, to 1; else 0.3"
WAS_GIVEN_A_WHOLE_NUMBER_FROM_1_ON_WOULD_DO = "'{text}' was given; a whole number from 1 on would do"

# ui/command/known_parser.py
KNOWN_HELP = "whom you know: people whose fingerprint you compared, issuers and clocks whose word counts"
EVERYBODY_WITH_FINGERPRINTS_AND_SINCE_WHEN = "everybody, with fingerprints and since when"
KNOW_THE_SIGNER_OF_A_REPORT = "know the signer of a report, whose fingerprint you compared"
INTACT_REPORT_THAT_THEY_SIGNED = "an intact report that they signed"
AS_THEY_GAVE_IT_TO_YOU_ANOTHER_WAY = (
    "as they gave it to you another way, by telephone or on a card; not as the report shows it"
)
UNDER_WHICH_YOU_KNOW_THEM = "under which you know them; else as the certificate says"
TAKE_AN_AUTHORITYS_WORD_ON_WHO_PEOPLE_ARE = "take an authority's word on who people are"
TAKE_AN_AUTHORITYS_WORD = "take an authority's word on when something was signed"
ITS_ROOT_CERTIFICATE = "its root certificate, PEM or DER"
FORGET_WHOEVER_HAS_A_FINGERPRINT = "forget whoever has this fingerprint"
AS_KNOWN_LIST_SHOWS_IT = "as 'heatdocket known list' shows it, in quotation marks"

# ui/command/parser.py
IS_MISSING_HELP_SHOWS_WHAT_BELONGS_HERE = "\\1 is missing; --help shows what belongs here"
DOES_NOT_BELONG_HERE = "'\\1' does not belong here; --help shows what does"
WAS_GIVEN_A_WHOLE_NUMBER_WOULD_DO = "\\1: '\\2' was given; a whole number would do"
WAS_GIVEN_ONE_OF_3_WOULD_DO = "\\1: '\\2' was given; one of \\3 would do"
NEEDS_A_VALUE_BEHIND_IT = "\\1 needs a value behind it"
HEAT_AND_FLOW_CHECKS_OF_ENGINE_COOLING = (
    "Heat-and-flow checks of engine cooling and cabin heating. Without a subcommand the desktop opens; a case file "
    "as the only argument opens in it."
)
FROM_A_SOURCE_TREE_THAT_IS_NOT_INSTALLED = "from a source tree that is not installed"
WRITE_OVER_A_FILE_THAT_EXISTS = "write over a file that exists; never over what is read"
CASE_FILE_HEATCASE_JSON = "a case file (*.heatcase.json)"
UNITS_OF_THE_WORDS_AND_THE_PAPER = "units of the words and the paper"
VERDICT_FOR_EVERY_DUTY_OF_A_CASE = "the verdict for every duty of a case, with its reasons"
HOW_SURE_EACH_DUTY_IS = "how sure each duty is, to stated digits: intervals of the results, what to measure next"
LAP_AS_CSV = (
    "a lap as CSV, checked as duties that go round, below those of the case; its columns: time [s], speed [km/h], "
    "throttle [%%] and, where it was logged, engine speed [rpm]"
)
USUAL_DUTY_CHECKED_BELOW_THOSE_OF_THE_CASE = "a usual duty, checked below those of the case; may be given again"
WRITE_THE_CASE_WITH_THE_ADDED_DUTIES_IN_IT = "write the case with the added duties in it"
WARM_UP_THE_CURVE = "the warm-up: the curve, times to temperature, and the record beside it"
CAUSES_WITH_THEIR_ODDS = "causes with their odds, what carries them, and the next check worth making"
WHICH_VISITS_READINGS = "which visit's readings; else the latest in which something was read or seen"
REASON_FOR_THE_VISIT_WHOSE_BASE_RATES_COUNT = "the reason for the visit whose base rates count; else the case's own"
BASE_RATE_OF_YOUR_OWN_IN_PLACE = "a base rate of your own in place of the built-in one; may be given again"
WORKSHOPS_OWN_BASE_RATES_FROM_THIS_JOB_BOOK = (
    "the workshop's own base rates from this job book; the odds are kept with the job of this case"
)
TRY_TWO_FAULTS_AT_ONCE_AMONG = "try two faults at once among the leading ones"
OF_THE_DRAWS = "of the draws; the same seed gives the same odds"
WITH_BOOK_EXPECT_OF_THE_VEHICLE_WHAT = (
    "with --book: expect of the vehicle what its class shows, not what its own healthy record shows"
)
WHAT_WOULD_HOLD_THE_LIMIT = "what would hold the limit: changes ranked by gain, and what limits"
NUMBER_OF_THE_DUTY_TO_BE_MENDED = "the number of the duty to be mended; else the worst"
PARTS_TO_CHOOSE_FROM = "parts to choose from, one row each, beside the case's own; may be given again"
TABLE_OF_PARTS_TO_FILL_IN = (
    "write a table of parts to fill in, and nothing else: KIND is cores, fans, pumps, caps or coolers"
)
PARTS_OF_THE_TABLES_TO_LAY_SIDE = (
    'parts of the tables to lay side by side over every duty, up to six, by name: "name1, name2"; "" for the first '
    "six; else those that the case names"
)
ROOM_THERE_IS_FOR_A_CORE = (
    'the room for a core, height x width x depth, such as "450 x 650 x 60 mm"; else the room that the case states. '
    "The least core that holds every duty is sought in it"
)
WHAT_OF_THE_CORE_IS_TO_BE_LEAST = "what of the core is to be least; else volume"
PART_OF_THE_TABLES_THAT_WRITE_PUTS = "the part of the tables that --write puts into the case"
WRITE_THE_CASE_WITH_THE_LEAST_CORE_IN_IT = (
    "write the case with the least core in it, or with the part of --adopt; the file must not exist"
)
WHAT_THE_MIXTURE_STANDS = "what the mixture stands, what to drain and fill in, trapped air, how to bleed"
PDF_REPORT_OF_A_CASE = "the PDF report of a case, signed when an identity is given"
FOR_WHOM_THE_REPORT_IS = "for whom the report is; else as the case says why the vehicle is here"
WHAT_STANDS_BEHIND_THE_REPORT_ITSELF = (
    "what stands behind the report itself; else full for a lesson, short for any other"
)
SHOPS_NAME_CONTACT_AND_LOGO = "the shop's name, contact and logo; else the shop that the case names"
SIGNS_WITH_THIS_IDENTITY = "signs with this identity; its password is asked for, or read from HEATDOCKET_PASSWORD"
ASKS_THIS_SERVER = (
    "asks this server, and no other, for a timestamp of the signature; it is sent a digest and no word more"
)
WITH_A_TIMESTAMP_SERVER = (
    "with a timestamp server: the time alone (PAdES B-T), with the data that checks certificates (B-LT), or that "
    "under a timestamp too (B-LTA); else the time alone"
)
LEAVE_CUSTOMER_AND_VEHICLE = "leave customer and vehicle out of the carried case"
CAUSES_BY_THE_WORKSHOPS_OWN_BASE_RATES = "the causes by the workshop's own base rates from this job book"
SAY_WHAT_MAY_BE_BEHIND_IT_WITH_ODDS = (
    "say what may be behind it with odds, from the readings, which takes some seconds; else for a complaint"
)
WHICH_VISITS_CAUSES = "which visit's causes; else the latest in which something was read or seen"
SIGNING_IDENTITY_KEPT_IN_A_FILE = (
    "a signing identity, kept in a file under a password: made with --name and --credential, shown, renewed; "
    "without a file, those made or opened here"
)
ITS_FILE_TO_MAKE_ONE_IT_MUST_NOT_EXIST_YET = "its file; to make one it must not exist yet"
OF_A_NEW_ONE = "of a new one: the signer's name as it stands on the report"
OF_A_NEW_ONE_WHAT_THE_SIGNER_IS = "of a new one: what the signer is; printed as stated by the signer"
MAKE_A_FILE_THAT_NAMES_THE_HARDWARE = (
    "make a file that names the hardware token which this PKCS#11 library of its maker reaches; the PIN is asked "
    "for, or read from HEATDOCKET_PASSWORD, and kept nowhere"
)
LET_IT_HOLD_THREE_YEARS_MORE = "let it hold three years more, with the same key"
LOCK_IT_WITH_ANOTHER_PASSWORD = "lock it with another password; it is asked for, or read from HEATDOCKET_NEW_PASSWORD"
WHO_SIGNED_A_REPORT = (
    "who signed a report, whether it is intact, and the case that it carries; ends with 0 for intact only, 4 for "
    "broken, 5 for what nobody signed, 2 for what is no report"
)
REPORTS_OR_FOLDERS_OF_THEM = "reports, or folders of them"
WRITE_THE_CASE_THAT_THE_ONE_REPORT_CARRIES = "write the case that the one report carries"
WRITE_THE_CARRIED_CASE_EVEN_THOUGH = "write the carried case even though the report is not proven intact"
ADD_A_REVIEWERS_SIGNATURE_TO_AN_INTACT = "add a reviewer's signature to an intact signed report"
SIGNED_REPORT_IT_STAYS_AS_IT_IS = "a signed report; it stays as it is"
REVIEWERS_ITS_PASSWORD_IS_ASKED_FOR = "the reviewer's; its password is asked for, or read from HEATDOCKET_PASSWORD"
MANY_LOGS_JUDGED_AS_SCREENING = "many logs judged as screening, vehicles ranked by what to look at first"
LOGS_EACH_OF_ANOTHER_VEHICLE = (
    "logs, each of another vehicle, or folders; the logs in one folder below a named one are of one vehicle"
)
FOLDER_FOR_WHAT_IS_FOUND = "the folder for what is found"
JOB_BOOK_ITS_BASE_RATES = (
    "a job book: its base rates, and its vehicles for the logs that it knows; without LOG all of its logs"
)
CASE_THAT_SAYS_WHAT_THE_OTHER_VEHICLES_ARE = "a case that says what the other vehicles are"
PROCESSES_ELSE_ONE_FOR_EACH_CORE = "processes; else one for each core"
WRITE_A_CASE_WITH_ITS_NEWEST_LOG = (
    "write a case with its newest log for each of the first N vehicles, to be opened and gone on with"
)
JUDGE_ON_A_CLUSTER_OF_DASK_DISTRIBUTED = (
    "judge on a cluster of dask.distributed, such as tcp://10.0.0.5:8786; logs and cases are sent there "
    "unencrypted, so only within a network of your own; without it nothing leaves this machine"
)
VEHICLE_READ_LIVE_WHILE_IT_WARMS_UP = "a vehicle read live while it warms up, recorded and judged; or a log played so"
PRINT_ONE_JSON_OBJECT_TO_A_LINE_AS_IT_GOES = (
    'print one JSON object to a line as it goes, each with its "event": connected, value, mark, danger, answer, '
    "test_drive; and at the end one with the whole answer, end"
)
WHAT_THE_VEHICLE_IS = "what the vehicle is; else a usual one"
ADAPTER_A_SERIAL_PORT = (
    "the adapter: a serial port, tcp:HOST:PORT, or ble:NAME or ble:ADDRESS (Bluetooth low energy, needs "
    "heatdocket[ble]); or the vehicle's own bus, socketcan:can0 (needs heatdocket[can], and the interface up at "
    "the bus's rate). All of them were tried on simulated vehicles only"
)
OF_A_SERIAL_PORT = "of a serial port; else the usual ones in turn"
PLAY_THIS_LOG_IN_PLACE_OF_A_VEHICLE = "play this log in place of a vehicle"
OF_A_REPLAY = "of a replay: times as fast as it was"
END_AFTER_SO_LONG = "end after so long; else Ctrl-C ends it"
OF_WHICH_VISIT_IT_IS = "of which visit it is; else before, and after with --before"
RUN_BEFORE_THE_REPAIR = (
    "the run before the repair: its log, or a case that has it (a name that ends in .json). This run is laid over "
    "it as it grows, and the proof told when it stands. A CASE with a record before has one without this"
)
SECONDS_BETWEEN_TWO_ANSWERS = "seconds between two answers"
LOG_TO_BE_WRITTEN_AS_IT_IS_READ = "the log to be written as it is read"
WRITE_THE_CASE_WITH_THIS_READING = (
    "write the case with this reading as its record, and with what was typed; in the folder of the log"
)
TAKE_LINES_THAT_ARE_TYPED = (
    'take lines that are typed meanwhile, such as "upper hose 60"; else done where a person is at the terminal'
)
READ_NOTHING_ONLY_PLAN_THE_TEST_DRIVE = (
    "read nothing: only plan the test drive that would settle the most; from a cold start, or on from the end of "
    "the log in the case"
)
PLAN_THE_DRIVE_BEFORE_THE_START = (
    "plan the drive before the start and again while something is open; else done for a vehicle, not a replay"
)
VERSIONS_LICENCES_SOURCES = "versions, licences, sources, where things are kept; crashes that were kept"
REPORT_OF_CRASHES = "the report of crashes, for support"
EVERY_INPUT_THAT_A_CASE_MAY_HOLD = "every input that a case may hold, with its units, limits and default"
PRINT_THE_JSON_SCHEMA_OF_THE_CASE_FILE = "print the JSON Schema of the case file instead"
MEASURED_POINTS_AND_PROBLEMS = "measured points and problems of a bench exchanger, a class's table in and out"
TAKE_THE_POINTS_FROM_THIS_TABLE = "take the points from this table, in place of the case's own"
WRITE_THE_CASE_WITH_THESE_POINTS = "write the case with these points"
WRITE_THE_POINTS_AS_A_TABLE = "write the points as a table"
CHARTS_OF_ONE_DUTY = "the charts of one duty: where its point lies, what short ways cost"
WHICH_DUTY_ELSE_THE_FIRST = "which duty; else the first"
PROBLEM_SHEETS_WITH_KEYS_FOR_A_CLASS = "problem sheets with keys for a class, and a class's answers marked"
WHAT_THE_PROBLEM_IS_ABOUT = "what the problem is about; --list names all"
TOPICS_THAT_THERE_ARE = "the topics that there are"
OF_THE_NUMBERS = "of the numbers; the same seed gives the same sheets"
CLASS_LIST_ONE_NAME_TO_A_ROW = "a class list, one name to a row: each person gets numbers of their own"
UNITS_OF_THE_PROBLEM_AND_ITS_WORKING = "units of the problem and its working"
TWO_SETS_OF_SYMBOLS = "A: q, h, k, U, C, ε, T; B: Q with a dot, α, λ, k, W with a dot, Φ, ϑ"
NUMBER_OF_YOUR_OWN_IN_PLACE_OF_THE_DRAWN_ONE = (
    "a number of your own in place of the drawn one, in the sheet's unit, such as m_h=0.5; again for another. "
    "A=? asks for that number; a result, such as q=42000, may then be given in its place"
)
MARK_THESE_ANSWERS_AND_NAME_LIKELY_SLIPS = "mark these answers and name likely slips"
WRITE_SHEET_AND_KEY_AS_PDF_AND_JSON = "write sheet and key as PDF and JSON into this folder"
