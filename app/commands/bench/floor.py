"""The floor: what the bare framework and the bare database cost, with nothing of ours on top."""

from __future__ import annotations

import sqlite3
import threading
from pathlib import Path
from uuid import uuid4

from flask import Flask, render_template_string

_PAGE = "<!doctype html><title>{{ row[1] }}</title><h1>{{ row[1] }}</h1><p>{{ row[2] }}</p>"


def build(path: Path) -> Flask:
    """A bare app over a SQLite file of its own, set up for durability as ours is."""
    app = Flask("floor", template_folder=None, static_folder=None)
    local = threading.local()

    def database() -> sqlite3.Connection:
        if not hasattr(local, "db"):
            local.db = sqlite3.connect(path, isolation_level=None, timeout=10)
            local.db.execute("PRAGMA journal_mode=WAL")
            local.db.execute("PRAGMA synchronous=FULL")
        connection: sqlite3.Connection = local.db
        return connection

    with sqlite3.connect(path) as setup:
        setup.execute("CREATE TABLE rows (id INTEGER PRIMARY KEY, name TEXT, text TEXT)")
        setup.executemany("INSERT INTO rows (name, text) VALUES (?, ?)", [("a", "b")] * 1000)

    @app.get("/floor/select")
    def select() -> str:
        row = database().execute("SELECT id, name, text FROM rows WHERE id = 500").fetchone()
        return render_template_string(_PAGE, row=row)

    @app.post("/floor/insert")
    def insert() -> str:
        db = database()
        db.execute("BEGIN IMMEDIATE")
        db.execute("INSERT INTO rows (name, text) VALUES (?, ?)", (str(uuid4()), "x"))
        db.execute("COMMIT")
        return "saved"

    return app
