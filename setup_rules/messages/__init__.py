"""Sentences as data: a key and values, and the catalogue of their English templates. Imports nothing else.

- catalogue/cautions: The cautions that go with a setup: where someone can get hurt, or a number is not what was …
- catalogue/checks: Sag check and bounce check: what can be wrong with one, and what to do after it.
- catalogue/coils: Coil main springs: why a rate and a preload, what to take care of, and what to do after a check or …
- catalogue/limits: What each input is called, and why its bounds are where they are: one short sentence each.
- catalogue/measured: A scale under a wheel and pushes on a spring: what was found, and what cannot be.
- catalogue/reasons: The reasons that go with a setup: why each number is what it is.
- catalogue/requests: What can be wrong with a request, a check or a ride as it is sent: each with what to do.
- catalogue/rides: After the ride: what can be wrong with a ride report, and the one change that follows from it.
- catalogue/second_chamber: A second positive chamber: why its pressure, where it joins, and what to take care of.
- catalogue/sources: Where a number comes from, as it is shown beside a reason: whole texts, also where two sources …
- catalogue/travel: A change of travel: what can be wrong with a wish, and what the geometry and the spacers do not …
- catalogue/workshop: Checks on the stand: what can be wrong with the readings of a leak check or with a torque.
- marking: Marks English sentences for extraction: what stands in `N_` or `NN_` is what a translator is given.
- message: A sentence as data: which template, and the values that fill it. It becomes words where it is shown.
- rounding: Numbers as fine as a sentence shows them: they stay numbers.
"""
