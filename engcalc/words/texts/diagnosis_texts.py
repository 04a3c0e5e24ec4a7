"""What is said of evidence, comparisons and odds."""

# engcalc/diagnosis/repair/before_after.py
REPAIR_IS_PROVEN = "the repair is proven"
BETTER_BUT_NOT_YET_WHAT_A_HEALTHY = "better, but not yet what a healthy vehicle does"
NEITHER_RECORD_SHOWS_A_FAULT = "neither record shows a fault"
RECORD_AFTER_THE_REPAIR_ENDS_BEFORE = "the record after the repair ends before it has settled"
RECORD_BEFORE_THE_REPAIR_ENDS_BEFORE = "the record before the repair ends before it has settled"
TWO_RECORDS_WERE_MADE_IN_UNLIKE_WEATHER = "the two records were made in unlike weather"
HEATER_WAS_SET_DIFFERENTLY = "the heater was set differently, or nobody noted how"
NOBODY_NOTED_WHETHER_THE_ENGINE_STOPS = "nobody noted whether the engine stops by itself at halts"
RADIATOR_WAS_NEVER_CALLED_UPON = "the radiator was never called upon: that it holds a hot day is not shown"
SENSOR_FAULT_WAS_FOUND_IN_A_RECORD = "a sensor fault was found in a record"
TWO_RECORDS_WERE_NOT_READ_AT_THE_SAME = (
    "the two records were not read at the same time after the start: one is taken on a straight line between"
)
NOT_RUN_AS_LONG = "the warm engine was not run as long after the repair as before until it got too hot"
NOT_DRIVEN_AS_SLOWLY = "after the repair it was never driven as slowly at such a load as when it got too hot"
AIR_WAS_COLDER = "the air was colder after the repair: that helps the cooling"
HEATER_MAY_HAVE_TAKEN_MORE = "the heater may have taken more heat after the repair: run it with the heater off"
NOBODY_NOTED_HOW_IT_RAN = "nobody noted how it ran in one of the records"
WARM_ENGINE_WAS_READ_ONCE = (
    "after the repair the warm engine was read less than twice: read it again some minutes later"
)
FOUND_AND_NOT_LOOKED_AT_AGAIN = "what was found before the repair was not looked at again, or is not in order yet"
NOBODY_NOTED_HOW_COLD = "nobody noted how cold it started: the curve begins at the outside temperature"
RECORD_HAS_TOO_FEW_READINGS_TO_PROVE = "four readings or more over each warm-up would tell, and one has fewer"
WHAT_THE_VALVE_LEAVES_OPEN = "what the valve leaves open"

# engcalc/diagnosis/checks/circuit_places.py
OUTLET_NECK_TO_BYPASS = "outlet neck to bypass"

# engcalc/diagnosis/evidence/codes.py
HEATED_VALVE_THAT_IS_NOT_HEATED = (
    "a heated valve that is not heated regulates hotter by design, which is no cause in the list"
)
IT_SPEAKS_OF_THE_INTAKE_AIRS_SENSOR = (
    "it speaks of the intake air's sensor: do not compare the coolant with it at key-on"
)

# engcalc/diagnosis/evidence/complaint.py
REASON_FOR_THE_VISIT_SAYS_IT = "the reason for the visit says it, and counts in the odds before any reading"
TOLD_BY_THE_CUSTOMER = "told by the customer, {told_signs}: {counted}"

# engcalc/diagnosis/odds/diagnosis.py
ODDS_OF_SINGLE_CAUSES = "odds of single causes"
TWO_FAULTS_AT_ONCE = "two faults at once: "

# engcalc/diagnosis/members/everyday.py
STANDING_STILL_ON_A_COOL_DAY = "standing still on a cool day, heater on"
UNDER_WAY_ON_A_COOL_DAY = "under way on a cool day, heater on"
STANDING_STILL_ON_A_WARM_DAY = "standing still on a warm day"
FAST_ON_A_WARM_DAY = "fast on a warm day"
TOWING_UPHILL_ON_A_WARM_DAY = "towing uphill on a warm day"

