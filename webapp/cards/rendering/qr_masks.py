"""The QR encoder with its slowest part made quick: the choice among eight masks, all weighed at once.

Nine tenths of a code's time went into weighing them module by module. The choice is the library's own, to the letter.
Import it lazily, as it loads the library.
"""

from __future__ import annotations

import functools
from typing import Any, Final

import numpy as np
import qrcode
from numpy.typing import NDArray
from qrcode.util import mask_func

Grids = NDArray[np.bool_]

#: Dark, light, three dark, light, dark, with four light before or after: what a finder looks like.
_FINDER: Final = (True, False, True, True, True, False, True)
_LIKE_FINDERS: Final = ((*_FINDER, *[False] * 4), (*[False] * 4, *_FINDER))
_RUN: Final = 5
#: The first version whose number stands in the code itself.
_NUMBERED: Final = 7


class QuickQRCode(qrcode.QRCode):  # type: ignore[misc]
    """The library's code, masked as it would be."""

    modules: list[list[Any]]

    def make(self, fit: bool = True) -> None:
        """Make the code, masked by the mask that loses the fewest points; the grid that it was weighed by is kept."""
        self.best_fit(start=None if fit else self.version)
        self.mask_pattern = self.best_mask_pattern()
        self.setup_type_info(False, self.mask_pattern)
        if self.version >= _NUMBERED:
            self.setup_type_number(False)

    def map_data(self, data: Any, mask_pattern: int) -> None:
        """Place the data; note which modules were free for it, since a mask covers those only."""
        self._free = np.array([[module is None for module in row] for row in self.modules], dtype=np.bool_)
        super().map_data(data, mask_pattern)

    def best_mask_pattern(self) -> int:
        """Return the mask that loses the fewest points, the first of several, and leave the grid masked by it."""
        self.makeImpl(True, 0)
        drawn = np.array(self.modules, dtype=np.bool_)
        masks = _masks(self.modules_count)
        masked = drawn ^ ((masks ^ masks[0]) & self._free)
        best = int(np.argmin(_lost_points(masked)))
        self.modules = masked[best].tolist()
        return best


@functools.cache
def _masks(side: int) -> Grids:
    """Return the eight masks of a code with `side` modules a side."""
    places = range(side)
    return np.asarray(
        [[[bool(mask_func(number)(i, j)) for j in places] for i in places] for number in range(8)], dtype=np.bool_
    )


def _lost_points(grids: Grids) -> NDArray[np.int64]:
    """Return the points that each grid loses (ISO/IEC 18004, as the library counts them; standard not opened)."""
    turned = grids.transpose(0, 2, 1)
    lost = _lost_to_runs(grids) + _lost_to_runs(turned) + 40 * (_like_finders(grids) + _like_finders(turned))
    total: NDArray[np.int64] = lost + 3 * _blocks(grids) + _imbalance(grids)
    return total


def _count(found: Grids) -> NDArray[np.int64]:
    counted: NDArray[np.int64] = np.sum(found, axis=(1, 2), dtype=np.int64)
    return counted


def _lost_to_runs(grids: Grids) -> NDArray[np.int64]:
    """Return, for every run of at least five alike in a row, its length less two."""
    alike = grids[:, :, 1:] == grids[:, :, :-1]
    span = alike.shape[2] - (_RUN - 2)
    fives = np.logical_and.reduce([alike[:, :, at : at + span] for at in range(_RUN - 1)])
    begins = fives.copy()
    begins[:, :, 1:] &= ~fives[:, :, :-1]
    lost: NDArray[np.int64] = _count(fives) + 2 * _count(begins)
    return lost


def _like_finders(grids: Grids) -> NDArray[np.int64]:
    span = grids.shape[2] - 10
    windows = [grids[:, :, at : at + span] for at in range(11)]
    found = (
        np.logical_and.reduce([window == dark for window, dark in zip(windows, pattern, strict=True)])
        for pattern in _LIKE_FINDERS
    )
    return sum((_count(one) for one in found), np.zeros(len(grids), dtype=np.int64))


def _blocks(grids: Grids) -> NDArray[np.int64]:
    """Return how many blocks of two by two are all alike."""
    above, below = grids[:, :-1], grids[:, 1:]
    pairs = above == below
    return _count(pairs[:, :, 1:] & pairs[:, :, :-1] & (above[:, :, 1:] == above[:, :, :-1]))


def _imbalance(grids: Grids) -> NDArray[np.int64]:
    """Return ten for every five per cent that dark modules are away from half of all."""
    dark = _count(grids) / grids[0].size
    fifths: NDArray[np.int64] = (np.abs(dark * 100 - 50) / 5).astype(np.int64)
    return 10 * fifths
