"""The room's blueprint, to which each screen adds its routes."""

from __future__ import annotations

from flask import Blueprint

bp = Blueprint("accounts", __name__)
