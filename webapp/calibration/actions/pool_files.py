"""Pools the files of several shops into one table of estimates."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from setup_rules.inference.calibration import (
    BIKE_SIGMA,
    average_log,
    bounded_logs,
    held_share_interval,
    interval_half,
    pool_logs,
)
from setup_rules.inference.class_shift import SPRING_CLASSES
from webapp.calibration.anonymous_file import AnonymousCheck, CalibrationFileError, read_file
from webapp.ground.text.i18n import gettext as _


@dataclass(frozen=True, slots=True)
class PooledClass:
    """What several shops say of a class: bikes, shops, the factor with its 90 % interval, the share that held."""

    spring_class: str
    checks: int
    shops: int
    factor: float
    low: float
    high: float
    held: int
    held_low: float
    held_high: float


def pool_files(contents: Sequence[bytes]) -> list[PooledClass]:
    """Return the table of several shops' files, one row a class that any of them has.

    Raises
    ------
    CalibrationFileError
        When one of them cannot be read, or two are the same.
    """
    if len(set(contents)) < len(contents):
        raise CalibrationFileError(_("Two of the files are the same. Give each shop's file once."))
    shops = [read_file(content) for content in contents]
    pooled = (
        _pool(name, [[one for one in rows if one.spring_class == name] for rows in shops]) for name in SPRING_CLASSES
    )
    return [one for one in pooled if one is not None]


def _pool(name: str, shops: Sequence[Sequence[AnonymousCheck]]) -> PooledClass | None:
    given = [rows for rows in shops if rows]
    if not given:
        return None
    averages = [average_log(bounded_logs([one.factor for one in rows]), [BIKE_SIGMA] * len(rows)) for rows in given]
    mean, variance = pool_logs([m for m, _v in averages], [v for _m, v in averages])
    count, held = sum(map(len, given)), sum(row.held for rows in given for row in rows)
    half = interval_half(variance, count)
    low, high = held_share_interval(held, count)
    middle, least, most = (math.exp(mean + side * half) for side in (0.0, -1.0, 1.0))
    return PooledClass(name, count, len(given), middle, least, most, held, low, high)
