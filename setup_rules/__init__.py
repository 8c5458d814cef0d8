"""The rules that turn rider, style and travel into a start pressure, a target sag and a rebound start point.

Pure: no files, no clock, no web. `recommend(request)` answers a request, `apply_sag_check(setup, check)`
corrects a setup from measured sag.
"""

from setup_rules.errors import LimitError, NoSolutionError, Problem, RequestError, SetupRulesError
from setup_rules.recommend import apply_sag_check, recommend
from setup_rules.request import Conditions, FrontEnd, RearEnd, SetupRequest, read_request, request_data
from setup_rules.result import EndSetup, SagCheck, Setup, TakenCheck

__all__ = [
    "Conditions",
    "EndSetup",
    "FrontEnd",
    "LimitError",
    "NoSolutionError",
    "Problem",
    "RearEnd",
    "RequestError",
    "SagCheck",
    "Setup",
    "SetupRequest",
    "SetupRulesError",
    "TakenCheck",
    "apply_sag_check",
    "read_request",
    "recommend",
    "request_data",
]
