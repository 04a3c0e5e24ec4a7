"""The dialogs of the window."""

# ui/window/dialogs/background.py
WORK_BESIDE_THE_WINDOW = "work beside the window"
DEFECT_OF_HEATDOCKET_ENDED_THIS = "A defect of Heatdocket ended this ({name}: {error})."

# ui/window/dialogs/columns.py
SAY_WHAT_THE_COLUMNS_HOLD = (
    "Say what the columns hold; the time and the coolant temperature are needed at least. It is remembered for "
    "files with the same header."
)
TWO_COLUMNS_CANNOT_BOTH_BE = "Two columns cannot both be: {twice}."
NO_COLUMN_HOLDS_THE_COOLANT_TEMPERATURE_YET = "No column holds the coolant temperature yet."

# ui/window/dialogs/countersign.py
PDF_KINDS = "Reports (*.pdf);;All files (*)"
WHOEVER_REVIEWED_THIS_REPORT_MAY_SIGN_IT_TOO = (
    "Whoever reviewed this report may sign it too. The author's signature stays as it is, and so does this file: "
    "the countersigned report is written to another."
)
IDENTITY_OF_THE_REVIEWER_WITH_KEY = "&Identity of the reviewer"
COUNTERSIGN_WITH_THIS_IDENTITY = "Countersign with this identity"
IDENTITY_OF_THE_REVIEWER = "Identity of the reviewer"
PASSWORD_OF_THE_IDENTITY_WITH_KEY = "&Password of the identity"
WRITE_THE_COUNTERSIGNED_REPORT_TO = "Write the countersigned report to"
SAY_WHOSE_IDENTITY_SIGNS = "say whose identity signs"
FILE_OF_THIS_NAME_EXISTS_ALREADY = "a file of this name exists already; choose another"

# ui/window/dialogs/export.py
FOR_THE_CUSTOMER = "For the customer: what is wrong, in plain words"
FOR_SIZING_DUTIES = "For sizing: duties, limits, results and working"
FOR_A_LESSON = "For a lesson: every number worked"
NONE_THE_REPORT_ALONE = "None: the report alone"
SHORT_INPUTS_EVIDENCE = "Short: inputs, evidence, heat and flow"
FULL_WITH_THE_WORKING_AND_EVERY_INPUT = "Full: with the working and every input"
WITH_THE_TIME_ALONE_PADES_B_T = "With the time alone (PAdES B-T)"
WITH_THE_DATA_THAT_CHECKS_CERTIFICATES_B_LT = "With the data that checks certificates (B-LT)"
WITH_THAT_UNDER_A_TIMESTAMP_TOO_B_LTA = "With that under a timestamp too (B-LTA)"
NO_LETTERHEAD = "No letterhead: the shop that the case names heads the page."
WITHOUT_A_SIGNATURE_THE_REPORT_IS_A_DRAFT = "Without a signature the report is a draft, and every page says DRAFT."
SAY_WHAT_MAY_BE_BEHIND_IT_WITH_KEY = "Say what &may be behind it, with odds"
WORKED_OUT_FROM_THE_READINGS = "Worked out from the readings; it takes some seconds unless a view has done it"
LEAVE_OUT_NAMES_WITH_KEY = "&Leave out names, numbers and pictures"
REPORT_AND_CASE_INSIDE_IT_THEN_NAME = "Report and case inside it then name no customer, registration or the like"
SIGN_WITH_THIS_IDENTITY = "Sign with this identity"
MADE_UNDER_SIGNING_IDENTITY = "Made under Signing identity, or brought along (PKCS#12)"
NONE_YET_MAKE_ONE_WITH_KEY = "&None yet: make one…"
MAKE_A_SIGNING_IDENTITY = "Make a signing identity"
TIMESTAMP_SERVER_IF_ANY_WITH_KEY = "Timestamp ser&ver, if any"
ITS_ADDRESS_IT_IS_SENT_A_DIGEST = (
    "Its address; it is sent a digest of the signature and no word more. Without one nothing is asked"
)
HOW_LONG_THE_SIGNATURE_CAN_BE_CHECKED = "How long the signature can be checked"
WRITE_TO_THIS_FILE_WITH_KEY = "Write to this &file"
WRITE_THE_REPORT_TO = "Write the report to"
WHAT_THE_REPORT_HOLDS = "What the report holds"
IS_A_SIGNED_REPORT = "{name} is a signed report. Write over it?"
SIGNED_REPORT_IS_THERE_ALREADY = "A signed report is there already"
SAY_WHICH_IDENTITY_SIGNS = "say which identity signs, or export a draft"
WRITTEN_TO_SHA_256 = "{what} {report_id} written to {path}\nSHA-256 {in_groups}"
NO_PROGRAM_ON_THIS_MACHINE_TOOK_THE_FILE = "No program on this machine took the file; open it by hand."

