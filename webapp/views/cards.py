"""Placeholder until its owner lands it."""

from flask import Blueprint

blueprint = Blueprint("cards", __name__)
