"""What can go wrong between a card's strings and its PDF; free of every PDF library, so always importable."""

from __future__ import annotations


class CardError(Exception):
    """Base of what can go wrong with a card."""


class PdfMissingError(CardError, ImportError):
    """The PDF libraries (WeasyPrint, or Pango beneath it) are not installed or cannot be loaded."""


class CardBusyError(CardError, TimeoutError):
    """Too many cards are in work, or this one took too long; trying again later may help."""


class CardOverflowError(CardError, ValueError):
    """A card's content does not fit one page of its size."""
