"""What the JSON interface is sent about a saved setup, read strictly: a check, a ride, or what is to change."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from flask import Request

from setup_rules import Problem, RequestError
from setup_rules.parsing.request_parsing import read_number, shown
from setup_rules.types.limits import CORRECTION_LIMITS, LIMITS
from webapp.api.forms.setup_body import read_json
from webapp.api.forms.shop_checks import refuse_shop_checks
from webapp.checks.weight_proof import NO_PROOF, OWNER_LINK_LENGTH, WeightProof
from webapp.ground.text.i18n import gettext as _

Asked = TypeVar("Asked")


@dataclass(frozen=True, slots=True)
class CorrectionBody(Generic[Asked]):
    """The body of a POST about a saved setup, read: what is asked, and of which revision (None: the newest)."""

    asked: Asked
    base_revision: int | None
    save: bool = True
    proof: WeightProof = NO_PROOF


def read_correction(request: Request, read: Callable[[Mapping[str, Any]], Asked]) -> CorrectionBody[Asked]:
    """Return the check or ride of a request's JSON body, as `read` makes it (raises as `api_body.read_body`)."""
    data = read_json(request)
    problems: list[Problem] = []
    base = _read_base(data.pop("base_revision", None), problems)
    try:
        asked = read(data)
    except RequestError as error:
        raise RequestError((*error.problems, *problems)) from None
    if problems:
        raise RequestError(tuple(problems))
    return CorrectionBody(asked, base)


def read_changes(request: Request) -> CorrectionBody[Mapping[str, Any]]:
    """Return the changes of a request's JSON body; the rules read them beside the rest of the setup's request."""
    data = read_json(request)
    problems = refuse_shop_checks(data)
    base = _read_base(data.pop("base_revision", None), problems)
    now_kg = _read_weight(data.pop("rider_mass_now_kg", None), problems)
    save = data.pop("save", None)
    if save is not None and not isinstance(save, bool):
        problems.append(Problem("save", _("%(found)s is not true or false. Send one of them.", found=shown(save))))
    if problems:
        raise RequestError(tuple(problems))
    link = request.headers.get("Setup-Owner-Link", "")[:OWNER_LINK_LENGTH]
    proof = WeightProof(now_kg, link, address=request.remote_addr or "")
    return CorrectionBody(data, base, bool(save), proof)


def _read_weight(raw: Any, problems: list[Problem]) -> float | None:
    return None if raw is None else read_number(LIMITS["rider_mass_kg"], raw, "rider_mass_now_kg", problems)


def _read_base(raw: Any, problems: list[Problem]) -> int | None:
    if raw is None:
        return None
    number = read_number(CORRECTION_LIMITS["base_revision"], raw, "base_revision", problems)
    return None if number is None else int(number)
