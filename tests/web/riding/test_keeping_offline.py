"""What the yard needs without a network, as the server gives it out."""

from __future__ import annotations

import json
import re
from collections.abc import Callable

from flask import Flask

from app.config import ROOT
from tests.support.cast import Cast
from tests.support.client import Visitor

Visit = Callable[[str | None], Visitor]


def shell(app: Flask) -> dict[str, object]:
    text = app.test_client().get("/worker.js").text
    found = re.match(r"const SHELL = (\{.*\});\n", text)
    assert found, text[:100]
    read: dict[str, object] = json.loads(found[1])
    return read


def test_the_worker_comes_from_the_root_and_is_asked_for_again(app: Flask) -> None:
    response = app.test_client().get("/worker.js")
    assert response.mimetype == "text/javascript"
    assert response.headers["Cache-Control"] == "no-cache"


def test_every_file_of_the_shell_is_there(app: Flask) -> None:
    files = shell(app)["files"]
    assert isinstance(files, list)
    statuses = {file: app.test_client().get(file).status_code for file in files}
    assert set(statuses.values()) == {200}


def test_the_shell_holds_every_module_and_all_that_the_board_asks_for(
    app: Flask, visit: Visit, people: Cast
) -> None:
    files = shell(app)["files"]
    assert isinstance(files, list)
    page = visit("instructor").get(f"/yard/sessions/{people.session}").html
    asked = set(re.findall(r'(?:src|href)="(/static/[^"]+\.(?:js|css)[^"]*)"', page))
    assert asked
    assert asked <= set(files)
    static = ROOT / "static"
    modules = {f"/static/{path.relative_to(static)}" for path in static.glob("js/yard/*.js")}
    assert modules <= set(files)


def test_a_module_is_asked_for_again_and_a_named_version_is_kept(app: Flask) -> None:
    client = app.test_client()
    assert client.get("/static/js/yard/queue.js").headers["Cache-Control"] == "no-cache"
    assert "max-age=31536000" in client.get("/static/js/yard/queue.js?v=1").headers["Cache-Control"]


def test_the_yard_can_be_installed(app: Flask) -> None:
    response = app.test_client().get("/yard.webmanifest")
    assert response.mimetype == "application/manifest+json"
    manifest = json.loads(response.text)
    assert (manifest["start_url"], manifest["display"]) == ("/yard", "standalone")
    assert {icon["sizes"] for icon in manifest["icons"]} == {"192x192", "512x512"}
    for icon in manifest["icons"]:
        assert app.test_client().get(icon["src"]).mimetype == "image/png"


def test_a_tablet_keeps_its_own_instructors_boards_alone(visit: Visit, people: Cast) -> None:
    pages = visit("instructor").client.get("/yard/keep").get_json()["pages"]
    assert pages == ["/yard", "/yard/queue", f"/yard/sessions/{people.session}"]
    other = visit("other_instructor").client.get("/yard/keep").get_json()["pages"]
    assert f"/yard/sessions/{people.session}" not in other


def test_the_board_carries_what_it_needs_to_go_on_alone(visit: Visit, people: Cast) -> None:
    page = visit("instructor").get(f"/yard/sessions/{people.session}")
    script = next(e for e in page.tree.iter("script") if e.get("id") == "board-data")
    data = json.loads("".join(script.itertext()))
    assert [rider["name"] for rider in data["riders"]] == ["Lena Wren"]
    codes = {variant["of"] for variant in data["variants"]}
    assert codes <= data["offers"].keys()
    assert all(kind in data["kinds"] for offers in data["offers"].values() for kind, _ in offers)
    stop = next(v for v in data["variants"] if v["of"] == "emergency_stop")
    assert stop["least"]["A"] == 50
