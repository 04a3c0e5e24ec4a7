"""What is said while a vehicle is read."""

# ui/live/adapter.py
CANNOT_BE_OPENED = "{port} cannot be opened: {error}"
ADAPTER_IS_GONE = "the adapter is gone: {error}"
TCP_DOES_NOT_ANSWER = "tcp:{host}:{port} does not answer: {error}"
ADAPTER_CLOSED_THE_CONNECTION = "the adapter closed the connection"

# ui/live/answers.py
VEHICLE_DOES_NOT_ANSWER = "the vehicle does not answer"
ERROR_ON_THE_BUS = "an error on the bus"
ADAPTER_DOES_NOT_KNOW_THE_REQUEST = "the adapter does not know the request"
ADAPTER_LOST_ITS_POWER = "the adapter lost its power"

# ui/live/before_run.py
CASE_WITH_A_LOG = "a case with a log, minutes and temperatures, or coolant read by hand before the repair would do"

# ui/live/can_bus.py
CAN_BUS_NEEDS_THE_PACKAGES_PYTHON_CAN = (
    "a CAN bus needs the packages python-can and can-isotp: pip install 'heatdocket[can]'"
)
SOCKETCAN_CANNOT_BE_OPENED = "socketcan:{channel} cannot be opened: {error}"
IS_NO_REQUEST_TO_A_VEHICLE = "{data!r} is no request to a vehicle, so it is not sent"
BUS_IS_GONE = "the bus is gone: {error}"
FRAME_DOES_NOT_ONLY_READ = "the frame {number:X} {data} does not only read, so it is not sent"
BUS_TAKES_NOTHING = "the bus takes nothing: {error}"

# ui/live/link.py
VEHICLE_DOES_NOT_ANSWER_IS_THE_IGNITION = "the vehicle does not answer: is the ignition on?"
ADAPTER_WITHOUT_A_NAME = "an adapter without a name"
ADAPTER_DOES_NOT_ANSWER = "the adapter does not answer"
WHAT_ANSWERS_THERE_IS_NO_ADAPTER = "what answers there is no adapter: it never stops"

# ui/live/low_energy.py
LOW_ENERGY_NEEDS_THE_PACKAGE_BLEAK = "Bluetooth low energy needs the package bleak: pip install 'heatdocket[ble]'"
LOW_ENERGY_ADAPTER_IS_GONE = "the adapter is gone"
NO_LOW_ENERGY_ADAPTER_IN_SIGHT = "no Bluetooth adapter {name} is in sight: is it plugged in and free?"
NO_SERIAL_SERVICE_IS_KNOWN = "{name} carries no serial service that is known here"
LOW_ENERGY_ADAPTER_DOES_NOT_ANSWER = "the Bluetooth adapter does not answer: {why}"
IT_TAKES_TOO_LONG = "it takes too long"

# ui/live/planning.py
LOG_IN_THIS_RECORD = "a log in this record, to go on from, would do; or a plan from a cold start"

# ui/live/ports.py
SERIAL_PORT_TCP_HOST_PORT = "a serial port, tcp:HOST:PORT, ble:NAME, or socketcan:INTERFACE, would do"
SUCH_AS_TCP_192_168_0_10_35000_WOULD_DO = "such as tcp:192.168.0.10:35000 would do"
SUCH_AS_SOCKETCAN_CAN0_WOULD_DO = "such as socketcan:can0 would do"
NONE_WOULD_DO = "none would do: a CAN interface has its rate from whoever brought it up"
NAME_OR_ADDRESS_WOULD_DO = "the adapter's name or address would do, such as ble:OBD or ble:00:11:22:33:44:55"
LOW_ENERGY_HAS_NO_RATE = "none would do: Bluetooth low energy has no such rate"

# ui/live/reading.py
VEHICLE_ANSWERS_AGAIN = "the vehicle answers again"
STOPPED_BY_THE_PERSON = "stopped by the person"

# ui/live/recording.py
COOLANT_TEMPERATURE_SENSOR_2 = "Coolant temperature sensor 2"
PLACE_THAT_CAN_BE_WRITTEN_WOULD_DO = "a place that can be written would do: {strerror}"
LOG_CANNOT_BE_WRITTEN_ON = "the log cannot be written on: {strerror}"
FREEZE_FRAME_OF = "Freeze frame of {frozen_by}: "

# ui/live/replay.py
GAP_OF_THE_LOG = "a gap of the log"
LOG_IS_OVER = "the log is over"

# ui/live/requests.py
REQUEST_DOES_NOT_ONLY_READ = "the request {text!r} does not only read, so it is not sent"

# ui/live/typed.py
SUCH_LINES_WOULD_DO = (
    'a place and a number, such as "upper hose 60", would do: neck, upper hose, lower hose, heater inlet, heater outlet, '
    "vent; or one of: {facts}"
)
HEATER_IS_SET = "heater {setting}, {at} after the start"
READ_BY_HAND_AT = "{place} {value}, {tool}, {at} after the start"
NOTHING_TYPED_YET = "a line to take back would do: nothing was typed yet"
LAST_LINE_IS_TAKEN_BACK = "the last line is taken back"
