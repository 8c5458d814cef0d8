"""Placeholder until its owner lands it."""

from flask import Blueprint

blueprint = Blueprint("setups", __name__)
