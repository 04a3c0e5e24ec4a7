"""What is said of the plant: fluids, parts and operating points."""

# engcalc/components/core.py
FROM_1_TO_THE_NUMBER_OF_TUBES = "from 1 to the number of tubes"
SHARE_FROM_0_TO_LESS_THAN_1 = "a share from 0 to less than 1"
WIDTH_OF_WHICH_ALL_ROWS_FIT = "a width of which all rows fit into the core depth (m)"
WAS_GIVEN_WOULD_DO = "{name}: {given:g} was given; {wanted} would do"

# engcalc/components/exchanger.py
RATIO_FROM_0_TO_1 = "a ratio from 0 to 1"

# engcalc/components/flat_tube.py
WAS_GIVEN_MORE_THAN_AND_LESS_THAN_WOULD_DO_M = (
    "{name}: {worst:g} was given; more than {least:g} and less than {most:g} would do (m)"
)

# engcalc/components/louver_fin.py
WAS_GIVEN_MORE_THAN_AND_LESS = "{name}: {worst:g} was given; more than {least:g} and less than {most:g} would do (SI)"

# engcalc/components/validity.py
LIES_OUTSIDE_TO = "{quantity} = {worst:.4g}{unit} lies outside {low:g} to {high:g}{unit}"

# engcalc/properties/bounds.py
WAS_GIVEN_TO_WOULD_DO = "{name}: {flat:g}{unit} was given; {low:g} to {high:g}{unit} would do"

# engcalc/properties/named_fluid.py
NO_PROPERTIES_AT_TO_K_AND_PA = "{name}: no properties at {min:.2f} to {max:.2f} K and {pressure:.6g} Pa"

# engcalc/system/plant.py
FACTOR_THAT_WAS_TYPED = "a factor that was typed"
VALVES_PLACE_IS_NOT_KNOWN = "the valve's place is not known: it counts as the engine's outlet"
KIND_OF_VALVE_IS_NOT_KNOWN = "the kind of valve is not known: it counts as plain wax, which knows no load"
WHETHER_THE_PUMP_STANDS_WHILE_COLD = (
    "whether the pump stands while cold is not known: it counts as turning at all times"
)
BYPASS_IS_NOT_KNOWN = "the bypass is not known: it counts as closing"
HEAT_OR_A_COMMAND_MOVES_THIS_VALVE = "heat or a command moves this valve: its rating is nominal"
PUMP_CANNOT_DRIVE_THE_STATED_FLOW = "the pump cannot drive the stated flow through this core"
FANS_ELECTRIC_POWER_CANNOT_DRIVE = (
    "the fan's electric power cannot drive its advertised flow: it is cut to what the power can drive"
)
NO_CORE_OF_THIS_ARRANGEMENT_GIVES = (
    "no core of this arrangement gives the maker's rated heat: its dimensions alone count"
)
NO_HEATER_CORE_GIVES_ITS_RATED_HEAT = "no heater core gives its rated heat: it counts as a very large one"

# engcalc/system/state.py
NO_STEADY_STATE_BELOW_BOILING = "no steady state below boiling"
OUTSIDE_WHAT_THE_MODEL_CAN_ANSWER = "outside what the model can answer"
FLOATING_ABOVE_FULL_OPEN = "floating above full open"
FLOATING_BELOW_START_TO_OPEN = "floating below start to open"
