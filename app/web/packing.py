"""Pages go over the wire packed, since a yard's mobile reception is poor."""

from __future__ import annotations

import gzip
import secrets
from io import BytesIO

from flask import Flask, Response, request

SMALLEST = 1_000
"""Bytes below which packing saves nothing worth the time."""

_PADDING = 100


def pack(page: bytes) -> bytes:
    """Gzip a page, with a file name of random length in the header.

    The length of a packed page must not tell a listener whether a guess that
    came back in the page matched its form token. Source, from memory: Gluck,
    Harris, Prado, "BREACH: Reviving the CRIME Attack" (2013), on hiding lengths.
    """
    packed = BytesIO()
    name = "x" * (1 + secrets.randbelow(_PADDING))
    with gzip.GzipFile(name, "wb", compresslevel=6, fileobj=packed, mtime=0) as file:
        file.write(page)
    return packed.getvalue()


def _answer(response: Response) -> Response:
    if response.mimetype != "text/html" or response.direct_passthrough:
        return response
    response.vary.add("Accept-Encoding")
    if request.accept_encodings["gzip"] > 0 and len(response.data) >= SMALLEST:
        response.data = pack(response.data)
        response.headers["Content-Encoding"] = "gzip"
    return response


def install(app: Flask) -> None:
    """Pack every page that the app answers with."""
    app.after_request(_answer)
