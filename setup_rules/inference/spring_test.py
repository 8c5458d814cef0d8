"""Four pushes on a spring: forces at several compressions at one pressure, and the springs that make them.

Each force is read going down and coming up; the mean is the spring, half the difference its friction. Weights alone
could not follow: of 512 drawn springs only a handful lie within the errors of four forces. So every drawn spring is
moved, as little as its class allows, until it makes the forces, each within an error that is drawn for it: the draws
then stand for what is known, with equal weights (randomised maximum likelihood; exact where forces are straight in the
unknowns, and nothing is random: the same pushes always give the same springs).
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.size_class import COLUMN, normal_quantile
from setup_rules.types import constants as c
from setup_rules.types.request import Conditions, EndName, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.units import PSI_PA

#: What is fitted, beside one figure for the whole spring: all that makes the force. Friction is read off by itself.
FITTED: Final = ("bore", "ratio", "negative_area", "negative_volume", "port", "leg_area", "leg", "gas")
_STEPS: Final = 10
_WARM: Final = 1.05
_CURVE_POINTS: Final = 25
#: Places in the stroke between which the wheel's travel is read off [count], and fits that are kept in memory.
_WHEEL_POINTS: Final = 201
_MOST_FITS: Final = 64
#: Step of the derivative of a force, in standard deviations of an unknown.
_NEAR: Final = 1e-4
#: An unknown stays within this many standard deviations.
_MOST: Final = 4.0
#: A spring in order has some friction left [N].
_LEAST_FRICTION_N: Final = 2.0


@dataclass(frozen=True, slots=True)
class Pushes:
    """A spring test made ready, at the spring: compressions [m], forces [N] down and up."""

    x_m: tuple[float, ...]
    down_n: tuple[float, ...]
    up_n: tuple[float, ...]

    @property
    def mean_n(self) -> Any:
        """The spring's force at each compression [N]: friction cancels."""
        return 0.5 * (np.array(self.down_n) + np.array(self.up_n))

    @property
    def friction_n(self) -> Any:
        """The friction at each compression [N]: half of what lies between down and up."""
        return 0.5 * (np.array(self.down_n) - np.array(self.up_n))

    @property
    def sigma_n(self) -> Any:
        """Standard deviation of each force [N]."""
        return np.maximum(c.PUSH_SIGMA_N.value, c.PUSH_SIGMA.value * np.abs(self.mean_n))


def pushes_of(end: FrontEnd | RearEnd) -> Pushes:
    """Return the pushes of an end's test, carried from the wheel to the spring where they were made there.

    x with ∫ LR dx = x_w from 0 to x, F = F_w·LR(x)

    Parameters
    ----------
    end : FrontEnd or RearEnd
        With its `spring_test`.

    Returns
    -------
    Pushes [m, N]

    Examples
    --------
    >>> from setup_rules.types.request import SpringTest
    >>> test = SpringTest(pressure_psi=150.0, compression_mm=(29.0, 58.0, 87.0), force_down_n=(300.0, 500.0, 700.0),
    ...                   force_up_n=(280.0, 480.0, 680.0), at="wheel")
    >>> shock = RearEnd(stroke_mm=55.0, leverage_start=2.9, leverage_end=2.9, spring_test=test)
    >>> pushes = pushes_of(shock)
    >>> [round(1000 * x, 2) for x in pushes.x_m], [round(n) for n in pushes.down_n]
    ([10.0, 20.0, 30.0], [870, 1450, 2030])

    References
    ----------
    Definition of the leverage ratio; virtual work, any text on mechanics.
    """
    test = end.spring_test
    if test is None:
        return Pushes((), (), ())
    x = tuple(mm / 1000 for mm in test.compression_mm)
    if test.at == "spring":
        return Pushes(x, test.force_down_n, test.force_up_n)
    model = bench_model("rear", end, Conditions())
    grid = np.linspace(0.0, model.travel_m, _WHEEL_POINTS)
    wheel = np.array([model.leverage.wheel_travel_m(float(one)) for one in grid])
    at = tuple(float(one) for one in np.interp(x, wheel, grid))
    ratio = [float(model.leverage.at(one)) for one in at]
    return Pushes(
        at,
        tuple(n * r for n, r in zip(test.force_down_n, ratio, strict=True)),
        tuple(n * r for n, r in zip(test.force_up_n, ratio, strict=True)),
    )


