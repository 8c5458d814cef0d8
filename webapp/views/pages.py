"""Placeholder until its owner lands it."""

from flask import Blueprint

blueprint = Blueprint("pages", __name__)
