"""Pages are packed for browsers that ask for it, and say so to caches on the way."""

from __future__ import annotations

import gzip

from flask import Flask

from app.web.packing import SMALLEST, pack
from tests.support.cast import Cast

PACKED = {"Accept-Encoding": "gzip, br"}


def test_a_page_comes_packed_when_it_is_asked_for(app: Flask, people: Cast) -> None:
    client = app.test_client()
    plain = client.get("/sign-in")
    packed = client.get("/sign-in", headers=PACKED)
    assert packed.headers["Content-Encoding"] == "gzip"
    assert int(packed.headers["Content-Length"]) == len(packed.data) < len(plain.data) / 2
    assert b"<h1>" in gzip.decompress(packed.data)


def test_a_page_comes_plain_when_nothing_is_asked_for(app: Flask, people: Cast) -> None:
    plain = app.test_client().get("/sign-in")
    assert "Content-Encoding" not in plain.headers
    assert "Accept-Encoding" in plain.headers["Vary"]
    refused = app.test_client().get("/sign-in", headers={"Accept-Encoding": "gzip;q=0"})
    assert "Content-Encoding" not in refused.headers


def test_what_is_small_or_no_page_stays_as_it_is(app: Flask, people: Cast) -> None:
    client = app.test_client()
    onward = client.get("/", headers=PACKED)
    assert len(onward.data) < SMALLEST
    assert "Content-Encoding" not in onward.headers
    style = client.get("/static/css/base.css", headers=PACKED)
    assert "Content-Encoding" not in style.headers


def test_the_length_does_not_follow_from_the_page() -> None:
    lengths = {len(pack(b"the same page" * 500)) for _ in range(50)}
    assert len(lengths) > 5
