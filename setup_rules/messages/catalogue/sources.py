"""Where a number comes from, as it is shown beside a reason: whole texts, also where two sources stand together."""

from __future__ import annotations

from typing import Final

from setup_rules.messages.marking import N_

PRACTICE: Final = N_("common practice, no source")
ESTIMATE: Final = N_("our estimate")
ENTERED: Final = N_("as entered")
CHART: Final = N_("the chart of this fork or shock, as entered")
FORCE_BALANCE: Final = N_("force balance on the piston; Boyle's law, settled (n = 1)")
CONDITIONS: Final = N_("Gay-Lussac's law; standard atmosphere, ISO 2533")
COIL: Final = N_("force balance on the spring; Hooke's law")
DAMPING: Final = N_("c = 2ζ√(k·m); our estimate")
LEARNED: Final = N_("Bayes' rule on the readings")
SHOP_CHECKS: Final = N_("the shop's own sag checks, averaged and shrunk towards our estimate")
SAG_LIMITS: Final = N_("the pressure limits")
TOLERANCE: Final = N_("tolerance: 2 mm or 2 % of the travel")
BOUNCE: Final = N_("damped linear oscillator; damping ratio to aim for: our estimate")
SPACER_WORK: Final = N_("common practice, no source; work stored by compressing air")
STANDING_SHARE: Final = N_("our estimate: moments about the rear axle, rider above the cranks")
SEATED_SHARE: Final = N_(
    "computed from bicycles and riders measured for the BicycleParameters package (0.284 to 0.355 with bike)"
)
SCALE: Final = N_("the scale under the wheel, as entered")
PUSHES: Final = N_("the pushes, as entered; least squares within 10 N or 3 %, whichever is more")
