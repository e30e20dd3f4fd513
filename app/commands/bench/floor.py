"""The floor: what the bare framework and the bare database cost, with nothing of ours on top."""

from __future__ import annotations

import sqlite3
import threading
from pathlib import Path
from uuid import uuid4

from flask import Flask, render_template_string, request

MOST_ROWS = 60_000
_STANDING = "student, variant, level, spread, rides, clean, run, sessions, last"
_MANY = f"SELECT {_STANDING} FROM many LIMIT ?"  # noqa: S608 (nothing of it comes from outside)
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

        setup.execute(f"CREATE TABLE many ({_STANDING})")
        setup.executemany(
            "INSERT INTO many VALUES (?, ?, 0.1, 0.3, 12, 8, 2, 2, '2026-03-02 12:00:00.000000')",
            ((n // 10, n % 10) for n in range(MOST_ROWS)),
        )

    @app.get("/floor/rows")
    def rows() -> str:
        found = database().execute(_MANY, (request.args.get("count", type=int),)).fetchall()
        return render_template_string(_PAGE, row=(0, len(found), "rows"))

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
