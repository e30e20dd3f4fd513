"""Every page of the demo school is valid HTML.

Source: the Nu Html Checker (v.Nu), https://validator.github.io/validator/, which
checks against the HTML Living Standard. It is a Java program; without it, skipped.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from app import create_app
from app.config import ROOT, Config
from app.rules.accounts.roles import Role
from app.rules.letters import as_text
from app.store.letterhead import as_html, sheet
from app.store.outbox import MessageRow
from tests.rules.diary.test_letters import EVERY
from tests.support import demo
from tests.support.addresses import Guide, stops
from tests.support.client import Visitor
from tests.support.clock import Clock
from tests.support.demo import DemoFactory

_NPM = ROOT / ".tools" / "node_modules" / "vnu-jar" / "build" / "dist" / "vnu.jar"


@pytest.fixture(scope="module")
def checker() -> list[str]:
    """The command that runs the checker."""
    jar = Path(os.environ.get("YARDMARK_VNU_JAR", _NPM))
    java = shutil.which("java")
    if java is None or not jar.exists():
        pytest.skip("the Nu HTML checker (npm package vnu-jar) or Java is not installed")
    return [java, "-jar", str(jar)]


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Flask:
    """The app over a demo school."""
    url = DemoFactory(tmp_path_factory.mktemp("demo")).fresh()
    return create_app(
        Config(database_url=url, secret_key="k" * 40, clock=Clock(), rate_limits=False)
    )


ALSO = [
    f"{path}?on=2026-11-26&of={of}"
    for path in ("/sessions", "/sessions/day")
    for of in ("yards", "bikes", "instructor-1", "yard-1", "bike-9")
] + [
    "/students/2/find?kind=module_1&bike=ours&first_day=2026-11-26&last_day=2026-11-28"
    "&weekdays=6&instructor_id=0&yard_id=0",
    "/affected?without=instructor-2&first=2026-11-26&last=2026-11-29",
    "/affected?without=bike-5&first=2026-11-26&last=2026-12-03",
    "/students/2/wait?session=101",
]
"""Pages that are drawn in another way when their address asks for it."""


def _clients(app: Flask) -> dict[Role | None, FlaskClient]:
    found: dict[Role | None, FlaskClient] = {None: app.test_client()}
    for role, email in demo.sign_ins().items():
        visitor = Visitor(app)
        values = {"email": email, "password": demo.PASSWORD}
        visitor.send("/sign-in?next=/me", values, action="/sign-in?next")  # not a demo's doors
        found[role] = visitor.client
    return found


@pytest.fixture(scope="module")
def folder(app: Flask, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Every page as it was sent, and a form refused and a page not found besides."""
    kept = tmp_path_factory.mktemp("html")
    clients = _clients(app)
    guide = Guide(app, app.extensions["yardmark_database"])
    for stop in stops():
        answer = clients[stop.role].get(guide.path(stop))
        assert answer.status_code == 200, stop
        (kept / f"{stop.name}.html").write_bytes(answer.data)
    for number, path in enumerate(ALSO):
        (kept / f"also-{number}.html").write_bytes(clients[Role.DESK].get(path).data)
    (kept / "lost.html").write_bytes(clients[Role.DESK].get("/nowhere").data)
    (kept / "refused.html").write_bytes(_refused(app))
    return kept


def _refused(app: Flask) -> bytes:
    values = {"email": "not an address", "password": ""}
    page = Visitor(app).send("/sign-in?next=/me", values, action="/sign-in?next", status=422)
    return page.html.encode()


def _errors(checker: list[str], *what: str) -> list[str]:
    command = [*checker, "--format", "json", "--exit-zero-always", *what]
    told = subprocess.run(command, capture_output=True, check=True, timeout=120).stderr
    messages: list[dict[str, Any]] = json.loads(told)["messages"]
    return [_sentence(each) for each in messages if each["type"] == "error"]


def _sentence(message: dict[str, Any]) -> str:
    file = Path(message.get("url", "")).name
    return f"{file}: {message['message']} ({message.get('extract', '').strip()[:120]})"


def test_the_checker_finds_no_error(checker: list[str], folder: Path) -> None:
    assert len(list(folder.glob("*.html"))) == len(stops()) + len(ALSO) + 2
    assert _errors(checker, "--skip-non-html", str(folder)) == []


def test_the_checker_would_find_one(checker: list[str], tmp_path: Path) -> None:
    page = tmp_path / "bad.html"
    page.write_text("<!DOCTYPE html><html lang=en><title>x</title><p id=a><div id=a></div></p>")
    assert len(_errors(checker, str(page))) >= 2


def test_it_finds_no_error_in_a_letter_either(checker: list[str], tmp_path: Path) -> None:
    for number, letter in enumerate(EVERY):
        row = MessageRow(subject=letter.subject, body=as_text(letter), html=as_html(letter))
        made = sheet(row, "https://school.example.org").html
        assert made is not None
        (tmp_path / f"letter-{number}.html").write_text(made, encoding="utf-8")
    assert _errors(checker, str(tmp_path)) == []