def bench_model(name: EndName, end: FrontEnd | RearEnd, air: Conditions) -> EndModel:
    """Return an end alone on the bench: it has no rider, and whatever stands in for one changes no force."""
    return EndModel(name, end, SetupRequest(rider_mass_kg=75.0, riding_style="trail", bench=air, ride=air))


def tested_model(model: EndModel) -> EndModel:
    """Return an end as it stood when it was pushed: travel, volume spacers and air of that day."""
    end, test = model.end, model.end.spring_test
    if test is None:
        return model
    spacers = end.volume_spacers if test.tested_spacers is None else test.tested_spacers
    bench = model.request.bench
    here = Conditions(
        temperature_c=bench.temperature_c if test.temperature_c is None else test.temperature_c,
        altitude_m=bench.altitude_m if test.altitude_m is None else test.altitude_m,
    )
    stood = _with_travel(replace(end, volume_spacers=spacers), test.tested_travel_mm)
    tested = EndModel(model.name, stood, replace(model.request, bench=here, ride=here))
    return tested.pumped(test.pressure_psi * PSI_PA)


def _with_travel(end: FrontEnd | RearEnd, travel_mm: float | None) -> FrontEnd | RearEnd:
    if travel_mm is None or not isinstance(end, FrontEnd):
        return end
    longest = max(end.longest_travel_mm or end.travel_mm, travel_mm)
    return replace(end, travel_mm=travel_mm, longest_travel_mm=longest)


@dataclass(frozen=True, slots=True)
class Bench:
    """A spring test with the end that it was made on, ready to be held against drawn springs."""

    model: EndModel
    pushes: Pushes

    @classmethod
    def of(cls, model: EndModel) -> Bench:
        """Make ready the test of an end."""
        stood = tested_model(model)
        return cls(stood, pushes_of(stood.end))


def _forces_n(bench: Bench, y: Any, z: Any, at_m: Any | None = None) -> Any:
    """Return the forces [N] at the pushes for unknowns y: those of `FITTED`, the exponent, the whole spring."""
    model, test = bench.model, bench.model.end.spring_test
    here, setting = model.request.bench, model.setting
    acting = setting.acting((test.pressure_psi if test else 0.0) * PSI_PA, here)
    x = np.array(bench.pushes.x_m if at_m is None else at_m)[None, :]
    springs = model.springs(_with_unknowns(model, y, z)[:, None, :])
    # Nobody holds a spring until all of its heat is gone: the air has settled nearly, not quite. Between two exponents
    # as near as these a force is a straight line.
    settled, warm = (springs.force_n(x, acting, setting.site(here), n) for n in (1.0, _WARM))
    above = np.maximum(0.0, normal_quantile(y[:, -2:-1], c.PUSH_EXPONENT) - 1.0) / (_WARM - 1.0)
    return (settled + above * (warm - settled)) * (1.0 + c.SPRING_SIGMA.value * y[:, -1:])


def _with_unknowns(model: EndModel, y: Any, z: Any) -> Any:
    moved = z.copy()
    for place, name in enumerate(FITTED):
        beyond = c.BEYOND_CLASS_BORE[model.name] if name == "bore" else c.BEYOND_CLASS
        moved[:, COLUMN[name]] = _share_of(y[:, place]) * (1.0 + 2.0 * beyond.value) - beyond.value
    return moved


def _share_of(y: Any) -> Any:
    from scipy.special import ndtr

    return ndtr(y)