# engcalc/diagnosis/evidence/observations.py
IT_SAYS_NOTHING_OF_THE_CAUSES_IN_THE_LIST = "it says nothing of the causes in the list"
COOLANT_OVER_AIR_AT_KEY_ON = "coolant over air at key-on"
INTAKE_AIR_AT_KEY_ON = "intake air at key-on"
INTAKE_AIR_IT_TELLS_OF_THE_COOLANT = (
    "intake air: it tells of the coolant sensor only when read at key-on, after standing for six hours"
)
WARM_UP_MODEL_DOES_NOT_HOLD_IT = "{what}: the warm-up model does not hold it"
INFRARED_ON_BARE_METAL_READS_TENS = "{what}: infrared on bare metal reads tens of kelvin low; tape or paint the spot"
GAUGE_IN_ITS_MIDDLE = "gauge in its middle"

# engcalc/diagnosis/odds/own_history.py
ODDS_OF_THE_RECORD_DO_NOT_SAY_HEALTHY = "the odds of the record do not say healthy"
RECORD_FITS_A_HEALTHY_VEHICLE_ONLY = "the record fits a healthy vehicle only where something is far from usual"
TOO_FEW_DRAWS_CARRY_THE_FIT_OF_THE_RECORD = "too few draws carry the fit of the record"

# engcalc/diagnosis/evidence/posed.py
READINGS_ARE_NEEDED_FOR_A_DIAGNOSIS = (
    "readings are needed for a diagnosis: at least one coolant temperature with its time, or something seen"
)

# engcalc/diagnosis/odds/sampler.py
CLOSING_IN_ON_WHAT_EACH_CAUSE_WOULD_SHOW = "closing in on what each cause would show"
DIAGNOSIS_WAS_CANCELLED = "the diagnosis was cancelled"

# engcalc/diagnosis/screening.py
LOG_WITH_A_COLUMN_OF_THE_COOLANT = (
    "a log with a column of the coolant temperature would do; in this one it is missing or cannot be used"
)

# engcalc/diagnosis/evidence/sensor_signal.py
JUMPS_THAT_NO_COOLANT_CAN_MAKE = "jumps that no coolant can make, or dropouts, more than once"
ONE_SHORT_EXCURSION = "one short excursion, as a slip of the tool may leave it"
SCATTER_OR_A_READING_THAT_STANDS_STILL = "scatter, or a reading that stands still"
NOTHING_THOUGH_THERE_WERE_SAMPLES_ENOUGH = "nothing, though there were samples enough"
JUMPS_OR_DROPOUTS_IN_THE_COOLANT = "jumps or dropouts in the coolant sensor's signal"
SECOND_COOLANT_SENSOR_THAT_READS_HOTTER = "a second coolant sensor that reads hotter"

# engcalc/diagnosis/evidence/sights.py
REFRACTOMETER_THE_CASE_SAYS_PLAIN_WATER = "refractometer: the case says plain water; name the glycol"
CAP_TEST_THE_CASE_SAYS_THAT_THE_SYSTEM = "cap test: the case says that the system is open"
PRESSURE_THE_CASE_SAYS_THAT_THE_SYSTEM = "pressure: the case says that the system is open"

# engcalc/words/diagnosis/proof_words.py
WARM_AGAIN_BUT_FEW = "Now it is warm in time. The readings are too few to prove more than that."

# engcalc/words/diagnosis/causes_told.py
PART_NOT_SHOWN_YET = "These readings do not show yet which part it is. The odds that no part is at fault: {odds}."
NOT_CLEAR_YET = "It is not clear yet what is wrong."
PART_NOT_CLEAR_YET = "It is not clear yet which part it is."
FIRST_THAT_CAN_BE_NAMED = "{not_clear} Of the parts that can be named, {what} comes first ({odds})."
SOMETHING_ELSE_LEADS = "{odds} it is something else: the known faults fit what was read only in part."
WHAT_TELLS_MORE = (
    "Read the temperatures once more with a second thermometer. The check that tells the most now: {check}."
)
CAUSES_OF_THE_LIST_FIT_IN_PART = "The causes of the list fit what was read only in part. Read it again with a second thermometer; replace no part yet."
GAS_THAT_GATHERS_IS_NOT_SIMULATED = (
    "Gas or steam that gathers in the engine is not simulated and may be it: the test for combustion gas tells."
)
# engcalc/words/diagnosis/causes.py
LIKELIEST_CAUSE = "the likeliest cause"
SOMETHING_ELSE = "something that is not in this list"
