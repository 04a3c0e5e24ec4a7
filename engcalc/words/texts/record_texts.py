"""What is said of a record: its heat, its unknowns, its warm-up."""

# engcalc/vehicle/criterion.py
NOT_REACHED_IN_TIME = "not reached in time"
RECORD_ENDS_TOO_EARLY_TO_TELL = "the record ends too early to tell"
HEALTHY_VEHICLE_WOULD_NOT_REACH = "a healthy vehicle would not reach it for sure in this run either"
LATE_BUT_SOMETHING_THAT_NOBODY_NOTED = "late, but something that nobody noted may have slowed it"
SETTLED_FAR_BELOW_WHAT_A_HEALTHY = "settled far below what a healthy vehicle holds"
DOES_THE_ENGINE_STOP_BY_ITSELF = "Does the engine stop by itself at halts (start-stop or hybrid)?"
FOR_HOW_MUCH_OF_THE_RUN_DID = "For how much of the run did this hybrid's engine turn (it may stand still by design)?"
WAS_A_BLOCK_HEATER_PLUGGED_IN_BEFORE = "Was a block heater plugged in before the start?"
DID_AN_AUXILIARY_HEATER_RUN = (
    "Did an auxiliary heater run, electric or fuel-fired, or was the engine started from afar?"
)
HOW_WAS_THE_HEATER_SET = "How was the heater set, and the blower?"

# engcalc/vehicle/fit.py
FIT_WAS_CANCELLED = "the fit was cancelled"

# engcalc/vehicle/heat_source.py
MANIFOLD_PRESSURE_AND_ENGINE_SPEED = "manifold pressure and engine speed"
CONTROL_UNIT_REPORTS_THE_FUEL_ITSELF = "the control unit reports the fuel itself"
FUEL_THAT_BURNS_FOLLOWS_FROM_THE_AIR_MASS = "the fuel that burns follows from the air mass"
AIR_IS_COMPUTED_FROM_MANIFOLD_PRESSURE = (
    "the air is computed from manifold pressure, intake temperature, engine speed and an assumed filling"
)
ABSOLUTE_LOAD_IS_THE_AIR_OF_EACH = "absolute load is the air of each stroke over that of a full cylinder"
ENGINES_WORK_IS_COMPUTED_FROM_ROAD = "the engine's work is computed from road speed and its changes on a level road"
CALCULATED_LOAD_IS_ONLY_A_SHARE = (
    "calculated load is only a share of what the engine could do at that speed: the last resort"
)
RECORD_IS_TOO_SHORT = "the record is too short"
NOT_IN_THE_LOG = "not in the log, or in too little of it: {missing}"
AIR_OF_A_COMPRESSION_IGNITION_ENGINE = "the air of a compression-ignition engine says nothing of its fuel"
HALF_OF_THAT_WORK_PLACED = ", half of that work placed where the manifold pressure tells that the engine pulls"

# engcalc/vehicle/logged_duties.py
SAVE_THE_CASE_BESIDE_ITS_LOG_FIRST = "save the case beside its log first"
LOG_AMONG_THE_READINGS_WOULD_DO = "a log among the readings would do"
AT_MOST_MIN_WOULD_DO = "at most {end:.1f} min would do: the log ends there"

# engcalc/vehicle/run.py
DUTY_HELD = "the duty {name}, held"

# engcalc/vehicle/settling.py
TOO_SHORT_TO_TELL = "too short to tell"

# engcalc/vehicle/unknowns.py
INPUTS_OF_THE_CASE = "inputs of the case"
HEATER_CORES_CONDUCTANCE = "the heater core's conductance"
SHARE_OF_THE_BLOWERS_AIR = "the share of the blower's air, anywhere from none to all"
BLOWERS_AIR_AT_THE_SETTING_THAT_WAS_NOTED = "the blower's air at the setting that was noted"
SHARE_OF_ITS_POWER_AT_WHICH_A_HEATER = (
    "the share of its power at which a heater in the coolant circuit ran, anywhere from none to all"
)
SHARE_OF_THE_TIME_THAT_THE_ENGINE_RAN = "the share of the time that the engine ran"
WHAT_THE_SENSOR_SHOWS = "what the sensor shows"
HEAT_INTO_THE_METAL_FOR_THE_WORK = "heat into the metal for the work that the engine does"
HEAT_INTO_THE_METAL_AT_IDLE_AGAINST = "heat into the metal at idle against that at work"
METAL_AND_COOLANT_THAT_WARM_TOGETHER = "metal and coolant that warm together"
HEAT_LOST_FROM_THE_ENGINES_SURFACE = "heat lost from the engine's surface"
AIR_THAT_THE_VEHICLES_SPEED = "air that the vehicle's speed and the fan drive through the core"
COOLANT_FLOW_OF_PUMP_AND_HEATER = "coolant flow of pump and heater"
WHAT_PASSES_THE_SHUT_VALVE = "what passes the shut valve"
LAG_OF_THE_VALVES_WAX = "lag of the valve's wax"
FRICTION_OF_THE_ENGINE = "friction of the engine"
CONDUCTANCE_OF_THE_RADIATOR = "conductance of the radiator"
CONDUCTANCE_OF_THE_HEATER_CORE = "conductance of the heater core"
WHAT_THE_SENSOR_READS_ABOVE_THE_COOLANT = "what the sensor reads above the coolant"
TEMPERATURE_AT_WHICH_THE_VALVE_OPENS = "temperature at which the valve opens"
WHAT_THE_PASSES_ON = "what the {kind} passes on"
BY_HOW_MUCH_LOWER_THE_VALVE_OPENS_UNDER_LOAD = "by how much lower the valve opens under load"
COOLANT_TEMPERATURE_UP = "coolant temperature up to which the pump stands"
HEATERS_SETTING_WHICH_NOBODY_NOTED = "the heater's setting, which nobody noted"
AIR_THAT_THE_HEATERS_SETTING_BLOWS = "air that the heater's setting blows"
WHETHER_THE_COOLANT_HEATER_RAN = "whether the coolant heater ran, which nobody noted"
ENGINES_SHARE_OF_THE_TIME = "share of the time that the engine ran"
AIR_AROUND_THE_VEHICLE_AGAINST_WHAT = "air around the vehicle against what was noted"

# engcalc/vehicle/warmup_study.py
WARM_UP_WAS_CANCELLED = "the warm-up was cancelled"