def _find_springs(bench: Bench, start: Any, z: Any, error: Any) -> Any:
    """Return the unknowns nearest to where each draw stood whose springs make the forces, each with its own error.

    Least of |y − y₀|² + Σ ((F_j + σ_j·ε_j − F_j(y))/σ_j)²: y = y₀ + Jᵀ(J·Jᵀ + 1)⁻¹(r + J·(y − y₀)), again and again.
    `start` is y₀, shape (draws, fitted + 2), `z` holds what is not fitted, `error` is ε, shape (draws, pushes).
    """
    sigma = bench.pushes.sigma_n
    wanted = bench.pushes.mean_n + sigma * error
    y = start.copy()
    for _ in range(_STEPS):
        at = _forces_n(bench, y, z)
        slope = np.stack([(_forces_n(bench, _nudged(y, k), z) - at) / _NEAR for k in range(y.shape[1])], axis=-1)
        slope = slope / sigma[None, :, None]
        left = (wanted - at) / sigma + np.einsum("njk,nk->nj", slope, y - start)
        inner = slope @ np.swapaxes(slope, 1, 2) + np.eye(len(sigma))
        toward = start + np.einsum("njk,nj->nk", slope, np.linalg.solve(inner, left[..., None])[..., 0])
        # Half-way steps: a force is no straight line in the chambers.
        y = np.clip(y + np.clip(toward - y, -1.0, 1.0), -_MOST, _MOST)
    return y


def _nudged(y: Any, column: int) -> Any:
    moved = y.copy()
    moved[:, column] += _NEAR
    return moved


@dataclass(frozen=True, slots=True)
class Fit:
    """The likeliest spring of a test, as a curve, what each push lies above it, and the friction found [m, N]."""

    pushes: Pushes
    residual_n: tuple[float, ...]
    sigma_n: tuple[float, ...]
    friction_n: float
    curve_m: tuple[float, ...]
    curve_n: tuple[float, ...]

    @property
    def farthest(self) -> int:
        """The place of the push that lies furthest off, in standard deviations."""
        off = [abs(n) / s for n, s in zip(self.residual_n, self.sigma_n, strict=True)]
        return off.index(max(off))

    @property
    def is_a_spring(self) -> bool:
        """Whether some air spring of this kind makes the forces, within their errors."""
        worst = self.farthest
        return abs(self.residual_n[worst]) <= c.FARTHEST_PUSH.value * self.sigma_n[worst]


def fit_of(model: EndModel) -> Fit:
    """Return the likeliest spring of the test of an end, for the points and their residuals.

    Raises
    ------
    LimitError
        When a temperature or an altitude of the test is out of range.
    """
    return _fit(model.name, model.end, model.request.bench)


@functools.lru_cache(maxsize=_MOST_FITS)
def _fit(name: EndName, end: FrontEnd | RearEnd, bench_air: Conditions) -> Fit:
    from setup_rules.inference.posterior import central_row

    bench, centre = Bench.of(bench_model(name, end, bench_air)), central_row()[None, :]
    start, still = np.zeros((1, len(FITTED) + 2)), np.zeros((1, len(bench.pushes.x_m)))
    y = _find_springs(bench, start, centre, still)
    left = bench.pushes.mean_n - _forces_n(bench, y, centre)[0]
    shares = _friction_share(bench, np.zeros(1))
    friction = float(bench.model.friction_n(_with_friction(centre, shares))[0])
    grid = np.linspace(0.0, bench.model.travel_m, _CURVE_POINTS)
    curve = _forces_n(bench, y, centre, grid)[0]
    return Fit(
        bench.pushes,
        tuple(left.tolist()),
        tuple(bench.pushes.sigma_n.tolist()),
        friction,
        tuple(grid.tolist()),
        tuple(curve.tolist()),
    )


def mass_sigma(*, weighed: bool) -> float:
    """Return what the masses as stated may leave out of the load: nearly nothing once a scale has shown it.

    √(σ² − σ_spring²), or what is left after a scale

    Parameters
    ----------
    weighed : bool
        Whether a scale under the end's own wheel has shown its load.

    Returns
    -------
    float [-]
        Standard deviation, as a share of the load.

    Examples
    --------
    >>> round(mass_sigma(weighed=False), 4), mass_sigma(weighed=True)
    (0.0335, 0.01)

    References
    ----------
    Difference of independent variances; `MODEL_SIGMA` and `SPRING_SIGMA` in `setup_rules.types.constants`.
    """
    if weighed:
        return c.WEIGHED_SIGMA.value
    return math.sqrt(c.MODEL_SIGMA.value**2 - c.SPRING_SIGMA.value**2)