# ui/window/dialogs/identity.py
SIGNING_IDENTITIES_P12_PFX_TOKEN_JSON = "Signing identities (*.p12 *.pfx *.token.json);;All files (*)"
FILES_THAT_NAME_A_TOKEN_TOKEN_JSON = "Files that name a token (*.token.json)"
PROGRAM_LIBRARIES_SO_DYLIB_DLL_ALL_FILES = "Program libraries (*.so *.dylib *.dll);;All files (*)"
SIGNING_IDENTITY_IS_A_FILE_THAT_ONLY = (
    "A signing identity is a file that only you can open. With it a report carries your name and shows any later "
    "change. Keep a copy in a safe place; a forgotten password cannot be recovered."
)
WORKING_A_NEW_KEY_AND_THE_LOCK = "Working. A new key and the lock on its file take some seconds."
AS_THE_REPORT_IS_TO_SHOW_IT = "As the report is to show it"
SUCH_AS_MASTER_TECHNICIAN = "Such as: Master technician, licence 1234"
AT_LEAST_LETTERS = "At least {password_letters} letters; it locks the file"
KEEP_IT_IN_THIS_FILE_WITH_KEY = "Keep it in this &file"
KEEP_THE_IDENTITY_IN = "Keep the identity in"
IDENTITY_FILE_TO_MAKE = "Identity file to make"
ENDS_IN_P12 = "Ends in .p12; the file must not exist yet"
FILE_OF_THE_IDENTITY_WITH_KEY = "&File of the identity"
IDENTITY_FILE_TO_OPEN = "Identity file to open"
PKCS_12_FILE = "A PKCS#12 file, often .p12 or .pfx"
PASSWORD_OF_THE_IDENTITY_FILE = "Password of the identity file"
AT_LEAST_SO_MANY_LETTERS = "At least {password_letters} letters"
LIBRARY_OF_THE_TOKENS_MAKER_WITH_KEY = "&Library of the token's maker"
LIBRARY_THAT_REACHES_THE_TOKEN = "The library that reaches the token"
LIBRARY_OF_THE_TOKEN = "Library of the token"
IT_SPEAKS_PKCS_11 = "It speaks PKCS#11; your administrator installed it"
PIN_OF_THE_TOKEN_WITH_KEY = "P&IN of the token"
IT_TAKES_THE_PLACE_OF_THE_PASSWORD = "It takes the place of the password, and is kept nowhere"
FILE_THAT_NAMES_THE_TOKEN_WITH_KEY = "File that &names the token"
KEEP_THE_TOKENS_NAME_IN = "Keep the token's name in"
FILE_TO_MAKE_THAT_NAMES_THE_TOKEN = "File to make that names the token"
NEITHER_KEY_NOR_PIN_IS_IN_IT = "Neither key nor PIN is in it; sign with it as with any identity"
MAKE_OR_BRING_AN_IDENTITY = "Make or bring an identity"
ONE_THAT_AN_AUTHORITY_ISSUED_TO_YOU = "One that an authority issued to you, or one made here before."
TO_LOCK_IT_WITH_ANOTHER_PASSWORD = "To lock it with another password:"
BRING_RENEW_OR_LOCK_ONE = "Bring, renew or lock one"
ONE_WHOSE_KEY_LIES_ON_A_HARDWARE_TOKEN = "One whose key lies on a hardware token and never leaves it."
TWO_PASSWORDS_DIFFER = "the two passwords differ"
SAY_WHERE_TO_KEEP_IT = "say where to keep it"
STATED_BY_THE_SIGNER = ", {credential} (stated by the signer)"
MADE_BY_ITS_HOLDER = "made by its holder, vouched for by nobody else"
ISSUED_BY_AN_AUTHORITY = "issued by an authority"
HOW_OTHERS_CHECK_IT = "How others check it: {how_to_check}"

