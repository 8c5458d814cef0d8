"""What HTML cannot hold is shown as the sign for it: a page repeats what was typed, control characters and all."""

from __future__ import annotations

import re
from typing import Final

from flask import Flask, Response, request

#: What HTML's parsing rules call control characters and noncharacters (WHATWG HTML, "preprocessing the input stream").
_UNFIT: Final = re.compile(
    "[\x00-\x08\x0b\x0e-\x1f\x7f-\x9f\ufdd0-\ufdef"
    + "".join(f"{chr(plane * 0x10000 + 0xFFFE)}{chr(plane * 0x10000 + 0xFFFF)}" for plane in range(17))
    + "]"
)


def install(app: Flask) -> None:
    """Look through the pages that repeat what was sent; what is stored was refused such characters."""
    app.after_request(_clean_page)


def _clean_page(response: Response) -> Response:
    if response.mimetype == "text/html" and (request.method == "POST" or request.query_string):
        page = response.get_data(as_text=True)
        if (clean := clean_text(page)) != page:
            response.set_data(clean)
    return response


def clean_text(text: str) -> str:
    r"""Return `text` with U+FFFD for every character that HTML cannot hold.

    Examples
    --------
    >>> clean_text("12\x00 psi\n")
    '12� psi\n'
    """
    return _UNFIT.sub("\N{REPLACEMENT CHARACTER}", text)
