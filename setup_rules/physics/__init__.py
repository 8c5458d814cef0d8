"""Published relations, one a function: air, springs, loads, leverage, damping, geometry.

- air_pressure: The setting of an air spring: pressure pumped at the bench, and what weather and altitude make of it.
- air_spring: The air spring: force, rate and work over compression, and set pressure to sag both ways.
- atmosphere: Air pressure over altitude: the standard atmosphere's troposphere.
- coil_spring: A coil main spring: force, rate and work over compression, and its setting, the spring's rate.
- damping: Damping: what a damping ratio asks of the adjuster, and what a bounce tells of the ratio.
- gas: A sealed amount of air: pressure over volume and temperature, work, and what a pump hose takes.
- linkage: The rear linkage: leverage over the stroke, and what it makes of travel and rate at the wheel.
- rider_load: How much of rider, kit and bike a spring end carries in the riding stance.
- settling: Where a spring comes to rest under a load: one search for every kind of spring.
- spring: What the rules ask of any spring, and of what is set on it: an air spring, or a coil.
- travel_change: Travel change by travel spacers: which stacks give a travel, and what a longer or shorter fork does …
- twin_air_spring: An air spring with two positive chambers: the second one, at its own higher pressure, joins at a …
"""
