"""What the JSON interface is sent, read strictly: every problem named, nothing guessed."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from typing import Any, Final

from flask import Request
from werkzeug.exceptions import UnsupportedMediaType

from setup_rules import Problem, RequestError, SetupRequest, read_request
from webapp.api.forms.shop_checks import OF_THE_DAY, refuse_shop_checks, refuse_the_day
from webapp.ground.text.free_text import text_problem
from webapp.ground.text.i18n import gettext as _
from webapp.ground.whole_numbers import read_whole_number
from webapp.setups.revision import TEXT_LENGTHS, CardTexts

IDEMPOTENCY_KEY_LENGTH: Final = 200
_PRINTABLE: Final = re.compile(rf"[\x21-\x7e]{{1,{IDEMPOTENCY_KEY_LENGTH}}}")


@dataclass(frozen=True, slots=True)
class SetupBody:
    """The body of a POST of a setup, read."""

    request: SetupRequest
    texts: CardTexts


def read_body(request: Request) -> SetupBody:
    """Return the setup that a request's JSON body asks for.

    Raises
    ------
    RequestError
        With every problem of the body.
    werkzeug.exceptions.UnsupportedMediaType
        When the body is not said to be JSON.
    """
    data = read_json(request)
    problems = refuse_shop_checks(data) + refuse_the_day(data)
    data = {key: value for key, value in data.items() if key not in OF_THE_DAY}
    texts = {key: _read_text(data.pop(key, None), key, length, problems) for key, length in TEXT_LENGTHS.items()}
    try:
        setup_request = read_request(data)
    except RequestError as error:
        raise RequestError((*error.problems, *problems)) from None
    if problems:
        raise RequestError(tuple(problems))
    return SetupBody(setup_request, CardTexts(**texts))


def read_json(request: Request) -> dict[str, Any]:
    """Return a request's body as a JSON object (raises as `read_body`)."""
    if not request.is_json:
        raise UnsupportedMediaType()
    try:
        data = json.loads(request.get_data(cache=False), object_pairs_hook=_unique_keys)
    except _TwiceError as error:
        message = _("An object has the name %(name)s twice. Send each name once.", name=error.name)
        raise RequestError((Problem("body", message),)) from None
    except (ValueError, RecursionError):
        raise RequestError((Problem("body", _("The body is not valid JSON. Send one object.")),)) from None
    if not isinstance(data, dict):
        raise RequestError((Problem("body", _("Send one JSON object with named values.")),))
    return data


class _TwiceError(ValueError):
    """An object has a name twice: which of the two is meant, nobody can tell."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        #: What the sender wrote, as much of it as tells which [40 characters], in printable characters.
        self.name = ascii(name[:40])


def _unique_keys(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    data: dict[str, Any] = {}
    for name, value in pairs:
        if name in data:
            raise _TwiceError(name)
        data[name] = value
    return data


def _read_text(raw: Any, key: str, length: int, problems: list[Problem]) -> str:
    if raw is None:
        return ""
    if not isinstance(raw, str):
        problems.append(Problem(key, _("Send a text.")))
        return ""
    problem = text_problem(raw, length)
    if problem:
        problems.append(Problem(key, problem))
    return raw.strip()


def read_idempotency_key(raw: str | None) -> str | None:
    """Return the key under which a request may safely be repeated, None without one (raises `RequestError`)."""
    if raw is None or _PRINTABLE.fullmatch(raw):
        return raw
    message = _(
        "Use 1 to %(length)d printable ASCII characters without spaces, such as a random UUID.",
        length=IDEMPOTENCY_KEY_LENGTH,
    )
    raise RequestError((Problem("Idempotency-Key", message),))


def read_revision(raw: str | None) -> int | None:
    """Return the revision that a query asks for, None for the latest (raises `RequestError`)."""
    if raw is None:
        return None
    revision = read_whole_number(raw)
    if revision is None:
        raise RequestError((Problem("revision", _("Give the revision as a whole number from 1.")),))
    return revision
