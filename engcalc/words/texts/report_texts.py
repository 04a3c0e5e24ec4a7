"""What is said of signing, identities, letterheads and pictures."""

# reports/build.py
TIME_WITH_ITS_TIME_ZONE_IS_WANTED = "a time with its time zone is wanted"

# reports/carried.py
LOG_OR_A_TABLE = "a log or a table"

# reports/identity.py
NAME_MISSING = "type your name as the report is to show it"
CREDENTIAL_MISSING = "type what you are, such as: Master technician, licence 1234. It is printed as stated by you"
CHECK_PASSWORD = "Check capitals and keyboard layout. A damaged file looks the same"
NOT_AN_IDENTITY_FILE = "not an identity file; a PKCS#12 file, often named .p12 or .pfx, is wanted"
HOLDS_NO_PRIVATE_KEY_WITH_ITS_CERTIFICATE = "holds no private key with its certificate; export both together"
ITS_PRIVATE_KEY_DOES_NOT_BELONG = "its private key does not belong to its certificate"
IT_WAS_ISSUED_BY = "it was issued by {issuer_of}: ask there for a new one"
ITS_KEY_AND_PIN_ARE_THE_TOKENS_OWN = (
    "its key and PIN are the token's own: its maker's program renews them, then make this file anew"
)
THIS_IDENTITY_HAS_EXPIRED = "this identity has expired; make or bring a new one"
THIS_IDENTITY_IS_NOT_VALID_YET = "this identity is not valid yet; check the computer's clock, or wait"
NAME_OR_CREDENTIAL_IN_THIS_CERTIFICATE = (
    "the name or credential in this certificate holds hidden signs; bring one without them"
)
THIS_CERTIFICATE_IS_NOT_FOR_SIGNING = "this certificate is not for signing; bring one whose key usage allows it"
MUST_BE_ONE_LINE_WITHOUT_CONTROL_CHARACTERS = "must be one line without control characters"
TOO_LONG_FOR_A_CERTIFICATE = (
    "too long for a certificate: at most {text_bytes} letters; one outside a to z counts two or more"
)
CHOOSE_A_PASSWORD_OF_AT_LEAST_LETTERS = "choose a password of at least {password_letters} letters, digits or signs"
TO_WHOLE_YEARS_ARE_POSSIBLE = "{start} to {stop} whole years are possible"
ITS_RSA_KEY_HAS_BITS = "its RSA key has {key_size} bits; at least {rsa_bits} are wanted"
ITS_KEY_IS_NEITHER_RSA_NOR_ELLIPTIC_CURVE = "its key is neither RSA nor elliptic curve; one of these is wanted"
THIS_PASSWORD_DOES_NOT_OPEN = "this password does not open {name}. {check_password}"
TYPE_THE_PASSWORD_THAT_WAS_CHOSEN = "type the password that was chosen when {name} was made"
IDENTITY_FILE_IS_DAMAGED = "the identity file is damaged; use a copy kept elsewhere, or make a new identity"

# reports/kinds.py
REPORT_WAS_CANCELLED = "the report was cancelled"

# reports/lasting.py
WHOEVER_ISSUED_ITS_CERTIFICATE = (
    "whoever issued its certificate is not among the clocks that you know; add its root first: heatdocket known "
    "clock FILE, or under People and authorities you know"
)
THIS_CLOCK_GAVE_NO_TIMESTAMP = "this clock gave no timestamp ({fault}); name another, or sign without one"

# reports/letterhead.py
TYPE_THE_SHOPS_NAME_AS_ITS_CUSTOMERS_KNOW_IT = "type the shop's name as its customers know it"
ONE_JSON_OBJECT_WITH_NAME = 'one JSON object with "name", and "contact" and "logo" where there are any, would do'
KEYS_ARE = "the keys are {keys}"
TEXT_IN_QUOTES_WOULD_DO = "text in quotes would do"
AT_MOST_CHARACTERS_ON_LINES_WOULD_DO = "at most {longest_contact} characters on {most_lines} lines would do"
PNG_OR_JPEG_FILE_OF_AT_MOST_MB_WOULD_DO = "{fault}; a PNG or JPEG file of at most {largest_file} MB would do"

# reports/overwriting.py
SIGNED_REPORT_IS_THERE_ALREADY = "a signed report is there already"
FILE_IS_WHAT_THE_REPORT_IS_MADE_FROM = "this file is what the report is made from"

# reports/raster.py
IT_IS_LARGER_THAN_MB = "it is larger than {largest_file} MB"
THERE_IS_NO_SUCH_FILE = "there is no such file"
IT_CANNOT_BE_READ_AS_A_JPEG_OR_PNG_PICTURE = "it cannot be read as a JPEG or PNG picture"
IT_HAS_TOO_MANY_PIXELS = "it has too many pixels"
IT_IS_BY_PIXELS = "it is {width} by {height} pixels; at least {least_side} each way would do"
ONE_SIDE_IS_MORE_THAN_TIMES_THE_OTHER = "one side is more than {most_slender:g} times the other"

