"""Serving the school: bring the database up to date, fill it when it is new, and listen."""

from __future__ import annotations

import os
import sys

import click
from flask import Flask
from waitress import create_server

from app.commands.prepare import prepare
from app.config import from_env
from app.door import ports
from app.door.arguments import DEFAULT_HOST, DEFAULT_PORT
from app.door.trouble import Trouble
from app.store.school.demo.data import DemoSchool
from app.store.school.demo.data import read as read_demo
from app.web.factory import build

_THREADS = 8


def serve(host: str, port: int, empty: bool) -> int:
    """Serve the app at ``host``:``port``; ``empty`` leaves a new database without the demo.

    Returns only by KeyboardInterrupt when all goes well. Raises BadConfig for a
    setting to be changed and Trouble for an address that cannot be had.
    """
    ports.check(host, port)  # before the demo is loaded for nothing
    config = from_env(os.environ)
    is_demo = prepare(config, empty=empty)
    _listen(build(config), host, port, _sign_ins(read_demo()) if is_demo else "")
    raise KeyboardInterrupt  # the server takes Ctrl-C as its sign to end


def _listen(app: Flask, host: str, port: int, sign_ins: str) -> None:
    try:
        server = create_server(app, host=host, port=port, threads=_THREADS, ident=None)
    except OSError as error:
        raise ports.trouble(error, host, port) from error
    print(
        f"Yardmark is at http://{_shown(host)}:{port}/  (Ctrl-C stops it)\n{sign_ins}", flush=True
    )
    server.run()


def _shown(host: str) -> str:
    """The host as it stands in an address: brackets around IPv6 (RFC 3986, section 3.2.2)."""
    return f"[{host}]" if ":" in host else host


def _sign_ins(school: DemoSchool) -> str:
    """One person of each role of the demo school, and the password they share."""
    people: dict[str, str] = {}
    for person in school.staff:
        for role in person["roles"]:
            people.setdefault(role, person["email"])
    people["student"] = school.students[0].mailbox
    rows = [f"  {role:<11} {school.address(mailbox)}" for role, mailbox in people.items()]
    heading = f"{school.name}, an invented school. The password of everyone: {school.password}"
    return "\n".join([heading, *rows])


@click.command("serve")
@click.option("--host", default=DEFAULT_HOST, help="Address to listen at.")
@click.option("--port", default=DEFAULT_PORT, type=click.IntRange(1, 65535), help="Port.")
@click.option("--empty", is_flag=True, help="Do not load the demo school.")
def serve_command(host: str, port: int, empty: bool) -> None:
    """Serve the school, loading the demo when the database is empty."""
    try:
        serve(host, port, empty)
    except Trouble as trouble:
        print(trouble, file=sys.stderr)
        raise SystemExit(trouble.code) from trouble
