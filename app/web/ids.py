"""Ids in addresses: whole numbers that a database can hold."""

from __future__ import annotations

from typing import Any

from flask import Flask, request
from werkzeug.routing import IntegerConverter

from app.web.choices import LARGEST_ID


class RecordId(IntegerConverter):
    """An id of a record. A larger number names nothing, so its page is not found."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"max": LARGEST_ID, **kwargs})


def install(app: Flask) -> None:
    """Let ``<int:...>`` in addresses mean an id."""
    app.url_map.converters = {**app.url_map.converters, "int": RecordId}


def id_asked(name: str) -> int | None:
    """An id after the question mark of an address; None when there is none to be looked up."""
    asked = request.args.get(name, type=int)
    return asked if asked is not None and 0 < asked <= LARGEST_ID else None
