"""Headings and lines of the pages of a report."""

# reports/pages/bench.py
THEN_BY_LESS_THAN_K = "then by less than {least_move:g} K"

# reports/pages/causes.py
NEXT_CHECK_AFTER_THAT = "The next check after that"
TO_FIND_THE_PART = "To find the part"
BEFORE_AND_AFTER_THE_READINGS = "Before and after the readings"

# reports/pages/closing.py
WHAT_IT_IS_ABOUT = "What it is about"
PUBLISHED_BY_THE_MAKER_OR_ELSEWHERE = "Published by the maker or elsewhere"
AS_ENTERED_BASIS_NOT_STATED = "As entered, basis not stated"
TYPICAL_OF_THE_CLASS = "Typical of the class, not of this vehicle"
FOLLOWING_FROM_THE_OTHERS = "Following from the others"
FILLED_IN_NOT_TYPED = "Filled in, not typed"
FILES_THAT_THE_NUMBERS_REST_ON = "Files that the numbers rest on, carried with this report"
FILES_LEFT_OUT = "Not carried with this report: {names}. Its numbers can be run again only where these are at hand."
FOLLOWING_FROM_THE_OTHERS_IN_A_LINE = "following from the others"
REMARKS_ON_THE_CASE_FILE = "Remarks on the case file"
OUTSIDE_A_FORMULAS_RANGE = "Outside a formula's range"

# reports/pages/customer.py
AIR_FROM_THE_VENTS = "Air from the vents"
AIR_IN_THE_CABIN = "Air in the cabin"
AFTER_THE_NEXT_STEP = "After that, one check after the other"
THEN_THESE = "Then: {checks}."
PROOF_AFTER_THE_REPAIR = "Proof after the repair"
UNTIL_IT_IS_FOUND = "Until the cause is known"
UNTIL_THEN = "Until it is repaired"
FROM_NOW_ON = "From now on"

# engcalc/words/diagnosis/what_follows.py: common practice, no source
ITS_LIMIT = "its limit"
PROOF_OF_NO_GAS = (
    "Fill and bleed it, warm it up and repeat the combustion leak test: it must find nothing. No bubbles may rise, and "
    "the level must be the same on the next cold morning."
)
PROOF_OF_THE_FAN = (
    "Let it idle and see the fan come on by itself, then go off again. Read the coolant then, and once more 10 min later: "
    "it must stay under {limit}."
)
PROOF_OF_TIGHTNESS = (
    "Pump the cold system up again: it must hold the tester's pressure. The level must be the same after a drive, once "
    "it is cold."
)
PROOF_OF_PRESSURE = "Warm it up with the tester on it: the pressure must stay under that of its cap."
PROOF_OF_THE_MIXTURE = "Run it until it has mixed, then measure the mixture again."
PROOF_OF_COOLING = (
    "Run it again the way it got hot. Read the coolant as late after the start as before, and once more 10 min later: it "
    "must stay under {limit}."
)
PROOF_FROM_COLD = "From a cold start, read the coolant 20 min and 30 min later: it must stay under {limit}."
FROM_A_COLD_START = "Drive it again from a cold start, the same way and with the heater set as before."
FROM_AS_WARM = "Let it cool to {start}. Then drive it again, the same way and with the heater set as before."
PROOF_AT_THE_SAME_TIME = (
    "{begin} Read the coolant with a scan tool {time} after the start. In such weather a healthy vehicle is at {least} or "
    "more by then."
)
PROOF_OF_WARMTH = (
    "{begin} In such weather the gauge of a healthy vehicle is in its middle within {time}. It must get there and stay "
    "there, under way too."
)
PROOF_BY_ITS_COURSE = (
    "{begin} Note the air's temperature. Read the coolant with a scan tool 5, 10, 20 and 30 min after the start. They must "
    "lie where healthy vehicles are in such weather."
)
PROOF_OF_HEAT = (
    "Warm it up and set the heater to full heat. Both heater hoses must be hot, and the air from the centre vent must stay "
    "hot at idle and under way."
)
ENTER_THE_PROOF = "Enter what is found after the repair: the next report sets it beside what stands here."
STOP_IF_IT_CLIMBS = (
    "Watch the gauge. If it climbs past its middle or a warning lamp comes on, stop in a safe place and switch the engine "
    "off."
)
CLEAR_THE_GLASS = "In frost clear every window before you drive off. Do not count on the heater for the windscreen."
LOOK_AT_THE_LEVEL = "Look at the coolant level once a day, with the engine cold, and note what you top up."
NO_LONG_IDLING = "Do not let it stand with the engine running, and tow nothing."
COLD_COME_BACK = "Come back sooner if it gets colder than now, if the glass fogs up or if the floor gets wet."
HOT_COME_BACK = "Come back sooner if it gets hot more often, if you smell coolant or if the level falls."
LEVEL_COME_BACK = (
    "Come back sooner if it needs topping up every day, if you see white smoke or if the heater turns cold."
)
LEVEL_ONCE_MORE = (
    "Look at the coolant level on the next cold morning and once more after a week. It may fall a little as the last air "
    "leaves; come back if it falls again."
)
COLD_AGAIN = "Come back if the gauge stays low again or the heater blows cold."
HOT_AGAIN = "Come back if the gauge climbs past its middle again: stop in a safe place first and let it cool down."
LEAKS_AGAIN = "Come back if the level falls again, or if you smell coolant or see a puddle."
KEEP_THE_PAPER = "Keep this report and bring it along: the next readings are held against these."

