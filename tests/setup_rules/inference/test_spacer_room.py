"""How many volume spacers a chamber takes, counted on a chamber whose room is known.

Bore 30 mm: 706.858 mm², over 140 mm 98.960 cm³ swept. With 148.960 cm³ fully extended, 50 cm³ are left at full
compression, of which a twentieth of the swept volume, 4.948 cm³, has to stay, and a fifth, 19.792 cm³, if advised.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules import FrontEnd, RearEnd
from setup_rules.inference import volume_spacer
from setup_rules.inference.volume_spacer import lubricant_fits, most_spacers, spacers_fit, spacers_possible
from setup_rules.types.constants import LEAST_COMPRESSED_VOLUME


def fork(**more: Any) -> FrontEnd:
    known = {"travel_mm": 140.0, "bore_mm": 30.0, "positive_volume_cm3": 148.960, "volume_spacer_cm3": 10.0}
    return FrontEnd(**{**known, **more})


@pytest.mark.parametrize(("count", "possible"), [(0, True), (4, True), (5, False), (6, False)])
def test_spacers_are_possible_while_a_twentieth_of_the_swept_volume_stays(count: int, possible: bool) -> None:
    assert spacers_possible(fork(volume_spacers=count)) is possible


@pytest.mark.parametrize(("lubricant", "fits"), [(0.0, True), (45.0, True), (45.1, False), (60.0, False)])
def test_lubricant_alone_has_to_leave_as_much(lubricant: float, fits: bool) -> None:
    assert lubricant_fits(fork(air_lubricant_cm3=lubricant, volume_spacers=3)) is fits


def test_the_most_spacers_leave_that_much_beside_the_lubricant() -> None:
    assert most_spacers(fork()) == 4
    assert most_spacers(fork(volume_spacers=4)) == 4
    assert most_spacers(fork(air_lubricant_cm3=20.0)) == 2
    assert most_spacers(fork(air_lubricant_cm3=60.0)) == 0
    assert most_spacers(fork(volume_spacer_cm3=0.5)) == 12


@pytest.mark.parametrize(("count", "fits"), [(-1, False), (0, True), (3, True), (4, False), (5, False)])
def test_a_spacer_is_advised_while_a_fifth_of_the_swept_volume_stays(count: int, fits: bool) -> None:
    assert spacers_fit(fork(), count) is fits
    assert spacers_fit(fork(volume_spacers=2), count) is fits


def test_up_to_twelve_spacers_may_be_advised() -> None:
    thin = fork(volume_spacer_cm3=0.5)
    assert spacers_fit(thin, 12)
    assert not spacers_fit(thin, 13)


def test_lubricant_takes_the_room_of_spacers() -> None:
    assert spacers_fit(fork(air_lubricant_cm3=10.0), 2)
    assert not spacers_fit(fork(air_lubricant_cm3=10.0), 3)


def test_a_shock_counts_its_own_chamber() -> None:
    # 40 mm: 1256.637 mm², over 55 mm 69.115 cm³; 95 cm³ leave 25.885, a twentieth is 3.456: three of 6 cm³ leave 7.885.
    shock = RearEnd(stroke_mm=55.0, leverage_start=2.6, bore_mm=40.0, positive_volume_cm3=95.0)
    assert most_spacers(shock) == 3
    assert not spacers_possible(replace(shock, volume_spacers=4))


def test_exactly_the_least_is_too_little(monkeypatch: pytest.MonkeyPatch) -> None:
    # Half of the swept volume, to the last digit, as it comes out without a spacer and with one.
    for count in (0, 1):
        end = fork(volume_spacers=count)
        share = volume_spacer._left_share(end, count)
        assert share == pytest.approx((50.0 - 10.0 * count) / 98.960, rel=1e-4)
        monkeypatch.setattr(volume_spacer, "LEAST_LEFT", share)
        least = replace(LEAST_COMPRESSED_VOLUME, value=share)
        monkeypatch.setattr(volume_spacer, "LEAST_COMPRESSED_VOLUME", least)
        assert not spacers_fit(end, count)
        assert not spacers_possible(end)
        assert most_spacers(end) == 0
        assert lubricant_fits(end) is bool(count)
