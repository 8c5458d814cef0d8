"""Checks on the stand: torque, leaks, and the steps of a service."""
