"""Answers for programs rather than people: plain JSON."""

from __future__ import annotations

from typing import Any

from flask import jsonify, request
from flask.typing import ResponseReturnValue


def wants_json() -> bool:
    """Whether it is one of our own scripts that asks, and not a person's browser."""
    return request.is_json or request.accept_mimetypes.best == "application/json"


def answer(values: dict[str, Any], status: int = 200) -> ResponseReturnValue:
    """An answer that nobody keeps."""
    response = jsonify(values)
    response.headers["Cache-Control"] = "no-store"
    return response, status


def trouble(status: int, sentence: str) -> ResponseReturnValue:
    """A refusal of the whole request, with what to do."""
    return answer({"error": sentence}, status)
