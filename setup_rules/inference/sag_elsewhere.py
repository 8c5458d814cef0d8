"""What a sag reads elsewhere than on the ride: where the spring is set, or wherever a check was taken.

Every sag of an answer is that of the ride. A spring that is set in a warm shop is firmer there than on a cold trail, so
the same target reads less at the bench, and a reading has to be carried to the ride before the two are compared.
"""

from __future__ import annotations

from typing import Any

from setup_rules.inference.likelihood import SagLikelihood
from setup_rules.inference.posterior import Posterior
from setup_rules.inference.start_setting import DrawnEnd, held_of


def bench_shift_m(drawn: DrawnEnd, bench_value: float, on_ride_m: Any) -> float:
    """Return how much more the gap reads where the spring is set than on the ride, for a bench setting.

    Σ wᵢ·(sᵢ at the bench − sᵢ on the ride)

    Parameters
    ----------
    drawn : DrawnEnd
        Every drawn spring and load of the end.
    bench_value : float [Pa, gauge]
        As the pump reads at the bench.
    on_ride_m : array [m]
        Sag on the ride of every drawn spring (`sags_m`).

    Returns
    -------
    float [m]
        0 where the bike is ridden in the bench's air; below 0 where the ride is colder.

    Raises
    ------
    LimitError
        When a temperature or an altitude of the request is out of range.

    Examples
    --------
    >>> from setup_rules.inference.end_model import EndModel
    >>> from setup_rules.inference.posterior import prior
    >>> from setup_rules.inference.start_setting import sags_m
    >>> from setup_rules.types.request import Conditions, FrontEnd, SetupRequest
    >>> fork, cold = FrontEnd(travel_mm=140.0, stanchion_mm=34), Conditions(temperature_c=0.0)
    >>> model = EndModel("front", fork, SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork, ride=cold))
    >>> drawn = DrawnEnd.of(model, prior())
    >>> -0.005 < bench_shift_m(drawn, 500_000.0, sags_m(drawn, 500_000.0, 0.028)) < -0.001
    True

    References
    ----------
    Force balance of the spring at either place; Gay-Lussac's law for air.
    """
    setting, request = drawn.model.setting, drawn.model.request
    if request.bench == request.ride:
        return 0.0
    here = drawn.held.gap_m(setting.acting(bench_value, request.bench), setting.site(request.bench), on_ride_m)
    return drawn.posterior.mean(here - on_ride_m)


def carried_m(check: SagLikelihood, posterior: Posterior) -> float:
    """Return how much more a check reads than the same spring shows on the ride, read as the setup reads it.

    Σ wᵢ·(gap where it was measured − gap on the ride), the setting carried from one place to the other

    Parameters
    ----------
    check : SagLikelihood
        As it was taken: its place and its datum.
    posterior : Posterior
        The drawn springs with their weights.

    Returns
    -------
    float [m]
        0 where the check was read on the ride and at the datum of the setup.

    Examples
    --------
    >>> from setup_rules.inference.posterior import prior
    >>> from setup_rules.types.request import Conditions, FrontEnd, SetupRequest
    >>> from setup_rules.types.result import SagCheck, TakenCheck
    >>> from setup_rules.inference.end_model import EndModel
    >>> from setup_rules.inference.likelihood import sag_likelihood
    >>> fork = FrontEnd(travel_mm=140.0, stanchion_mm=34)
    >>> cold = Conditions(temperature_c=0.0)
    >>> request = SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork, ride=cold)
    >>> taken = TakenCheck(check=SagCheck(end="front", pressure_pa=500_000.0, readings_mm=(25.0,)), request=request)
    >>> carried_m(sag_likelihood(taken, EndModel("front", fork, request)), prior()) < -0.001
    True

    References
    ----------
    Force balance of the spring at either place; Gay-Lussac's law for air.
    """
    model, ride = check.model, check.model.request.ride
    if check.conditions == ride and check.datum in (None, model.end.datum):
        return 0.0
    setting, start_m = model.setting, check.groups[0][1][0]
    on_ride = setting.acting(setting.bench_value(check.acting, check.conditions), ride)
    there = held_of(model, posterior.z).gap_m(on_ride, setting.site(ride), start_m)
    here = held_of(model, posterior.z, check.datum).gap_m(check.acting, setting.site(check.conditions), there)
    return posterior.mean(here - there)
