"""What is said of a report that is verified."""

# reports/later_changes.py
DATA_TO_CHECK_CERTIFICATES_WITH = "data to check certificates with"
DOCUMENTS_DESCRIPTION_OF_ITSELF_XMP = "the document's description of itself (XMP)"
TIMESTAMP_OVER_THE_DOCUMENT = "a timestamp over the document"
SIGNATURE_IN_THE_FIELD = "the signature in the field {field}"

# reports/verification.py
WHOLE_FILE_BUT_FOR_WHAT_CHECKS = "the whole file, but for what checks certificates and a timestamp over all of it"
FILE_AS_IT_WAS_WHEN_SIGNED = "the file as it was when signed"
NOT_ALL_OF_WHAT_IT_SHOULD = "not all of what it should"

# reports/verification_words.py
NOT_SIGNED = "The file is not signed: it may be a draft, and anyone may have changed it."
UNPACKS_TOO_LARGE = "The file unpacks to more than {megabytes} MB; a report never does. It was not examined further."
SIGNATURE_REMAINS = "The file holds remains of a signature that cannot be read: it is not the file that was signed."
FILE_TOO_LARGE = "The file is larger than {megabytes} MB; a report never is. It was not examined."
NOT_A_PDF = "This is not a PDF file, so there is no signature to check."
FILE_IS_DAMAGED = "The file is damaged: it has no end as a PDF has one."
FILE_IS_ENCRYPTED = "The file is encrypted; reports are not. Nothing can be said about it as it stands."
NOT_READABLE = "The file is damaged: it cannot be read as a PDF ({why})."
SIGNATURES_NOT_READABLE = "The file is damaged: its signatures cannot be read ({why})."
SIGNATURE_IN_THE_FIELD_BEGINNING = "Signature in the field {field}"
NAME_OR_CREDENTIAL_IN_THE_CERTIFICATE = (
    "The name or credential in the certificate holds hidden signs. Honest certificates hold none."
)
TIMESTAMP_BESIDE_IT_SAYS = (
    "A timestamp beside it says {minute}, issued by {authority}, whom nobody that you trust vouches for. Anyone "
    "can put one there; it does not count."
)
IT_CARRIES_ADDITIONS_THAT_NOBODY = "It carries additions that nobody signed and that are not read here ({names})."
STATED_TIME_OF_SIGNING_LIES_IN_THE_FUTURE = (
    "The stated time of signing lies in the future: the signer's clock, or yours, is wrong."
)
CERTIFICATE_OF_THE_CLOCK_HAS_ENDED_SINCE = (
    "The certificate of the clock has ended since ({until:%Y-%m-%d}); only a later timestamp holds it."
)
CERTIFICATE_HAS_ENDED_SINCE = (
    "The certificate has ended since ({ended}). That it was valid when signing rests on the time above."
)
INTACT_NOTHING_THAT_WAS_SIGNED_WAS_CHANGED = (
    "Intact: nothing that was signed was changed. What was added after the first signature is named below."
)
INTACT_NOTHING_WAS_CHANGED_SINCE = "Intact: nothing was changed since it was signed."
BROKEN_THIS_IS_NOT_WHAT_WAS_SIGNED = (
    "Broken: this is not what was signed. Do not rely on it; ask the signer for the report again."
)
UNDECIDED_WHAT_WAS_SIGNED_IS_STILL_THERE = (
    "Undecided: what was signed is still there, but so is something that nobody signed."
)
CANNOT_BE_READ = "{the_signature} cannot be read."
MADE_WITH_THE_KEY_OF_THIS_FINGERPRINT = "{the_signature}, made with the key of this fingerprint:"
NAME_IN_ITS_CERTIFICATE = "Name in its certificate: {signer}."
CREDENTIAL_STATED_BY_THE_SIGNER = "Credential, stated by the signer: {credential}."
ATTESTED_BY_A_TIMESTAMP_THAT_YOU_TRUST = "attested by a timestamp that you trust"
BY_THE_SIGNERS_OWN_CLOCK = "by the signer's own clock"
ADDED_AFTER_THIS_SIGNATURE = "Added after this signature: {later_changes}."
YOU_KNOW_SOMEBODY_OF_THIS_NAME = (
    "You know somebody of this name, since {since}, by another key. This may not be the same person: ask the one "
    "whom you know for the fingerprint."
)
KNOWN_TO_YOU_SINCE_AS = "Known to you since {since} as {name}: the key is the same, the certificate was renewed."
KNOWN_TO_YOU_SINCE = "Known to you since {since} as {name}: this is the fingerprint that you compared."
AUTHOR_AND_REVIEWER_SIGNED_WITH_THE_SAME_KEY = (
    "Author and reviewer signed with the same key: nobody else reviewed this report."
)
AUTHOR_AND_REVIEWER_BEAR_THE_SAME_NAME = (
    "Author and reviewer bear the same name and have different keys. One of them may not be who the name says: ask "
    "that person for both fingerprints."
)
TIMESTAMP_OVER_THE_DOCUMENT_IS_DAMAGED = "A timestamp over the document is damaged or forged."
TIMESTAMP_OVER_THE_DOCUMENT_SAYS = "A timestamp over the document says {minute}, issued by {authority}"
WHOM_NOBODY_THAT_YOU_TRUST_VOUCHES_FOR = "{says}, whom nobody that you trust vouches for; it does not count."
CLOCK_THAT_YOU_TRUST = "{says}, a clock that you trust, whose certificate holds until {until:%Y-%m-%d}."
NAME_IS_VOUCHED_FOR_BY_AN_ISSUER_YOU_TRUST = "The name is vouched for by an issuer you trust: {issuer}."
CERTIFICATE_WAS_WITHDRAWN = "The certificate was withdrawn: do not trust the name."
SIGNER_MADE_THIS_IDENTITY = "The signer made this identity: the name is the signer's word, not vouched for by others."
NO_ISSUER_THAT_YOU_TRUST_CONFIRMS_THE_NAME = (
    "No issuer that you trust confirms the name; the certificate was issued by {issuer}."
)
IT_CARRIES_NO_CASE_THAT_CAN_BE_READ = "It carries no case that can be read."
IT_CARRIES_ITS_CASE_BYTES = "It carries its case ({case_count:,} bytes)"
WHICH_THIS_PROGRAM_CANNOT_READ = "{carries}, which this program cannot read."
BUT_NOT_ALL_THE_FILES_THAT_ITS_NUMBERS = "{carries}, but not all the files that its numbers rest on: {names}."
FROM_WHICH_THE_NUMBERS_CAN_BE_RUN_AGAIN = "{carries}, from which the numbers can be run again."
IT_CARRIES_TOO = "It carries {name} too, SHA-256 {digest}."

