"""The rules that turn rider, style and travel into a start pressure, a target sag and a rebound start point.

Pure: no files, no clock, no web. `recommend(request)` answers a request, `apply_sag_check(setup, check)`
corrects a setup from measured sag.
"""

from setup_rules.advice.bike_memory import lesson_of, with_memories, with_unit_memories
from setup_rules.advice.corrections import apply_bounce_check, apply_ride, what_if
from setup_rules.advice.recommend import apply_sag_check, recommend
from setup_rules.advice.taken_checks import apply_sag_checks, strike_check
from setup_rules.advice.travel_plan import TravelPlan, TravelWish, plan_travel
from setup_rules.inference.spring_memory import add_lesson, keep_after
from setup_rules.inference.unit_memory import memory_of_unit
from setup_rules.parsing.correction_parsing import read_bounce_check, read_ride, read_sag_check
from setup_rules.parsing.request_parsing import read_request, request_data
from setup_rules.types.errors import LimitError, NoSolutionError, Problem, RequestError, SetupRulesError
from setup_rules.types.request import Conditions, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import BounceCheck, EndSetup, RideReport, SagCheck, Setup, TakenCheck
from setup_rules.types.spring_memory import SpringMemory

__all__ = [
    "BounceCheck",
    "Conditions",
    "EndSetup",
    "FrontEnd",
    "LimitError",
    "NoSolutionError",
    "Problem",
    "RearEnd",
    "RequestError",
    "RideReport",
    "SagCheck",
    "Setup",
    "SetupRequest",
    "SetupRulesError",
    "SpringMemory",
    "TakenCheck",
    "TravelPlan",
    "TravelWish",
    "add_lesson",
    "apply_bounce_check",
    "apply_ride",
    "apply_sag_check",
    "apply_sag_checks",
    "keep_after",
    "lesson_of",
    "memory_of_unit",
    "plan_travel",
    "read_bounce_check",
    "read_request",
    "read_ride",
    "read_sag_check",
    "recommend",
    "request_data",
    "strike_check",
    "what_if",
    "with_memories",
    "with_unit_memories",
]
