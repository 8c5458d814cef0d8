"""A population of drawn springs, riders and readings, to measure the rules against from outside.

Everything here is written from how a person sets sag on a real bike, and shares no line and no belief with
`setup_rules`, which is only asked for its answers (`asking`). In the order in which it happens:

- `ranges`: every range in one place, each with its unit and why a real bike differs from a plain model;
- `draw`: what a rider tells, then the hidden truth given what was told;
- `spring`: the forces, where the spring settles, and the gap at the O-ring: compression under the rider less the
  compression where the gap is read (bike standing without its rider, or the wheel lifted);
- `measuring`: pump, friction with a habit, posture, rounding, slow leaks and slips of the pen;
- `asking`: the only door to the rules under test;
- `oracle`: the best that anyone can do with what was told and read, as the limit that the rules are judged by;
- `advising` and `habits`: rules, oracle and hand rules followed until they say that it is done;
- `benching`: a scale under the wheel and pushes on the spring, told to the rules and to an oracle;
- `figures` and `table`: what comes out.

Every range is an engineering estimate from memory or common practice, no source; nothing was measured on named units.
What is left out: real gas, temperature between bench and ride, a fork's bending, tyres, springs mounted with spacers
that the rider enters, sag targets that change, two riders on one bike.
"""
