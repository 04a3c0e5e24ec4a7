"""What is said of the document, its recovery and what the program runs with."""

# ui/about.py
WHAT_IT_IS = "Heat-and-flow checks of engine cooling and cabin heating, from readings to a signed report."
WHAT_IT_IS_NOT = "It does not replace the maker's data, local rules or a licensed practitioner: those come first."
OWN_LICENCE = "MIT. The type in window and report is DejaVu Sans, under the licence of Bitstream Vera."
EACH_REPORT_ENDS_WITH_THE_SOURCES = (
    "Each report ends with the sources of its numbers. The view Working names the source of each formula. The "
    "properties of fluids are fitted to CoolProp."
)
TITLE_OF_WHAT_IT_IS_NOT = "What it is not"
WHERE_IT_KEEPS_THINGS = "Where it keeps things"
WHAT_IT_RUNS_WITH = "What it runs with, its licences and sources"
PACKAGES_ARE_NOT_INSTALLED_IN_THE_USUAL_WAY = "The packages are not installed in the usual way."
LICENCE_IN_ITS_OWN_FOLDER = "licence in its own folder"

# ui/carrying.py
FILE_THAT_GOES_WITH_THE_CASE = "a file that goes with the case"
NO_FREE_NAME_FOR_ITS_COPY_BESIDE = "no free name for its copy beside the case was found; copy it there yourself"
NO_FOLDER_CAN_BE_MADE_HERE = "no folder can be made here ({strerror})"

# ui/crashes.py
ABOUT_REPORT = (
    "What failed and where in the program. No entry of a case, no name and no place of a file stands in it. "
    "Nothing is sent: copy it where you wish to send it."
)
NO_CRASHES = "No crash was kept."
HEATDOCKET_PYTHON_QT = "Heatdocket {value}, Python {python_version}, Qt {value_2}, {system} {machine}"

# ui/document.py
CHANGE_BASIS_OF = "Change basis of {label_of}"
CHOOSE_WHERE_THE_CASE_IS_TO_BE_SAVED = "choose where the case is to be saved"
ANOTHER_WINDOW_OR_PROGRAM_SAVED = "another window or program saved this case since it was opened here"

# ui/recovery.py
UNSAVED_WORK_CANNOT_BE_KEPT_THERE = "unsaved work cannot be kept there ({strerror}); save the case elsewhere"

# ui/trusting.py
THIS_IDENTITY_HAS_ENDED_ON = "This identity has ended on {when}"
THIS_IDENTITY_ENDS_ON = "This identity ends on {when}, in {left} days"
RENEW_IT_UNDER_SIGNING_IDENTITY = (
    "{ends}. Renew it: under Signing identity, or with heatdocket identity FILE.p12 --renew."
)
ONLY_FROM_AN_INTACT_SIGNED_REPORT = "only from an intact signed report is a signer taken"
NOBODY_SIGNED_THIS_REPORT_WITH_A_KEY = (
    "nobody signed this report with a key of that fingerprint; it is not from the person who gave it to you"
)
BY_ANOTHER_KEY_THAN_THE_PERSON = "{signer}, BY ANOTHER KEY than the person of this name whom you know"
KNOWN_TO_YOU_SINCE = "{signer}, known to you since {since:%Y-%m-%d}"
THIS_FOLDER_HOLDS_NO_PDF_FILE = "this folder holds no PDF file; name one that does, or a report"
THERE_ARE_MORE_THAN_REPORTS = "there are more than {most_reports} reports; name a smaller folder"
