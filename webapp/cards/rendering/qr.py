"""The QR code of a card as one SVG path: with `qr_masks.py`, all that touches the qrcode library."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

#: Quiet zone around the symbol, in modules (ISO/IEC 18004, from the design's check values; standard not opened).
QUIET_MODULES: Final = 4
#: The smallest printed module [mm] that phones read well (project's own floor, common practice, no source).
SMALLEST_MODULE_MM: Final = 0.4

#: Two modules one above the other, dark or not, as one letter of a terminal.
_HALVES: Final = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}

# The encoder keeps tables and a working list that two threads must not fill at once.
_encoder_lock = threading.Lock()


class AddressTooLongError(ValueError):
    """An address needs so many modules that they would be too small to scan at the printed size."""


@dataclass(frozen=True, slots=True)
class QrCode:
    """A drawn code: `side` modules with the quiet zone, and the dark modules as one stroked SVG path."""

    side: int
    path: str

    def module_mm(self, printed_mm: float) -> float:
        """Return the width [mm] of one module when the code with its quiet zone is `printed_mm` wide."""
        return printed_mm / self.side


def draw_qr(address: str, printed_mm: float) -> QrCode:
    """Draw `address` at error level M, to be printed `printed_mm` wide, quiet zone included.

    Parameters
    ----------
    address : str
        What a phone opens; upper-case stretches take fewer modules than lower-case ones.
    printed_mm : float
        Printed side with the quiet zone [mm], above zero.

    Raises
    ------
    AddressTooLongError
        When a module would be narrower than `SMALLEST_MODULE_MM`.
    """
    rows = _encode(address)
    code = QrCode(len(rows), _row_runs(rows))
    if code.module_mm(printed_mm) < SMALLEST_MODULE_MM:
        raise AddressTooLongError(
            f"An address of {len(address)} characters needs {code.side} modules, too small to scan at "
            f"{printed_mm:g} mm. Set a shorter PUBLIC_BASE_URL."
        )
    return code


def qr_as_text(address: str) -> str:
    """Return the code of `address` as lines for a terminal, two rows of modules in one line of half blocks."""
    rows = _encode(address)
    blank: list[bool | None] = [False] * len(rows)
    pairs = zip(rows[::2], [*rows[1::2], blank][: len(rows[::2])], strict=True)
    return "\n".join("".join(_HALVES[bool(a), bool(b)] for a, b in zip(*pair, strict=True)) for pair in pairs)


def _encode(address: str) -> list[list[bool | None]]:
    from qrcode.constants import ERROR_CORRECT_M

    from webapp.cards.rendering.qr_masks import QuickQRCode

    with _encoder_lock:
        symbol = QuickQRCode(error_correction=ERROR_CORRECT_M, border=QUIET_MODULES)
        # Stretches of at least eight characters that fit the alphanumeric set are packed as such.
        symbol.add_data(address.encode("utf-8"), optimize=8)
        symbol.make(fit=True)
        return list(symbol.get_matrix())


def _row_runs(rows: list[list[bool | None]]) -> str:
    """Return one path, each row's dark runs drawn as strokes one module wide along the row's middle."""
    return "".join(
        f"M{start} {y}.5h{length}" if previous is None else f"m{start - previous} 0h{length}"
        for y, row in enumerate(rows)
        for start, length, previous in _runs(row)
    )


def _runs(row: list[bool | None]) -> Iterator[tuple[int, int, int | None]]:
    """Yield (start, length, end of the previous run or None) of each dark run in `row`."""
    previous: int | None = None
    x = 0
    while x < len(row):
        start = x
        while x < len(row) and row[x]:
            x += 1
        if x > start:
            yield start, x - start, previous
            previous = x
        x += 1
