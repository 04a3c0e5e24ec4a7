"""What is said of the job book and of a screening."""

# ui/book/contents.py
JOB_BOOK_KEEPS_NO_FILE_WITH_THIS_CONTENT = "the job book keeps no file with this content"
THIS_FILE_IS_DAMAGED_IN_THE_JOB_BOOK = "this file is damaged in the job book; restore a backup of the book"

# ui/book/copies.py
BACKUP_CANNOT_BE_WRITTEN = "the backup cannot be written ({strerror})"
BACKUP_CANNOT_BE_WRITTEN_CHOOSE = "the backup cannot be written ({error}); choose another place"
DAILY_BACKUP_CANNOT_BE_WRITTEN = "the daily backup cannot be written ({strerror})"
BOOK_CANNOT_BE_RESTORED = "the book cannot be restored ({strerror})"
THERE_IS_NO_SUCH_FILE = "there is no such file; name a backup of a job book"
THIS_BACKUP_IS_DAMAGED = "this backup is damaged; take another"
THIS_IS_NO_BACKUP_OF_A_JOB_BOOK = "this is no backup of a job book"

# ui/book/folders.py
THERE_IS_NO_SUCH_FOLDER = "there is no such folder"
FILE_OR_FOLDER_OF_THIS_NAME_IS_THERE_ALREADY = "a file or folder of this name is there already; name a new one"
FOLDER_CANNOT_BE_MADE = "the folder cannot be made ({strerror})"

# ui/book/forgetting.py
WHOLE_NAME_OF_A_CUSTOMER_OF_THIS_BOOK = "the whole name of a customer would do, as a job of this book has it"
CUSTOMER_CANNOT_BE_TAKEN_OUT_OF_THIS_BACKUP = "the customer cannot be taken out of this backup ({error}); delete it"

# ui/book/history.py
CASE_OF_JOB = "the case of job {job}"

# ui/book/jobs.py
NUMBER_OF_A_JOB_OF_THIS_BOOK_WOULD_DO = "the number of a job of this book would do; a search tells it"

# ui/book/laid_out.py
FOLDER_CANNOT_BE_DELETED = "the folder cannot be deleted ({strerror}); delete it"

# ui/book/own_history.py
NO_EARLIER_RECORD_THAT_WAS_CONFIRMED = "no earlier record that was confirmed as healthy"
REPAIRED_SINCE_ITS_LAST_HEALTHY_RECORD = "repaired since its last healthy record"
NOTHING_WAS_MEASURED_OVER_TIME = "nothing was measured over time"
RECORD_CANNOT_BE_READ = "the record cannot be read"

# ui/book/reports.py
THIS_REPORT_CARRIES_NO_CASE_THAT_TELLS = "this report carries no case that tells its job; name the job with --job"
NUMBER_OF_A_REPORT_OF_THIS_BOOK_WOULD_DO = "the number of a report of this book would do"

# ui/book/sharing.py
FILE_OF_OUTCOMES = "a file of outcomes"
NAME_OF_WHO_GAVE_THEM_WOULD_DO = "the name of who gave them would do"
NUMBER_OVER_0_AND_AT_MOST_1_WOULD_DO = "a number over 0 and at most 1 would do"
FILE_IS_NOT_UTF_8_TEXT_BYTE = "the file is not UTF-8 text (byte {start})"
FIRST_LINE_OF_A_FILE_OF_OUTCOMES_READS = 'the first line of a file of outcomes reads {{"format": "{format}"}}'
IT_IS_NOT_JSON = "it is not JSON"
IT_HAS_NOT_ALL_OF_THESE_KEYS_WITH_TEXTS = "it has not all of these keys with texts: {keys}"
IS_NO_CAUSE_THAT_THIS_PROGRAM_KNOWS = "{cause!r} is no cause that this program knows"
CONFIRMED_OR_CURED_IS_NONE = "'confirmed' or 'cured' is none of the words of this format"
IT_IS_NOT_CONFIRMED = "it is not confirmed"

# ui/book/store.py
THERE_IS_NO_JOB_BOOK_OF_THIS_NAME = "there is no job book of this name; 'heatdocket book BOOK add CASE' makes one"
THIS_IS_ANOTHER_PROGRAMS_DATABASE = "this is another program's database and no job book; name a job book"
JOB_BOOK_WAS_WRITTEN_BY_A_NEWER = (
    "the job book was written by a newer program (version {found}); this one reads {newest}"
)
JOB_BOOK_CANNOT_BE_OPENED = "the job book cannot be opened ({strerror}); choose another place"
THIS_IS_NO_JOB_BOOK = "this is no job book; name a job book"
JOB_BOOK_IS_DAMAGED = "the job book is damaged; 'heatdocket book BOOK restore FILE' puts a backup in its place"
ANOTHER_WINDOW_HAS_BEEN_WRITING = "another window has been writing to the job book for {wait:.0f} s; try again"
JOB_BOOK_CANNOT_BE_USED = "the job book cannot be used ({text}); try again, or choose another place"

# ui/book/told.py
OTHER_JOBS_OF_THIS_VEHICLE = "Other jobs of this vehicle: "

# ui/screening/asked.py
AT_LEAST_ONE_LOG = "at least one log, a folder with logs, or a job book with logs in it would do"

# ui/screening/crews.py
IT_DOES_NOT_ANSWER_ANY_MORE = "it does not answer any more; the same command goes on"
THIS_NEEDS_WHAT_BRINGS = "this needs what {extra} brings; without it, leave --scheduler out"
NO_SCHEDULER_ANSWERS_THERE = "no scheduler answers there; such as tcp://10.0.0.5:8786 would do"
SCHEDULER_HAS_NO_WORKER = "the scheduler has no worker; start one with 'dask worker ADDRESS'"
WORKER_THERE_CANNOT_RUN_HEATDOCKET = "a worker there cannot run Heatdocket ({error}); install it there"
WORKER_THERE_HAS_ANOTHER_VERSION = "a worker there has another version of Heatdocket; install the same one"

# ui/screening/run.py
DEFECT_OF_OURS = "a defect of ours, not of the log: {error!r}"
LINES_OF_THE_EARLIER_RUN_CANNOT_BE_READ = "the lines of the earlier run cannot be read ({strerror})"
WHAT_WAS_JUDGED_CANNOT_BE_WRITTEN = "what was judged cannot be written ({strerror})"
PROCESS_THAT_JUDGED_IT_CAME_TO_AN_END = (
    "the process that judged it came to an end; it may need more memory than there is"
)

# ui/screening/sources.py
THERE_IS_NO_SUCH_FILE_OR_FOLDER = "there is no such file or folder; name logs, or folders of logs"