# reports/verifying.py
NOT_AS_SIGNED = "it does not stand in the file as it was signed: bytes that nobody signed were altered or put in"
IT_DOES_NOT_SAY_WHEN_IT_WAS_MADE = "it does not say when it was made"
IT_CANNOT_BE_READ = "it cannot be read ({first_line})"
FILE_WAS_CHANGED_AFTER_IT_WAS_SIGNED = "the file was changed after it was signed"
SIGNATURE_ITSELF_IS_DAMAGED_OR_FORGED = "the signature itself is damaged or forged"
IT_DOES_NOT_COVER_ALL_OF_THE_FILE = "it does not cover all of the file as it was when signed"
SOMETHING_WAS_ADDED_AFTER_SIGNING = "something was added after signing that the signer did not allow"
AFTER_SIGNING_OTHER_WORDS_WERE_PUT_INTO = "after signing, other words were put into {refused}"
IT_BREAKS_THE_CONDITIONS_SET_FOR_ITS_FIELD = "it breaks the conditions set for its field"
IT_STANDS_IN_A_FIELD_THAT_THE_FIRST = "it stands in a field that the first signer did not make"
IT_WAS_MADE_WITH_A_KEY_OR_A_DIGEST_TOO = "it was made with a key or a digest too weak to rely on"
CERTIFICATE_WAS_NOT_VALID = "the certificate was not valid at the stated time of signing"
CERTIFICATE_IS_NOT_FOR_SIGNING = "the certificate is not for signing"
ITS_TIMESTAMP_IS_DAMAGED_OR_FORGED = "its timestamp is damaged or forged"
SOMETHING_THAT_HAS_NO_NAME_HERE = "something that has no name here"
SOMETHING_THE_SIGNER_DID_NOT_ALLOW = "something the signer did not allow, and {named}"
SOMETHING_WAS_ADDED_AFTER_THE_LAST_SIGNATURE = "something was added after the last signature, and nobody signed that"
