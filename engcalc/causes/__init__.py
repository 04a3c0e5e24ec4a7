"""What can be wrong with a vehicle: one record for each cause, and how often each is met.

This package lies under the case, so that the case can have an input for each cause. It names inputs by their path as
text (``thermostat.closed_leak``) and knows no case; what a cause makes of one is computed in
:mod:`engcalc.diagnosis.members.faulty_vehicle`.
"""
