"""What is said of a text that should be a number with its unit."""

# engcalc/units.py
AT_MOST_CHARACTERS = "at most {longest_text} characters: one number and one unit"
ONE_NUMBER_WOULD_DO = "one number{and_unit} would do"
WRITE_THE_NUMBER_WITHOUT_SEPARATORS = "write the number without separators of thousands, such as 1234.5"
IS_OR_MEANT = "is {digits} or {digits_2} meant? Write it with a decimal point or without the comma"
FINITE_NUMBER_WOULD_DO = "a finite number would do"
TEMPERATURE_BELONGS_HERE = "a temperature belongs here, not a difference of temperatures"
PLAIN_NUMBER_WITHOUT_A_UNIT = "a plain number without a unit"
UNIT_IS_NOT_ONE_FOR = "the unit is not one for {plain_name}: {wanted}"
MORE_THAN_ZERO_PER_LENGTH_WOULD_DO = "more than zero per length would do"
LENGTH_WOULD_DO = "a length would do: {units}"
AND_ONE_UNIT = " and one unit ({listing})"
