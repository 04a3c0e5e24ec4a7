"""What stands on paper and nowhere else: headings, what is left to the shop, and the rows of the heart of the work."""

from __future__ import annotations

from collections.abc import Mapping

CUSTOMER_TITLE = "Cooling and heating check"
SIZING_TITLE = "Cooling system check"
LESSON_TITLE = "Lesson"
TOLD = "What you told us"
CUSTOMER_TELLS = "What the customer tells"
TOLD_HEAD = ("What was asked", "Answer")
FOUND = "What we found"
IF_LEFT = "If it is left as it is"
FIRST_THE_BOX = "First do what the box at the top of page 1 says, and mind what stands there."
RECOMMENDED = "What we recommend"
NEXT_CHECK = "Next check: {check}"
DONE = "What we did"
SEEN_BEFORE = "Seen before the repair: {seen}."
BEFORE_AND_AFTER = "Before and after"
LETTERHEAD_INTRO = (
    "It heads every report from now on and is kept on this computer. With all of it empty there is no letterhead."
)
PRICE = "Price"
PRICE_BLANKS = ("Estimate", "Agreed", "Date and customer's signature")
ANNEX = "Technical annex"
HEART = "Heat and flow"
HOW_SURE = "How sure"
CURVES_TITLE = "Fan and pump on their curves"
CURVES_HEAD = ("Duty", "One fan gives", "Air at the core's face", "The pump gives", "Through the radiator")
NO_PUMP_POINT = "its flow is given"
SHORT_WORKING = "Working in short"
SHORT_WORKING_LEAD = (
    "The main lines of the duty that decides, with the digits of the full working. Report with the full annex to see "
    "each number that goes in derived. SI units."
)
CUT = "What is cut short here is complete in the case that this file carries."

HEART_LEAD = (
    "The heat that the coolant takes up in each duty, how well the radiator gives it off, and "
    "what limits it. Computed as described, with every part in order unless entered otherwise."
)
HEART_RIG_LEAD = (
    "The heat of both streams at each measured point, how far they agree, and what the exchanger "
    "makes of them. Each number with its standard uncertainty."
)
LIMITS_ROW = "What limits it"
LIMITS: Mapping[str, str] = {
    "airflow": "how much air comes through",
    "air side": "fins and air",
    "coolant side": "coolant flow and tubes",
    "stored": "heat stored before it",
}
NOT_LIMITED = "nothing: no heat to give off"
BOILS = "boils"  # where the temperature of a duty would stand that settles nowhere
BOILS_IF_IT_GOES_ON = (
    "Left to go on, this would boil: {duties}. It settles nowhere, so that its column has no settled numbers. How hot "
    "it gets, and when, stands with the verdict."
)
AT_LIMIT = (
    "“What limits it” says where more would help first with the thermostat wide open: the air that comes through, the "
    "fins and the air along them, or the coolant in its tubes."
)

LESSON_ASKED = "What is asked"
LESSON_ANSWER = "Answer"
POINT_WORKING = "Working of measured point {number}"
PROBLEM_WORKING = "Working of the problem: {name}"
ROUNDS = "Specific heats hang on the temperatures that they lead to: guess, correct, again. The temperatures moved by {rounds}."
WILSON_WORKING = "Working of the Wilson plot"
WILSON_TABLE_LEAD = "x is the flow in kg/s to minus its power, y one over the conductance. The sums go into the lines."
WILSON_HEAD = ("Point", "Flow, kg/s", "{UA}, W/K", "x", "y, K/W", "(x − mean)²", "Product of both", "(y − line)²")
WILSON_SUMS = "Sum"
POINTS_ALIKE = "The other points are worked in the same way: {points}."
SYMBOLS_TITLE = "Symbols and terms"
TERMS_TITLE = "Terms"
SYMBOLS_LEAD = "Every symbol of the working, with what it stands for and the unit it is shown in."
TYPICAL_COUNT = (
    "{count} further inputs are typical of the vehicle class, assumed, or follow from others; nobody measured them on "
    "this vehicle. The full annex lists them."
)

WORKING_LEAD = (
    "Each line shows the formula, the numbers that went in, what came out and where the formula is "
    "from. A number has the same digits wherever it is printed. Worked with them, each line comes out"
    " within 0.1 %. SI units."
)
GIVEN_LEAD = (
    "Dimensions, settings and properties: what is given or looked up, and what the roots further down find. "
    "Each other number has a line of its own."
)
GUESS_LEAD = (
    "A temperature at the valve's wax is guessed and all that follows is worked out with it. Where heat is "
    "left over, the true one lies higher. The third guess and each further one follow the straight line "
    "through the two before, or halve the way where that leads outside. It ends when a guess moves by less "
    "than 0.01 K."
)
COVERS_THE_CASE = (
    "A signature shows whether anything was changed since, and by whom it was made. It covers every page and "
    "the attached case, from which anyone can run the numbers again. Only the reviewer's field may still be "
    "filled."
)
COVERS_THE_PAGES = (
    "A signature shows whether anything was changed since, and by whom it was made. It covers every page. Only"
    " the reviewer's field may still be filled."
)
SELF_MADE = (
    "The signer made this identity: the name and the credential are the signer's word and are not vouched for "
    "by others."
)
ISSUED_BY = "The identity was issued by {issuer}; whether to trust that issuer is the reader's choice."
IS_A_DRAFT = "This is a draft. It is not signed; anyone may have changed it."
NO_SUCH_CORE = "No core of this arrangement gives that heat at those flows: the dimensions alone count."
TERMS_OF_SUM = "The {many} terms of the sum: {terms}."
PHOTO_NOT_SHOWN = "The picture {name} is not shown: {why}."
HEATS_DIFFER = (
    "The two heats differ by {percent} % of their mean (standard uncertainty {doubt} %). UA: the difference is"
    " {times} times the expanded uncertainties together; within 1 they explain it."
)
POINT_ASKS = "The maker's point asks for {times} times the conductance; as entered, the prediction is not scaled to it."
SCALED_FROM_HERE = "From here on the conductance is multiplied by {factor}, so that the maker's point comes out."
TYPICAL_IN_EVERY_DUTY = "In every duty, typical and not typed: {inputs}."
HOW_TO_CHECK = (
    "Anyone can make an identity in any name. Ask the signer for the fingerprint by telephone or in "
    "person, and compare it with the one shown here, group by group. Only if all sixteen groups agree"
    " did the holder of that identity sign."
)
YES_NO = {True: "yes", False: "no"}