# ui/window/dialogs/known.py
ROOT_KINDS = "Certificates (*.pem *.crt *.cer *.der);;All files (*)"
DID_THE_SIGNER_GIVE_YOU = (
    "Did the signer give you the fingerprint another way, by telephone or on a card? Type it here, and this "
    "program knows the signer from now on. Do not copy it from above: that would prove nothing."
)
YOU_KNOW_PEOPLE_BY_FINGERPRINTS = (
    "You know people by fingerprints that you compared with them yourself. Of an issuer you believe the names, of "
    "a clock the times, and nothing else."
)
NOBODY_IS_KNOWN_YET = "Nobody is known yet."
FINGERPRINT_FROM_THE_SIGNER_WITH_KEY = "&Fingerprint from the signer"
SIXTEEN_GROUPS_OF_FOUR = "Sixteen groups of four"
NAME_UNDER_WHICH_YOU_KNOW_THEM_WITH_KEY = "&Name under which you know them"
PEOPLE_AND_AUTHORITIES_YOU_KNOW = "People and authorities you know"
ISSUER_WHOSE_WORD_ON_NAMES_COUNTS = "An issuer whose word on names counts"
CLOCK_WHOSE_WORD_ON_TIMES_COUNTS = "A clock whose word on times counts"
YOUR_IDENTITY_VALID_TO = "Your identity: {name}, valid to {not_after:%Y-%m-%d}, kept in {path}\n{fingerprint}"

# ui/window/dialogs/letterhead.py
PICTURES_PNG_JPG_JPEG_ALL_FILES = "Pictures (*.png *.jpg *.jpeg);;All files (*)"
LOGO_HELP = "A PNG or JPEG picture of at most 5 MB; it is made small for the paper"
NAME_OF_THE_SHOP_WITH_KEY = "&Name of the shop"
ADDRESS_TELEPHONE_OR_MAIL_WITH_KEY = "&Address, telephone or mail"
ADDRESS_TELEPHONE_OR_MAIL = "Address, telephone or mail"

# ui/window/dialogs/preview.py
PREVIEW_OF_THE_REPORT = "Preview of the report"

# ui/window/dialogs/verify.py
CHECK_A_SIGNED_REPORT = "Check a signed report"
PDF_MADE_HERE_OR_BY_SOMEONE_ELSE = (
    "A PDF made here or by someone else; it may also be dropped on this window. A folder is checked whole"
)
SAVE_ITS_CASE_AS_WITH_KEY = "&Save its case as"
PLACE_FOR_THE_CASE = "Place for the case"
CASE_THAT_THE_REPORT_CARRIES = "The case that the report carries, byte for byte"
SAVE_IT_ALTHOUGH_THE_REPORT_WITH_KEY = "S&ave it although the report is not proven intact"
SAVE_AND_OPEN_IT_WITH_KEY = "Save and &open it"
REPORT_AND_WHAT_WAS_FOUND = "Report and what was found"
GOES_WITH_IT_AND_EXISTS_THERE_ALREADY = "{taken} goes with it and exists there already; choose another folder"
CASE_WAS_SAVED_AS = "The case was saved as {path}{with_it}."

# ui/window/dialogs/worksheet.py
LISTS_CSV_TXT_ALL_FILES = "Lists (*.csv *.txt);;All files (*)"
ONE_PROBLEM_WITH_NUMBERS_OF_THEIR_OWN = (
    "One problem, with numbers of their own for each name. The same seed gives the same sheets."
)
NAMES_HELP = "One name to a line, typed or pasted; each gets numbers of their own. Leave it empty for one sheet"
NUMBERS_HELP = "In place of drawn ones, in the units of the sheet, such as: m_h = 0.5; T_h,in = 90"
NUMBERS_OF_THIS_TOPIC = (
    "This topic takes {names}. Those left out are drawn. To ask for one of them write it so: {asked} = ?. "
    "A result may then be given in its place: {results}."
)
SHEET_IS_BEING_MADE = "The sheet is being made."
KEY_IS_BEING_MADE = "The key is being made."
NO_SHEET_OF_WHAT_STANDS_TYPED = "No sheet: look at what is wrong in the entries."
WRITE_THE_SHEETS_INTO = "Write the sheets into"
NUMBERS_OF_YOUR_OWN_WITH_KEY = "Numbers of your o&wn"
OR_OPEN_A_CLASS_LIST_WITH_KEY = "Or &open a class list"
WRITE_INTO_THIS_FOLDER_WITH_KEY = "Write into this &folder"
FOLDER_FOR_THE_SHEETS = "Folder for the sheets"
ANSWERS_THAT_CAME_BACK_WITH_KEY = "Answers that came &back"
TABLE_THAT_WAS_WRITTEN_WITH_THE_SHEETS = "The table that was written with the sheets, filled in"
WHAT_THE_PREVIEW_SHOWS = "What the preview shows"
WHAT_THE_WORKSHEET_HOLDS = "What the worksheet holds"
FOLDER_IS_WANTED_HERE = "A folder is wanted here"
TABLE_OF_ANSWERS_IS_WANTED_HERE = "A table of answers is wanted here"
