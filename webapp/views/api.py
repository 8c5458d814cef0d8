"""Placeholder until its owner lands it."""

from flask import Blueprint

blueprint = Blueprint("api", __name__)
