"""The checks that find the part at fault once a cause is found or leads: fuse or motor, core or valve, plug or sensor.

The odds do not weigh them: causes are no finer than what temperatures and looks can tell apart. Each says where its
result goes back in. Minutes are common practice, no source, for a part in easy reach. One is added by writing its
record into ``_ALL``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.checks.hand_checks import AT_THE_NECK, CHECKS, HandCheck

HEATER_CORE = "heater_core_leak"
_ENGINE_OFF = ("fan_by_itself", "moving_parts")  # cautions
_ENGINE_RUNS = ("moving_parts", "exhaust")
_OPENED_COLD = ("hot_cap", "poison", "disposal")

_ALL = (
    # ---- the fan, in the order in which the trade looks -----------------------------------------------------------
    HandCheck(
        key="fan_fuse",
        title="Fan fuse",
        minutes=3.0,
        tools="Test lamp or voltmeter, the maker's fuse plan.",
        how="Ignition on: test for battery voltage on both sides of the fan's fuse.",
        tells="Voltage on one side only: the fuse is blown. Find out why before you fit another of the same rating.",
        answers=("fan_fuse_good",),
        part_of=("fan_not_running",),
        cautions=_ENGINE_OFF,
    ),
    HandCheck(
        key="fan_relay",
        title="Fan relay",
        minutes=5.0,
        tools="A relay of the same kind that works, voltmeter.",
        how="Command the fan and feel the relay click. Swap it for one of the same kind and command the fan again.",
        tells="The fan runs with the other relay: replace the relay. No click with either: look at what switches it.",
        answers=("fan_relay_works",),
        part_of=("fan_not_running", "fan_always_on"),
        cautions=_ENGINE_OFF,
    ),
    HandCheck(
        key="fan_motor",
        title="Fan motor",
        minutes=10.0,
        tools="Fused jumper leads, voltmeter.",
        how="Engine off and cool: unplug the fan, turn it by hand, then feed it from the battery by a fused lead.",
        tells="It runs freely: the motor is good, the fault lies before its plug. Stuck or stiff: replace the motor.",
        answers=("fan_motor_runs",),
        part_of=("fan_not_running",),
        cautions=(*_ENGINE_OFF, "hot_cap"),
    ),
    HandCheck(
        key="fan_switch",
        title="Fan switch, or the signal that commands the fan",
        minutes=8.0,
        tools="Scan tool, voltmeter, jumper lead.",
        how="Read the coolant and the fan command on the scan tool. With a switch in the radiator, bridge its plug.",
        tells="Hot but no command: sensor or control unit. The fan runs with the plug bridged: replace the switch.",
        answers=("fan_runs_when_hot",),
        part_of=("fan_not_running", "fan_always_on"),
        cautions=_ENGINE_OFF,
    ),
    HandCheck(
        key="fan_wires_and_blades",
        title="Fan plug and blades",
        minutes=8.0,
        tools="Voltmeter, the maker's wiring diagram.",
        how="Engine off: compare the wires at the fan's plug with the diagram, and how the blades are fitted.",
        tells="Wires or blades the wrong way round: put them right. The fan must draw air through the radiator.",
        answers=("fan_blows_backward",),
        part_of=("fan_reversed",),
        cautions=_ENGINE_OFF,
    ),
    HandCheck(
        key="fan_clutch_by_hand",
        title="Fan clutch turned by hand",
        minutes=5.0,
        tools="A lamp.",
        how="Engine off, first cold, then hot: turn the fan by hand and look for oil round the clutch.",
        tells="It must drag clearly harder hot than cold. Free when hot, or oily: replace the clutch.",
        answers=("fan_runs_when_hot",),
        part_of=("fan_clutch_slipping",),
        cautions=_ENGINE_OFF,
    ),
    # ---- the pump -------------------------------------------------------------------------------------------------
    HandCheck(
        key="pump_command",
        title="Electric coolant pump: command and current",
        minutes=8.0,
        tools="Scan tool with output test, clamp ammeter, voltmeter.",
        how="Command the pump, listen and feel for it, and read its current. Then test fuse, plug and supply voltage.",
        tells="Supply there but no current or no sound: the pump. Nothing at the plug: fuse, wiring or control unit.",
        answers=("belt_drives_pump",),
        part_of=("pump_not_commanded",),
        cautions=("high_voltage", "fan_by_itself"),
    ),
    HandCheck(
        key="pump_seen_turning",
        title="Coolant seen moving",
        minutes=6.0,
        tools="A lamp.",
        how="Open the tank cold, start the engine and watch the return into the tank up to 2,000 rpm.",
        tells="The stream grows with speed: the pump works. None with a tight belt: the wheel is loose or worn away.",
        answers=("belt_drives_pump",),
        part_of=("pump_weak", "pump_impeller_loose", "pump_not_commanded"),
        cautions=("hot_cap", "topping_up", *_ENGINE_RUNS),
    ),
    HandCheck(
        key="block_and_hose_temperatures",
        title="Block and hoses compared, engine hot",
        minutes=6.0,
        tools="Infrared thermometer and matt tape, or clamp probes.",
        how="Engine hot at idle: read the head beside the outlet, the upper hose and the lower hose.",
        tells="Head hot, upper hose cold: the thermostat does not open. Both hoses hot: look at the air side.",
        spots=("upper_hose", "lower_hose"),
        part_of=("pump_weak", "thermostat_stuck_shut", "excess_heat"),
        cautions=_ENGINE_RUNS,
    ),
    HandCheck(
        key="suction_hose_felt",
        title="Lower hose and its spring",
        minutes=10.0,
        tools="Hand tools, catch pan.",
        how="Engine cold: squeeze the lower hose, and feel for the spring inside it where the maker fits one.",
        tells="Soft, or without its spring: replace the hose. Check the cap too: if no air comes back, it draws flat.",
        answers=("lower_hose_collapses",),
        part_of=("suction_hose_collapsed",),
        cautions=_OPENED_COLD,
    ),
    # ---- the thermostat -------------------------------------------------------------------------------------------
    HandCheck(
        key="thermostat_heater_circuit",
        title="Heater circuit of a mapped thermostat",
        minutes=8.0,
        tools="Scan tool, ohmmeter, voltmeter, the maker's values.",
        how="Unplug the thermostat, measure its heater's resistance, then the supply at the plug when commanded.",
        tells="Off the maker's value: replace the thermostat. Fed all the time: it opens early, look at the wiring.",
        spots=("valve_starts",),
        part_of=("thermostat_opens_early",),
        cautions=_ENGINE_OFF,
    ),
    HandCheck(
        key="thermostat_timed",
        title="Thermostat in hot water, timed",
        minutes=40.0,
        tools="Pot that serves for no food, heater, immersed thermometer, wire, watch.",
        how="Hang it cold into water 10 K over its full opening and time how long it takes to open fully.",
        tells="A healthy one takes a minute or less. Clearly longer than a new one beside it: replace it.",
        spots=("valve_open",),
        part_of=("thermostat_slow",),
        cautions=("boiling_pot", "hot_cap", "poison"),
    ),
    HandCheck(
        key="thermostat_seat_and_seal",
        title="Thermostat's seat, seal and which one is fitted",
        minutes=5.0,
        tools="A lamp, the maker's part number and rating.",
        how="With it out and cold: read its stamp, look for dirt on the seat, a torn seal, and a jiggle pin on top.",
        tells="A wrong rating, or dirt or a tear that lets coolant by, does the same as a stuck one.",
        answers=("thermostat_open_when_cold",),
        part_of=("thermostat_stuck_open", "thermostat_opens_early", "thermostat_missing"),
        cautions=(*_OPENED_COLD, "torque"),
    ),
    # ---- the heater -----------------------------------------------------------------------------------------------
    HandCheck(
        key="flap_and_actuator",
        title="Temperature flap and its actuator",
        minutes=10.0,
        tools="Scan tool with output test, a lamp; for a cable, pliers.",
        how="Move the setting from cold to hot and back. Watch the actuator's shaft or cable and listen for the flap.",
        tells="Actuator moves, air stays cold: broken flap or shaft. No movement: actuator, cable or command.",
        spots=("vent",),
        part_of=("heater_blend_stuck",),
        cautions=("exhaust",),
    ),
    HandCheck(
        key="heater_valve_moved",
        title="Heater's coolant valve moved",
        minutes=6.0,
        tools="Hand vacuum pump or scan tool, clamp probe.",
        how="Engine warm: move the valve by its cable, vacuum or command. Read the hose before and behind it.",
        tells="Hot before, cold behind: the valve sticks. Nothing moves it: cable, vacuum or command.",
        spots=("heater_inlet_hose", "heater_outlet_hose"),
        part_of=("heater_valve_closed",),
        cautions=_ENGINE_RUNS,
        beside_heaters=True,
    ),
    HandCheck(
        key="heater_core_flow",
        title="Flow through the heater core",
        minutes=30.0,
        tools="Garden hose with a low-pressure gun, hose pliers, catch pan.",
        how="Engine cold: take both hoses off the core and let water run through it both ways at low pressure.",
        tells="A thin or brown stream: clogged, flush it or replace it. A full stream: look at valve, pump and air.",
        spots=("heater_outlet_hose",),
        part_of=("heater_core_restricted",),
        cautions=(*_OPENED_COLD, "bleeding"),
    ),
    HandCheck(
        key="blower_and_cabin_filter",
        title="Blower and cabin filter",
        minutes=8.0,
        tools="Voltmeter, a lamp.",
        how="Take the cabin filter out, set the blower high and feel the air. Measure the voltage at the blower.",
        tells="More air without the filter: replace it. Full voltage but little air: blower or blocked duct.",
        spots=("vent",),
        part_of=("heater_airflow_low",),
        cautions=("exhaust",),
    ),
    HandCheck(
        key="heater_hoses_put_right",
        title="Heater hoses against the drawing, after the swap",
        minutes=15.0,
        tools="Hand tools, catch pan, the maker's drawing.",
        how="Engine cold: swap the hoses as the drawing has them, fill up and bleed.",
        tells="Hot air after the bleeding: that was it. Still cold: look at flow and flap.",
        answers=("heater_hoses_swapped",),
        part_of=("heater_hoses_swapped",),
        cautions=(*_OPENED_COLD, "bleeding"),
    ),
    # ---- the sensor -----------------------------------------------------------------------------------------------
    HandCheck(
        key="sensor_resistance",
        title="Coolant sensor: resistance and plug",
        minutes=10.0,
        tools="Ohmmeter, contact thermometer, the maker's table.",
        how="Unplug it, read its resistance and the metal's temperature beside it, and compare with the maker's table.",
        tells="Off the table: replace the sensor. On the table: corroded plug, wiring or the control unit's supply.",
        spots=(AT_THE_NECK,),
        part_of=("sensor_reads_low", "sensor_reads_high", "sensor_erratic"),
        cautions=_ENGINE_OFF,
    ),
    HandCheck(
        key="sensor_wiggled",
        title="Coolant sensor: plug and wires moved",
        minutes=6.0,
        tools="Scan tool that draws the value over time.",
        how="Engine idling, value on the screen: move the plug and the wires by hand, away from belts and fan.",
        tells="The value jumps: plug or wire. It jumps untouched too: sensor, or air at its tip.",
        spots=(AT_THE_NECK,),
        part_of=("sensor_erratic", "sensor_in_air"),
        cautions=(*_ENGINE_RUNS, "fan_by_itself"),
    ),
    # ---- coolant that is lost, and what is in it --------------------------------------------------------------------
    HandCheck(
        key="leak_by_dye",
        title="Leak by dye",
        minutes=20.0,
        tools="Dye for coolant, ultraviolet lamp and glasses.",
        how="Put the dye in cold, run the engine warm, let it cool. Search hoses, pump, core and carpets by the lamp.",
        tells="Glowing traces lead to the leak. None outside, yet the level falls: suspect the engine itself.",
        answers=("coolant_leak",),
        part_of=("external_leak", "low_coolant"),
        cautions=("hot_cap", "poison", *_ENGINE_RUNS),
    ),
    HandCheck(
        key=HEATER_CORE,
        title="Heater core looked at for a leak",
        minutes=10.0,
        tools="A lamp, a white cloth; hand pump with gauge.",
        how="Cold system pumped up: feel for wet under the carpet. Wipe the core's joints and the heater box's drain.",
        tells="Coolant there: the core or its joints leak. All dry while the pressure falls: suspect the engine.",
        answers=("coolant_leak",),
        part_of=("external_leak",),
        cautions=("hot_cap", "pressure", "poison"),
    ),
    HandCheck(
        key="gas_from_which_cylinder",
        title="Cylinder leak test",
        minutes=45.0,
        tools="Cylinder leak tester, compressed air, hand tools.",
        how="Engine cold, tank open: put air into each cylinder at top dead centre and watch the tank.",
        tells="Bubbles show the cylinder that leaks into the coolant. None at all: warm it up and repeat the gas test.",
        answers=("bubbles_when_running",),
        part_of=("gas_in_coolant",),
        cautions=("hot_cap", "gas_positive", "moving_parts"),
    ),
    HandCheck(
        key="cap_seal_and_neck",
        title="Cap's seal and the filler neck",
        minutes=3.0,
        tools="A lamp, the maker's pressure for the cap.",
        how="Cap off, cold: read its stamp, look for cracks in the seal and dents or dirt on the neck.",
        tells="Wrong stamp or worn seal: fit the maker's cap. A bent neck leaks with a good cap too.",
        spots=("cap_opens",),
        part_of=("cap_weak",),
        cautions=("hot_cap", "pressure"),
    ),
    HandCheck(
        key="drained_and_looked_at",
        title="Some coolant drained and looked at",
        minutes=8.0,
        tools="Clean jar, catch pan, refractometer.",
        how="Engine cold: drain a jar full. Look for rust, sludge, oil and sealer, and let it rest.",
        tells="Rust or sludge clogs tubes. Oil points to gasket or oil cooler. Clear: look elsewhere.",
        spots=("concentration",),
        part_of=("radiator_restricted", "wrong_mixture", "heater_core_restricted", "gas_in_coolant"),
        cautions=(*_OPENED_COLD, "colour"),
    ),
    # ---- radiator and air -----------------------------------------------------------------------------------------
    HandCheck(
        key="radiator_swept",
        title="Radiator swept by infrared",
        minutes=6.0,
        tools="Infrared thermometer.",
        how="Engine hot at idle: sweep the core in rows from inlet to outlet, then read the lower hose.",
        tells="Cold stripes are blocked tubes. An even fall from inlet to outlet: the tubes are open.",
        spots=("lower_hose",),
        part_of=("radiator_restricted",),
        cautions=("fan_by_itself", *_ENGINE_RUNS),
    ),
    HandCheck(
        key="between_the_cores",
        title="Dirt between radiator and condenser",
        minutes=15.0,
        tools="A lamp, a mirror, water at low pressure.",
        how="Look between the cores from above and from the side, and shine a lamp through from behind.",
        tells="No light through the fins: clean both cores from the engine's side, at low pressure.",
        answers=("face_dirty",),
        part_of=("face_blocked", "seals_missing"),
        cautions=("fan_by_itself",),
    ),
    HandCheck(
        key="shutter_actuator",
        title="Grille shutter and its actuator",
        minutes=8.0,
        tools="Scan tool with output test, a lamp.",
        how="Command the shutter open and shut and watch the blades.",
        tells="Blades stay still: ice, broken link, actuator or its supply. They move: look at the command when hot.",
        answers=("shutter_closed",),
        part_of=("shutter_stuck",),
        cautions=("fan_by_itself",),
    ),
    HandCheck(
        key="load_on_the_engine",
        title="What loads the engine",
        minutes=20.0,
        tools="Infrared thermometer, scan tool.",
        how="After a drive, compare the brakes' temperatures and read the lower hose. Then read timing and mixture.",
        tells="A dragging brake, late timing or a lean mixture makes more heat than the cooling is built for.",
        spots=("lower_hose",),
        part_of=("excess_heat",),
        cautions=_ENGINE_RUNS,
    ),
)
PART_CHECKS: Mapping[str, HandCheck] = {check.key: check for check in _ALL}
"""Every check that finds the part at fault, by its key, in the order in which those of one cause are made."""

EVERY_CHECK: Mapping[str, HandCheck] = {**CHECKS, **PART_CHECKS}
"""Every check that a person can be sent to, by its key."""


def parts_of(causes: Iterable[str]) -> tuple[HandCheck, ...]:
    """The checks that find the part of these causes, each once."""
    keys = {key for cause in causes for key in cause.split("+")}
    return tuple(check for check in PART_CHECKS.values() if keys & set(check.part_of))


def checks_that_tell(cause: str, side: str) -> tuple[HandCheck, ...]:
    """The checks that tell a cause from a healthy vehicle, then those that find its part. ``side``: where the valve
    sits."""
    fit = [CHECKS[key] for key in CAUSES[cause].checks if CHECKS[key].valve_side in ("", side)]
    return (*fit, *parts_of((cause,)))
