"""Judges whether a spring holds its air. Nothing is saved."""

from __future__ import annotations

from dataclasses import replace

from setup_rules.physics.atmosphere import ambient_pressure_pa
from setup_rules.workshop import leak_check
from setup_rules.workshop.leak_check import LeakReadings, LeakResult


def check_leak(readings: LeakReadings, altitude_m: float = 0.0) -> LeakResult:
    """Return what two readings taken at `altitude_m` say (raises `setup_rules.RequestError`)."""
    return leak_check.check_leak(replace(readings, ambient_pa=ambient_pressure_pa(altitude_m)))
