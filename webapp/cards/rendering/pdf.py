"""A finished card page as tagged PDF: all of WeasyPrint. Import it lazily: it loads Pango, and may not find it."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from importlib import resources
from typing import Any, Final

from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

from webapp.cards.rendering.errors import CardOverflowError

# WeasyPrint needs absolute addresses; this host can never exist (RFC 2606), so a leak would reach nobody.
_BASE: Final = "https://card.invalid/"
#: Style sheets apart, because matching a card's boxes against rules that it has no use for takes a fifth of its time.
STYLES: Final = ("print.css", "print-tight.css", "print-label.css", "print-back.css", "print-tag.css")
_FILES: Final = {
    **dict.fromkeys(STYLES, "text/css"),
    "fonts/card-latin-medium.ttf": "font/ttf",
    "fonts/card-latin-bold.ttf": "font/ttf",
    "fonts/card-latin-ext-medium.ttf": "font/ttf",
    "fonts/card-latin-ext-bold.ttf": "font/ttf",
}


class MemoryFetcher(URLFetcher):  # type: ignore[misc]
    """Serves the card's own style and fonts from memory and refuses every other address: no network, no files."""

    def __init__(self, files: dict[str, tuple[bytes, str]]) -> None:
        super().__init__(allowed_protocols=("https",), allow_redirects=False, fail_on_errors=True)
        self._files = files

    def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:  # noqa: ARG002
        """Return the file behind `url`.

        Raises
        ------
        FatalURLFetchingError
            For any address that is not one of the card's own names; it stops the whole card.
        """
        found = self._files.get(url.removeprefix(_BASE)) if url.startswith(_BASE) else None
        if found is None:
            raise FatalURLFetchingError(f"A card may not fetch {url[:100]!r}.")
        body, kind = found
        return URLFetcherResponse(url, body, {"Content-Type": kind})


class _Press:
    """What every card shares: files read once, fonts loaded once, the style sheets parsed once."""

    def __init__(self) -> None:
        static = resources.files("webapp") / "static"
        self.fetcher = MemoryFetcher({name: ((static / name).read_bytes(), kind) for name, kind in _FILES.items()})
        self.fonts = FontConfiguration()
        self.styles = {name: CSS(_BASE + name, url_fetcher=self.fetcher, font_config=self.fonts) for name in STYLES}


# One card at a time comes through here (see renderer.py), so one set of fonts serves all of them.
_press = functools.cache(_Press)


def write_card(html: str, styles: Sequence[str] = STYLES[:1]) -> bytes:
    """Return the one-page tagged PDF (PDF/UA-1) of a card's `html`, set by some of `STYLES`.

    Raises
    ------
    CardOverflowError
        When the content needs more than one page, or none was made.
    """
    press = _press()
    page = HTML(string=html, base_url=_BASE, url_fetcher=press.fetcher)
    sheets = [press.styles[name] for name in styles]
    document = page.render(stylesheets=sheets, font_config=press.fonts, pdf_variant="pdf/ua-1")
    if len(document.pages) != 1:
        raise CardOverflowError(f"The card needs {len(document.pages)} pages instead of one.")
    written = document.write_pdf(finisher=_print_unscaled, pdf_variant="pdf/ua-1")
    assert isinstance(written, bytes)  # noqa: S101 - write_pdf answers bytes whenever it is given no target
    return written


def _print_unscaled(_document: Any, pdf: Any) -> None:
    """Ask readers to print at 100 %: the code's modules and the check line are meant in millimetres."""
    pdf.catalog["ViewerPreferences"]["PrintScaling"] = "/None"
