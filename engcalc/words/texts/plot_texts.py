"""Titles, axes and captions of pictures."""

# reports/plots/balance.py
FINDS_NO_WAY_OUT = "Finds no way out"
WHERE_THE_HEAT_GOES = "Where the heat goes: {name}"
HEAT_BALANCE_OF = "Heat balance of {name}: {told}. {boils}"
IT_BOILS_ABOUT_AFTER_THE_THERMOSTATS_RATING = " It boils about {minutes} after the thermostat's rating."
DRAWN_AT_ITS_BOILING_POINT_OF = "Drawn at its boiling point of {boiling}: {heat_words} find no way out there.{soon}"

# reports/plots/bench.py
FLOW_OF_THE_STREAM_TO_THE_POWER = "Flow of the {side} stream to the power −{exponent}, ({unit}){power}"
UA_OVER_THE_FLOW_TO_MINUS = "1/{UA} over the flow to minus {exponent:g}. The line begins at {begins_at}."
RANGE_OF_THE_LINE = "95 % of the line"
FLOW_OF_THE_STREAM = "Flow of the {side} stream"
EFFECTIVENESS_MEASURED_AND_COMPUTED = "Effectiveness, measured and computed"
MEASURED_LESS_COMPUTED_EFFECTIVENESS = "Measured less computed effectiveness: "
WHERE_IT_LIES_BETWEEN_EFFECTIVENESS_AND_NTU = "Where it lies between effectiveness and NTU"
TEMPERATURES_ALONG_THE_EXCHANGER = "Temperatures along the exchanger: {name}"
HOT_TO_COLD_TO = "Hot {shown_hot} to {shown_hot_2}, cold {shown_cold} to {shown_cold_2}."
SHARE_OF_THE_AREA = "Share of the area"

# reports/plots/causes.py
AT_THE_END = "{cause_label}: {median} at the end"
WHAT_EACH_CAUSE_WOULD_SHOW = "What each cause would show"
COOLANT_AS_THE_SENSOR_SHOWS_IT = "Coolant as the sensor shows it"

# reports/plots/circuit.py
CIRCUIT_AT_THIS_DUTY = "The circuit at this duty: {name}"
CIRCUIT_AFTER_THE_START = "The circuit {at} after the start, {as_described}"

# reports/plots/describe.py
HEAT_IS_LOST_OR_FLOW_IS_BLOCKED_HERE = "heat is lost or flow is blocked here"

# reports/plots/earlier.py
RECORD_THE_OLDEST_FIRST = "Record, the oldest first"
OF_WHAT_THE_OPEN_VALVE_PASSES = "Of what the open valve passes"

# reports/plots/exchanger.py
AIR_FILM_AND_FINS = "Air film and fins"
DEPOSITS_IN_THE_TUBES = "Deposits in the tubes"
WHAT_HOLDS_THE_HEAT_BACK_IN_THE_RADIATOR = "What holds the heat back in the radiator: {name}"
SHARE_OF_THE_THERMAL_RESISTANCE = "Share of the thermal resistance"
COMPUTED_FROM_THE_DIMENSIONS = "computed from the dimensions"
POINT_NTU_EFFECTIVENESS = "point {i}: NTU {measured}, effectiveness {measured_2}, computed {computed}"
MEASURED_POINTS_ON_THE_EFFECTIVENESS = "Measured points on the effectiveness-NTU chart"
EFFECTIVENESS_AND_NTU = "Effectiveness and NTU: {name}"

# reports/plots/f_chart.py
CORRECTION_F_OF_THE_MEAN_TEMPERATURE = "Correction F of the mean temperature difference"
P_TEMPERATURE_EFFECTIVENESS = "P, temperature effectiveness of the cold stream"

# reports/plots/front.py
VOLUME_OF_THE_CORE = "Volume of the core"
MARGIN_IN_THE_DUTY_LEAST_SURE = "Margin in the duty that is least sure"

# reports/plots/measured.py
COOLANT_READINGS_AGAINST_A_HEALTHY_VEHICLE = "Coolant readings against a healthy vehicle"
ABOUT_CORRECTED_FOR_THE_INSTRUMENT = "{read} (about {measured}, corrected for the instrument)"
MEASURED_OVER_COMPUTED = "Measured over computed, less one"
HEAT_FROM_THE_COOLANT = "heat from the coolant"
HEAT_INTO_THE_AIR = "heat into the air"

# reports/plots/proof.py
BEFORE_AND_AFTER_THE_REPAIR = "Before and after the repair"
BEFORE_AT_THE_SAME_HEAT = "before, at the same heat"
HEALTHY_VEHICLE_SECOND_DRIVE = "a healthy vehicle, second drive"

