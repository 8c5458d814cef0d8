"""Checks on the stand: torque, leaks, and the steps of a service.

- checklist: The steps of a service as a checklist: what kinds there are, which are a matter of safety, what is still …
- leak_check: The leak check: two pressures, two temperatures and the time between; a loss a day with its uncertainty.
- service_kinds: The steps of a service by its kind: what a fork or shock gets besides the steps of safety.
- torque_check: Torque entered against the range in the unit's manual: in, out, or in only when read in another unit.
"""
