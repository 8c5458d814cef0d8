"""A population of drawn springs, riders and readings, to measure the rules against from outside.

The physics here is written a second time and shares no line with `setup_rules`, which is only asked for its
answers (`population.asking`). How the population differs from the model that the rules hold:

- the gas has not quite settled when a reading is taken (exponent 1.00 to 1.06, also in the lower legs);
- the positive chamber is no plain cylinder: its volume bulges or narrows mid-travel (1 sigma 1 % of A*T);
- the negative chamber is not filled quite evenly by cycling (1 sigma 1 %, anew at each pumping);
- the pump's gauge has a scale error (1.5 %) and an offset (0.7 psi), and the pressure set is not quite the one shown;
- friction has a side: it depends on the rider's habit, the day and the reading, and breakaway adds to some readings;
  a reading from above or below mobilises 60 to 100 % of it, not all;
- the rider leans differently on each day and at each reading (front share 1 sigma 0.006 and 0.008);
- the O-ring is dragged a little too far (0 to 1 mm on a fork, 0 to 0.5 mm on a shock);
- the reading is rounded to whole or half millimetres;
- masses are known to about 1 kg, the bike's weight shares and unsprung masses vary;
- the linkage curve is bowed between the start and the end that the rider gives;
- altitude is left out by half of the riders, the head angle too.

`draw.Effects` switches each of these off, to tell an effect that is missing from a spread that is wrong.

No rider enters a maximum pressure, so the rules' own cautious default holds some of them back: the tables show these
cases in a row of their own as well as among all.

Every spread is an engineering estimate from memory, not a measurement of real units.
"""
