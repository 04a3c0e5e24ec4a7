"""The job book in the window."""

# ui/window/job_book/actions.py
THIS_JOB_CANNOT_BE_OPENED = "This job cannot be opened"
CASE_WAS_NOT_KEPT_IN_THE_JOB_BOOK = "The case was not kept in the job book"
JOB_BOOK_CANNOT_BE_READ = "The job book cannot be read"

ALL_THAT_IS_KEPT_OF_JOB = "All that is kept of job {job}"
THIS_CASE_IS_NOT_IN_THE_JOB_BOOK = "This case is not in the job book yet. Keep it first: Ctrl+K."

# ui/window/job_book/book_dialog.py
SHOW_THE_RATES_WITH_KEY = "Sho&w the rates…"
WORKSHOPS_OWN_BASE_RATES = "The workshop's own base rates"
WEIGHT_OF_THEIRS_WITH_KEY = "How &much one of theirs counts beside one of ours, over 0 and at most 1"
NUMBER_OVER_0_AND_AT_MOST_1 = "A number over 0 and at most 1 would do."
OUTCOME_KINDS = "Outcomes (*.jsonl);;All files (*)"
OPEN_OR_MAKE_A_JOB_BOOK = "Open or make a job book"
TAKE_OUT_WITH_ALL_JOBS = "Take out {customer} with all jobs, cases, logs and reports? It cannot be undone."
TAKE_OUT_A_CUSTOMER = "Take out a customer"
WRITE_A_COPY_OF_THE_JOB_BOOK = "Write a copy of the job book"
PUT_THIS_COPY_IN_THE_JOB_BOOKS_PLACE = "Put this copy in the job book's place"
OUTCOMES_OF_ANOTHER_WORKSHOP = "Outcomes of another workshop"
JOB_BOOKS_FILE_WITH_KEY = "The job &book's file"
ITS_NAME_ENDS_IN = "Its name ends in {suffix}"
USE_THE_WORKSHOPS_OWN_BASE_RATES_WITH_KEY = "Use the workshop's &own base rates"
PUT_A_COPY_BACK_WITH_KEY = "Put a cop&y back…"
OUTCOMES_OF_ANOTHER_WORKSHOP_WITH_KEY = "Outcomes of another workshop, by the &name of who gave them"
PASSWORD_OF_THE_SIGNING_IDENTITY_WITH_KEY = "&Password of the signing identity; empty: not signed"
OURS_ALONE_ARE_SIGNED = "Ours alone are signed"
TAKE_OUT_A_CUSTOMER_WITH_EVERYTHING_WITH_KEY = "Take out a cu&stomer with everything that is theirs"
KEEP_THEIR_SIGNED_REPORTS_BECAUSE_WITH_KEY = "&Keep their signed reports because"
SUCH_AS_A_LAW = "Such as a law; empty: they go too"
NAME_A_FILE = "Name a file: one that is there is opened, a new name makes a new book."
THIS_JOB_BOOK_IS_USED_FROM_NOW_ON = "This job book is used from now on: {path}"
KEEP_EVERY_CASE = "Keep every case, report and log of this folder"
WHERE_THE_FOLDER_OF_THE_EXPORTED_BOOK = "Where the folder of the exported book is to be made"
THERE_IS_NO_SIGNING_IDENTITY_YET = "There is no signing identity yet: make one under Signing identity."
TYPE_WHO_GAVE_THEM = "Type who gave them."
TYPE_THE_WHOLE_NAME_OF_THE_CUSTOMER = "Type the whole name of the customer."

# ui/window/job_book/history_dialog.py
RECORDS_OF_THIS_VEHICLE = "Records of this vehicle"

# ui/window/job_book/honesty_dialog.py
WITHOUT_AN_IDENTITY_THE_PAGE_IS_A_DRAFT = "Without an identity the page is a draft, and it says DRAFT."
PAGE_AS_A_PDF_WITH_KEY = "&Page as a PDF"
WRITE_THE_PAGE_AS = "Write the page as"
PASSWORD_OF_THE_IDENTITY_WITH_KEY = "Pass&word of the identity"
NAME_THE_FILE_TO_WRITE = "Name the file to write."

# ui/window/job_book/job_list.py
SEARCH_LABEL = "&Find a job by any word"
SEARCH_HELP = "Customer, registration, complaint, part: any word of the job"

# ui/window/job_book/outcome_dialog.py
HOW_JOB_ENDED = "How job {job} ended"
WHAT_WAS_REPLACED_OR_PUT_RIGHT_WITH_KEY = "What was &replaced or put right"
IN_A_FEW_WORDS = "In a few words; it may stay empty"
WHAT_WAS_FOUND_AT_FAULT_WITH_KEY = "What was &found at fault"
HOW_THAT_WAS_CONFIRMED_WITH_KEY = "How that was &confirmed"

# ui/window/job_book/screening_dialog.py
FOLDER_OF_LOGS = "The folder of logs"
USE_THE_JOB_BOOK_WITH_KEY = "Use the job &book"
CASE_THAT_SAYS_WHAT_THE_OTHER_VEHICLES_ARE_WITH_KEY = "&Case that says what the other vehicles are, if any"
CASE_OF_SUCH_A_VEHICLE = "A case of such a vehicle"
CASE_OF_SUCH_A_VEHICLE_SHORT = "Case of such a vehicle"
FOLDER_FOR_WHAT_IS_FOUND_WITH_KEY = "Folder for what is &found"
FOLDER_FOR_TABLE = "The folder for table, paper and answers"
FOLDER_FOR_WHAT_IS_FOUND = "Folder for what is found"
HOW_FAR_THE_SCREENING_IS = "How far the screening is"
VEHICLES_BY_WHAT_TO_LOOK_AT_FIRST = "Vehicles by what to look at first"
