"""The answers: first setup, sag check, bounce check, ride, what-if, travel plan, with reasons and cautions.

- bike_memory: A bike that several riders share: what it remembers goes into a request, what a rider's checks teach …
- bounce_check: The bounce check: what is seen after one firm dip, beside the style's aim, and the rebound clicks …
- carried_clicks: Clicks after a change of pressure: far enough, and they follow the spring; otherwise they stay …
- cautions: Where somebody could get hurt, or a number is not what was asked for: the cautions that go with a result.
- check_cautions: What the sag checks of one end say of the bike: a sticky spring, answers that disagree, something …
- corrections: Every later correction of a setup: a bounce check, a ride, a changed circumstance. Composition only.
- number_changes: Which numbers a rider has to set anew: everything that differs between two answers, in the order of …
- reasons: The sentences that go with a result: why each number is what it is, and what to do after a sag check.
- recommend: From a request to a setup, and from a setup and a sag check to the next: composition only, no formula.
- ride_report: After the ride: from what a rider felt to exactly one change, and the end of the road.
- sag_check: The sag check: what a measured sag says of the spring, and the pressure that follows from it.
- taken_checks: Sag checks of both ends at once, and a check that is struck out: kept in the history, not counted.
- travel_plan: A change of travel planned whole: spacers to fit, the setup afterwards, and what the bike becomes.
- wording: Keys and numbers that several messages of an answer share.
"""