# reports/pages/derivation.py
HOW_THE_TEMPERATURE_IS_FOUND = "How the temperature is found"
NOT_SHOWN_FOR_IT_DOES_NOT_COME_OUT = "Not shown, for it does not come out: {words}"

# reports/pages/evidence.py
WHAT_WAS_LOOKED_AT = "What was looked at"
AS_LOGGED_IN = "as logged in {file}"
AS_ENTERED_IN_STAGES = "as entered, in {count} stages"
PLUGGED_IN_FOR = "plugged in for {time}"
FOR_BEFORE_THE_START = "{ran}, for {time} before the start"
HEALTHY_VEHICLE_SHOWS = "A healthy vehicle shows"
RANGE_OF_NINE_IN_TEN = "{low} to {high} (nine in ten)"

# reports/pages/heart.py
HEAT_GIVEN_BY_THE_HOT_SIDE = "Heat given by the hot side"
HEAT_TAKEN_BY_THE_COLD_SIDE = "Heat taken by the cold side"

# reports/pages/least_core.py
CORES_TO_CHOOSE_FROM = "Cores to choose from"

# reports/pages/mending.py
TENTH_OF_ITS_USUAL_RANGE_MORE = "a tenth of its usual range more"
HOLDS_WITH_THE_MARGIN_WANTED = "holds with the margin wanted"
COOLANT_OUT_MOVES_BY = "Coolant out moves by"

# reports/pages/photos.py
IT_WAS_NOT_FOUND_BESIDE_THE_CASE = "it was not found beside the case"
ONLY_PICTURES_BESIDE_THE_CASE_ARE_READ = "only pictures beside the case are read"

# reports/pages/rig.py
HEAT_GIVEN_BY_THE_COOLANT = "Heat given by the coolant"
HEAT_TAKEN_BY_THE_AIR = "Heat taken by the air"
POINT_AS_ENTERED = "Point {index} as entered: {typed}."

# reports/pages/signature.py
REVIEWERS_SIGNATURE_IF_ANY = "Reviewer's signature, if any"
REPORT_MADE_ON = "{what_it_says} Report {report_id}, made on {made_on}."

# reports/pages/sizing.py
THAT_IT_HOLDS_IS = "That it holds is"
HEAT_HANDED_TO_THE_RADIATOR = "Heat handed to the radiator"
GIVEN_OFF_AT_THE_LIMIT = "Given off at the limit"
AIR_INTO_THE_CORE = "Air into the core"
AIR_AT_THE_CORES_FACE = "Air at the core's face"
HEAT_AT_THE_MAKERS_POINT = "Heat at the maker's point"

# reports/pages/spread.py
DUTY_THAT_DECIDES = "The duty that decides: {name}"

# reports/pages/worksheet.py
RIGHT_FROM_TO = "Right from – to"