def _friction_share(bench: Bench, error: Any) -> Any:
    """Return the unknown "friction" of each draw after a test, for its standard normal error.

    The class's spread taken as normal, and the mean of half the differences: weighed by their variances.
    """
    spread = c.FRICTION[bench.model.name]
    width = spread.high - spread.low
    found, count = bench.pushes.friction_n, len(bench.pushes.x_m)
    variance = float(np.mean(bench.pushes.sigma_n**2)) / (2.0 * count)
    prior = width**2 / 12.0
    middle = (spread.middle * variance + float(np.mean(found)) * prior) / (variance + prior)
    newton = middle + np.sqrt(variance * prior / (variance + prior)) * error
    return (np.maximum(newton, _LEAST_FRICTION_N) - spread.low) / width


def _with_friction(z: Any, share: Any) -> Any:
    moved = z.copy()
    moved[:, COLUMN["friction"]] = share
    return moved


def pushed_springs(model: EndModel, z: Any, error: Any, masses: Any, *, weighed: bool) -> Any:
    """Return rows of unknowns after the test of an end: each spring moved to make the forces, with its friction.

    Least of |y − y₀|² + Σ ((F_j + σ_j·ε_j − F_j(y))/σ_j)² for each row, y its unknowns as standard normal numbers and
    one for the whole spring, which moves the unknown "model" along

    Parameters
    ----------
    model : EndModel
        The end, with its `spring_test`.
    z : array [-]
        Rows of unknowns before the test, shape (draws, unknowns).
    error : array [-]
        Standard normal numbers of their own, shape (draws, pushes + 2 or more): one a push, then for friction
        and for how far the air had settled.
    masses : array [-]
        One more a row, for what the masses as stated leave out.
    weighed : bool
        Whether a scale under the end's own wheel has shown its load.

    Returns
    -------
    array [-]
        As `z`.

    Examples
    --------
    >>> from setup_rules.inference.posterior import central_row
    >>> from setup_rules.types.request import SpringTest
    >>> test = SpringTest(pressure_psi=80.0, compression_mm=(21.0, 42.0, 98.0), force_down_n=(200.0, 350.0, 900.0),
    ...                   force_up_n=(160.0, 310.0, 850.0))
    >>> fork = FrontEnd(travel_mm=140.0, stanchion_mm=34, spring_test=test)
    >>> model = EndModel("front", fork, SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork))
    >>> row = pushed_springs(model, central_row()[None, :], np.zeros((1, 5)), np.zeros(1), weighed=False)
    >>> round(float(model.friction_n(row)[0]), 1)
    20.2

    References
    ----------
    Randomised maximum likelihood: draws of a posterior as penalised least squares, any text on inverse problems.
    """
    from scipy.special import ndtri

    bench = Bench.of(model)
    count = len(bench.pushes.x_m)
    rows = [ndtri(np.clip(z[:, COLUMN[name]], 1e-6, 1.0 - 1e-6)) for name in FITTED]
    start = np.stack([*rows, error[:, count + 1], -z[:, COLUMN["model"]]], axis=-1)
    y = _find_springs(bench, start, z, error[:, :count])
    moved = _with_friction(_with_unknowns(bench.model, y, z), _friction_share(bench, error[:, count]))
    own = np.hypot(mass_sigma(weighed=weighed), c.PUSHED_SIGMA.value) * masses
    more = 0.0 if weighed else c.STATED_MORE.value
    moved[:, COLUMN["model"]] = (more + own - c.SPRING_SIGMA.value * y[:, -1]) / c.MODEL_SIGMA.value
    return moved
