"""Placeholder until its owner lands it."""

from flask import Blueprint

blueprint = Blueprint("owner", __name__)
