"""Simulated bikes with coil main springs, measured as a person measures them: written without the rules' own physics.

- draw: Draws a bike and rider, what they tell, and what nobody knows of them.
- follow: Asks for a spring, measures, changes once, and says how far the sag is off then.
- __main__: Prints the figures: `python -m tests.benchmarks.coils [bikes] [seed]`.
"""
