"""What is asked and answered, with its units, limits, constants and errors. Imports only messages.

- constants: Every number that the rules assume, each with its unit, what kind of number it is, and where it comes from.
- errors: What can go wrong in the rules: one base, whose children also are the built-in error a caller expects.
- feedback: What a person can say was seen and felt: the closed lists that forms, rules and interface share.
- limits: Every bound on what may be entered, in one place: the form, the rules and the help text import it.
- request: What the rules are asked: a bike, a rider, a style and one or two spring ends, in the interface's own units.
- result: What the rules answer: per spring end the numbers for the pump, the O-ring and the adjusters, with reasons.
- spring_memory: What a bike keeps of its riders' sag checks: how its spring differs from the typical one, and …
- units: The closed list of units that people may use, and their factors as pint gives them.
"""