# reports/servers.py
ITS_ANSWER_IS_NO_TIMESTAMP = "its answer is no timestamp"
ADDRESS_WITH_HTTP_OR_HTTPS_WOULD_DO = "an address with http:// or https:// would do"
IT_DOES_NOT_ANSWER = "it does not answer ({fault})"
ITS_ANSWER_HAS_NO_END = "its answer has no end"
NAME_ANOTHER_SERVER = "{why}; name another server, or sign without a timestamp"

# reports/signed_files.py
THIS_IS_NO_SIGNATURE_THAT_CAN_BE_READ = "this is no signature that can be read; ask for the file anew"
THIS_IS_NOT_THE_SIGNATURE_OF_THE_FILE = "this is not the signature of the file as it is now; ask for the file anew"

# reports/signing.py
STATED_BY_THE_SIGNER = "stated by the signer"
CASE_EVERY_INPUT_OF_THIS_REPORT = "The case: every input of this report, to run its numbers again"
LOG_OR_TABLE_THAT_THE_CASE_NAMES = "A log or table that the case names"
THIS_REPORT_IS_SIGNED_ALREADY = "this report is signed already; a reviewer adds a signature by countersigning"
ONLY_AN_INTACT_SIGNED_REPORT_CAN = "only an intact signed report can be countersigned. {problem}"
THIS_REPORT_HAS_NO_EMPTY_FIELD = "this report has no empty field for a reviewer's signature"
THIS_PDF_CANNOT_BE_READ = "this PDF cannot be read, so it cannot be signed"

# reports/tagging.py
OWNERS_OF_MARKS_ON_PAGE = "owners of marks on page {page}"

# reports/token.py
IT_IS_OF_ANOTHER_VERSION = "it is of another version ({format})"
THIS_FILE_WHICH_NAMES_A_TOKEN = (
    "this file, which names a token, is damaged; make it anew: heatdocket identity FILE --token LIBRARY"
)
TOKEN_NO_LONGER_HOLDS_THIS_CERTIFICATE = "the token no longer holds this certificate; make the file anew"
TOKENS_ARE_PLUGGED_IN = "{tokens_count} tokens are plugged in; plug in the one to sign with"
TOKEN_HOLDS_KEYS_WITH_THEIR_CERTIFICATES = (
    "the token {token} holds {pairs_count} keys with their certificates; exactly one is wanted"
)
THIS_TOKEN_IS_NOT_PLUGGED_IN = "this token is not plugged in, or its library does not see it"
TOKEN_REFUSES_THIS_PIN = "the token refuses this PIN; it locks itself after a few wrong ones"
TOKEN_IS_LOCKED_AFTER_WRONG_PINS = "the token is locked after wrong PINs; its maker's program unlocks it"
TOKEN_CANNOT_BE_OPENED = "the token cannot be opened ({name})"
TOKEN_DID_NOT_SIGN = "the token did not sign ({name})"
NAME_THE_LIBRARY_OF_THE_TOKENS_MAKER = (
    "name the library of the token's maker with its full path; it ends in .so, .dylib or .dll"
)
THERE_IS_NO_SUCH_LIBRARY = "there is no such library; the token's maker says where it is installed"
ONLY_A_LIBRARY_THAT_THE_SYSTEMS = (
    "only a library that the system's administrator installed is loaded: others may write to this one"
)
HARDWARE_TOKENS_NEED_THE_PACKAGE = "hardware tokens need the package python-pkcs11: pip install 'heatdocket[token]'"
THIS_LIBRARY_DOES_NOT_SPEAK_PKCS_11 = "this library does not speak PKCS#11, or its token service is off"

# reports/trust_store.py
SIXTEEN_GROUPS_OF_FOUR_DIGITS = "sixteen groups of four digits or letters A to F would do, as the signer reads them out"
THIS_IS_NO_CERTIFICATE = "this is no certificate; a file in PEM or DER, often .pem, .crt or .cer, is wanted"
THIS_CERTIFICATE_WAS_ISSUED_BY_ANOTHER = (
    "this certificate was issued by another; the root at the top of its chain is wanted"
)
LIST_OF_WHOM_YOU_KNOW = "the list of whom you know"
IT_IS_OF_ANOTHER_VERSION_USE = "it is of another version ({format!r}); use the program that wrote it"
LIST_OF_WHOM_YOU_KNOW_IS_DAMAGED = "the list of whom you know is damaged; bring back a copy, or move it away"
ANOTHER_WINDOW_HAS_HELD_THE_LIST = (
    "another window has held the list of whom you know for {wait:g} s; close that one, then try again"
)
THIS_FOLDER_CANNOT_BE_USED = "this folder cannot be used ({strerror})"

# reports/worksheets.py
WRITTEN_AS_UTF_8_TEXT = "{wanted}, written as UTF-8 text"
CLASSS_ANSWERS_AS_CSV = "a class's answers as CSV"
FOLDER_TO_WRITE_INTO = "a folder to write into ({strerror})"
