"""Single parts: engine, exchanger, fan, pump, thermostat, heater, cabin, cap."""
