"""Answers a page's own script so that it can stay on the page until the server has said yes.

A form that a script sends asks for it by `X-Stay`. Where the answer would lead on, it says where in `X-Go` instead,
so that the next page is loaded once and by the browser itself.
"""

from __future__ import annotations

from flask import Response, request


def lead_on_by_script(response: Response) -> Response:
    """Turn a redirect into `X-Go` for a script that asked for it; every other answer stays as it is."""
    if response.status_code == 303 and request.headers.get("X-Stay") == "1":
        go = response.location or ""
        response = Response(status=204, headers={"X-Go": go})
    return response
