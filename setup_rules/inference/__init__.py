"""What is not known: size classes, drawn springs, readings as likelihood, the start setting that follows.

- calibration: How right the rules were: how often a stated range held, and where checks would move the centre of a …
- checked_guess: What the first sag check of a setup says of the guess that it checked: whether its range held, and …
- class_shift: What a shop's own sag checks say of a size class, as evidence on the drawn springs.
- coil_class: What is not known of an end with a coil main spring: the push of the damper's gas. The rate is what is …
- draw_weights: Weights of drawn springs from their log likelihoods, evened out where too few draws would carry them.
- end_model: One spring end of one request: what drawn unknowns make of its springs, loads and surroundings.
- likelihood: From sag readings to what they say of a spring end: a weighted set of springs and loads.
- measured: The drawn unknowns of one end before any sag check: by class alone, or after a scale and pushes on the …
- posterior: What is known of a spring end: a weighted set of drawn springs and loads, and what follows from it.
- pressure_chart: A weight-pressure table as printed in a unit's manual: read between its rows, and what it says of …
- sag_target: Target sag by riding style and spring end.
- size_class: What a rider need not know: a spring's internals by size class, each with its spread.
- spring_memory: What earlier riders of a bike taught of its spring, kept without them: a Gaussian factor on its …
- spring_test: Four pushes on a spring: forces at several compressions at one pressure, and the springs that make them.
- start_setting: The setting for a target sag and the sag that a setting gives, each with its 90 % band.
- volume_spacer: Volume spacers: they raise the end of the stroke; at the same sag the pressure hardly moves.
- weighed_wheel: What a bathroom scale under a wheel says of the front shares of rider and bike, one knowledge of both.
"""