# reports/plots/studies.py
COOLANT_OUT_OF_THE_ENGINE = "coolant out of the engine"
LIMIT_IS_REACHED_AT = " The limit is reached at {about}."
WHERE_THE_CURVE_ENDS_FLAT_THE_COOLANT_BOILS = " Where the curve ends flat the coolant boils."
COOLANT_TEMPERATURE_OVER = "{name}: coolant temperature over {plain}"
ALL_ELSE_IS_AS_IN_THE_DUTY = "{drawn} All else is as in the duty.{where}{boils}"
CURVE_IS = "The curve is {hottest}."
WHERE_THE_FAN_SWITCHES = "; where the fan switches, its mean"
GONE_ROUND_UNTIL_IT_REPEATS = ", gone round until it repeats"
HOTTEST_WITHIN_THE_DUTYS = "the hottest within the duty's {minutes}{of}"
IT_COUNTS_FROM = "It counts from {hottest}."
WHERE_THE_FAN_SWITCHES_FROM_THE_TOP = ", where the fan switches from the top of its swing"
BEYOND_BOILING_THE_MAP_COUNTS = " Beyond boiling the map counts on to where the coolant would settle."
MARGIN_UNDER_THE_LIMIT = "{name}: margin under the limit"
BELOW_ZERO_THE_LIMIT_IS_BROKEN = "Below zero the limit is broken. {margin_of}{boils}"
BEST_OF_DIFFERENT_SIDES_TOGETHER = "The best {best_count} of different sides together"
WHAT_EACH_CHANGE_GAINS = "What each change gains: {name}"
BAR_THAT_PASSES_THE_LINE_HOLDS = " A bar that passes the line holds the limit with the margin wanted."
HOLDS_THE_LIMIT_WITH_THE_MARGIN_WANTED = "holds the limit with the margin wanted"
DOES_NOT_SUFFICE_ALONE = "does not suffice alone"
WHAT_THE_COOLANT_TEMPERATURE_HANGS_ON = "What the coolant temperature hangs on: {name}"
CHANGE_OF_THE_COOLANT_TEMPERATURE = "Change of the coolant temperature"
WHAT_HOLDS_THE_BACK = "What holds the {way} back: {name}"
CYCLE_HAS_NOT_CLOSED_ON_ITSELF = " The cycle has not closed on itself."
COOLANT_OVER_ONE_CYCLE = "Coolant over one cycle"
COOLANT_OVER_DUTIES_ONE_AFTER_ANOTHER = "Coolant over duties one after another"
IT_BEGINS_WITH = "It begins with {name}; each upright line begins the next leg. Peak {peak}, mean {mean}.{open_end}"
COOLANT_OUT_OF_THE_ENGINE_OVER = "Coolant out of the engine over {ends}: peak {peak}, mean {mean}, limit {limit}."

# reports/plots/teaching.py
FAN_AND_THE_AIRS_WAY = "Fan and the air's way: {name}"
PUMP_AND_CIRCUIT = "Pump and circuit: {name}"
TEMPERATURES_THROUGH_THE_RADIATOR = "Temperatures through the radiator: {name}"
SHARE_OF_THE_COOLANTS_WAY = "Share of the coolant's way"
LUMP_THAT_WARMS = "A lump that warms: {name}"
FROM_TO_IN = "From {temperature} to {temperature_2} in {duration_words}."

# reports/plots/temperatures.py
COOLANT_INTO_AND_OUT_OF_THE = "Coolant, into and out of the {source}"
COOLANT_OUT_OF_AND_INTO_THE_RADIATOR = "Coolant, out of and into the radiator"
AIR_INTO_AND_OUT_OF_THE_RADIATOR = "Air, into and out of the radiator"
THERMOSTAT_WHAT_IT_FEELS = "Thermostat, what it feels"
CABIN_AND_AIR_FROM_ITS_VENTS = "Cabin, and air from its vents"
OUT_OF_THE_ENGINE_WITH_A_HEALTHY_THERMOSTAT = "Out of the engine with a healthy thermostat"
AT_BOILING_WHERE_IT_DOES_NOT_SETTLE = " At boiling, where it does not settle: {boiling}."
NOT_DRAWN_WITHOUT_AN_ANSWER = " Not drawn, without an answer: {missing}."
COOLANT_OUT_OF_THE_ENGINE_AGAINST_THE_LIMIT = "Coolant out of the engine against the limit, each duty"
COOLANT_OUT_OF_THE_ENGINE_AND_LIMIT = "Coolant out of the engine and limit of each duty. {told}.{not_drawn}"

# reports/plots/warmup.py
THERMOSTAT_STARTS_TO_OPEN = "thermostat starts to open, {temperature}"
COOLANT_AFTER_THE_START = "Coolant after the start"
THIS_VEHICLE_AS_DESCRIBED = "this vehicle as described"
IT_BOILS_AFTER = " It boils after {minutes}: the curve ends there."
ELSEWHERE_IN_THE_VEHICLE_AS_DESCRIBED = "Elsewhere in the vehicle as described"
TEMPERATURES_AT_THE_END = "At the end: {ends}."
