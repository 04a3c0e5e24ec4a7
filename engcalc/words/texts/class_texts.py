"""What is said in the classroom and of a working."""

# engcalc/classroom/class_order.py
NAME_OF_THE_CLASS_LIST = "a name of the class list"

# engcalc/classroom/draw.py
DRAWS_GAVE_NO_SENSIBLE_PROBLEM = "{key}: {most_draws} draws gave no sensible problem; other bounds would do"

# engcalc/classroom/lookups.py
HALF_ETHYLENE_GLYCOL = "half ethylene glycol, half water"
DRY_AIR_AT_101_3_KPA = "dry air at 101.3 kPa"

# engcalc/classroom/marking.py
ROWS_OF_CELLS_AS_CSV = "rows of cells as CSV"
LIST_WITHOUT_NAMES = "a list without names"
ONE_NAME_TO_A_ROW = "one name to a row"
EACH_NAME_ONCE = "each name once; add a letter to tell two people apart"
AT_MOST_CHARACTERS = "at most {longest_name} characters"
AT_MOST_IN_ONE_LIST = "at most {most_names} in one list"
HEAD_AND_ONE_ROW_TO_A_PERSON = "a head, {head}, and one row to a person"
IN_AS_THE_SHEET_ASKS = "{symbol} in {unit}, as the sheet asks"
AS_ONE_NUMBER_IN = "{symbol} as one number in {unit}"
ANSWERS_TO_THE_SHEET = "answers to the sheet {sheet} would do; or choose the topic and seed of these answers"
IS_OR_MEANT = "is {point} or {none} meant? Write it without the comma"

# engcalc/classroom/problem.py
COMES_OUT_AS = "{key}: {symbol} comes out as {si:.9g}, the engine says {engine:.9g} (SI)"
TO_BE_FOUND = "(to be found)"
KNOWN_AND_WANTED = "Known besides: {known}, {value}. Wanted: {wanted}."
TURNED_HINT = "Write the working as if what is wanted were known. Guess it, see what comes out, and correct the guess."
NO_WORKING_OF_UP_TO_DIGITS_COMES_OUT = "{key}: no working of up to {most_digits} digits comes out"

# engcalc/classroom/stated.py
NOT_SENSIBLE = (
    "with these numbers the topic makes no sensible problem: look at the units of the sheet, and whether the flow "
    "is of the topic's kind. It takes {names}"
)
CAN_BE_ASKED = "one of {names} can be asked: tables are read at the others"
ONE_ASKED_AND_ONE_RESULT = "one number asked by “?”, and at most one result in its place"
RESULT_THAT_HANGS_ON_IT = "a result that hangs on what is asked: {names}"
SYMBOL_NUMBER_WITH_ONE_OF = "SYMBOL = NUMBER with one of {names}"
PLAIN_NUMBER_IN_THE_UNIT_OF_THE_SHEET = "a plain number in the unit of the sheet"

# engcalc/working/formulas.py
FORMULA_A_BESSEL_FUNCTION_OF_ORDER = (
    "formula: a Bessel function of order {order:g} at {x:g} was asked; whole orders and x from 0"
)
FORMULA_CHARACTERS_WERE_GIVEN = "formula: {formula_count} characters were given; at most {longest_formula} would do"
FORMULA_WAS_GIVEN = "formula: {formula!r} was given; one shallow expression would do"
FORMULA_WAS_GIVEN_NUMBERS_NAMES = "formula: {node!r} was given; numbers, names, + - * / ** and {value} would do"
FORMULA_HAS_NO_VALUE_THERE = "formula: {formula!r} has no value there ({error})"
FORMULA_HAS_NO_FINITE_REAL_VALUE_THERE = "formula: {formula!r} has no finite real value there"
FORMULA_NO_VALUE_WAS_GIVEN_FOR = "formula: no value was given for {name}"
FORMULA_CANNOT_BE_EVALUATED = "formula: {node!r} cannot be evaluated"
FORMULA_A_SUM_OF_TERMS_WAS_ASKED = "formula: a sum of {count} terms was asked; at most {most_terms} would do"

# engcalc/working/same_digits.py
DOES_NOT_COME_OUT_AT_ANY_PRINTED_DIGITS = "{symbol} = {formula} does not come out at any printed digits"

# engcalc/working/shown.py
SERIES_DOES_NOT_REACH_THE_ENGINES = "{symbol}: the series does not reach the engine's number in 200 terms"
GIVES_THE_ENGINE_SAYS = "{symbol} = {formula} gives {found:.9g}, the engine says {result:.9g}"
NO_NUMBER_OF_DIGITS_UP_TO_REPRODUCES = "{symbol}: no number of digits up to {most_digits} reproduces the result"
