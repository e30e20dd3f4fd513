"""The room's blueprint, which its screens share."""

from __future__ import annotations

from flask import Blueprint

bp = Blueprint("diary", __name__)
