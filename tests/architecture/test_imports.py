"""Imports in ``app/`` go down the storeys and back along the rooms, never the other way."""

from __future__ import annotations

import ast
import sys
from pathlib import Path

import pytest

from tests.architecture.imports import RULES, imports, wrong

ROOT = Path(__file__).resolve().parents[2]


def test_no_file_imports_what_it_may_not() -> None:
    found: list[str] = []
    files = sorted((ROOT / "app").rglob("*.py"))
    for path in files:
        found += wrong(path.relative_to(ROOT).as_posix(), path.read_text(encoding="utf-8"))
    assert files
    assert not found, "\n".join(found)


@pytest.mark.parametrize("name", ["__init__.py", "__main__.py"])
def test_the_way_in_needs_only_python(name: str) -> None:
    """At module level, and not for the type checker alone, only the standard library."""
    tree = ast.parse((ROOT / "app" / name).read_text(encoding="utf-8"))
    top = [node for node in tree.body if isinstance(node, ast.Import | ast.ImportFrom)]
    named = {each.partition(".")[0] for node in top for each in imports(ast.unparse(node))}
    assert named <= sys.stdlib_module_names


BITES = [
    ("app/rules/riding/marking.py", "from .values import Ride", "from the top"),
    ("app/store/riding/reads.py", "from app import create_app", "the root of app"),
    ("app/web/factory.py", "import app", "the root of app"),
    ("app/rules/riding/marking.py", "import sqlalchemy", "rules only"),
    ("app/rules/riding/marking.py", "from app.store.riding.reads import ride", "rules only"),
    ("app/rules/riding/marking.py", "from app.config import utc_now", "rules only"),
    ("app/rules/riding/marking.py", "import random", "nothing outside"),
    ("app/rules/riding/marking.py", "def f():\n    from time import time", "nothing outside"),
    ("app/store/riding/writes.py", "from flask import g", "no Flask"),
    ("app/store/riding/writes.py", "import flask_login", "no Flask"),
    ("app/store/riding/writes.py", "from app.web import context", "no Flask"),
    ("app/store/audit.py", "from app.commands.demo import load", "no Flask"),
    ("app/web/riding/routes.py", "from sqlalchemy import select", "no database"),
    ("app/web/homes.py", "import psycopg.rows", "no database"),
    ("app/web/riding/routes.py", "from app.store.riding import tables", "no database"),
    ("app/web/riding/routes.py", "from app.store.riding.tables import Attempt", "no database"),
    ("app/web/riding/routes.py", "import app.store.riding.tables as t", "no database"),
    ("app/door/entry.py", "import click", "the door uses"),
    ("app/door/entry.py", "from app.config import ROOT", "the door uses"),
    ("app/rules/people/names.py", "from app.rules.diary.values import Session", "a room knows"),
    ("app/web/riding/routes.py", "from app.store.progress.reads import state", "a room knows"),
    ("app/store/papers/reads.py", "from app.store.school import insight", "a room knows"),
    ("app/rules/riding/marking.py", "d = datetime.now(UTC)", "reads the clock"),
    ("app/store/riding/writes.py", "import datetime\nd = datetime.date.today()", "the clock"),
]


@pytest.mark.parametrize(("path", "source", "rule"), BITES)
def test_each_rule_bites(path: str, source: str, rule: str) -> None:
    found = wrong(path, source)
    assert any(line.startswith(path) and rule in line for line in found), found


def test_every_rule_is_seen_to_bite() -> None:
    said = "\n".join(line for path, source, _ in BITES for line in wrong(path, source))
    assert [rule for rule in RULES if rule not in said] == []


@pytest.mark.parametrize(
    ("path", "source"),
    [
        ("app/rules/progress/standing.py", "from app.rules.riding.values import Outcome"),
        ("app/store/school/reads.py", "from app.store.accounts import tables"),
        ("app/store/schema.py", "from app.store.school import tables"),
        ("app/web/riding/routes.py", "from app.store.people.reads import student"),
        ("app/web/homes.py", "from app.web.school import routes"),
        ("app/web/riding/routes.py", "from app.web import context"),
        ("app/commands/serve.py", "from app.web.factory import build\nimport click"),
        ("app/door/entry.py", "import os\nfrom app.door import ports"),
        ("app/rules/diary/values.py", "from datetime import date\nd = date(2026, 12, 3)"),
        ("app/web/context.py", "d = datetime.now(UTC)"),
    ],
)
def test_what_is_allowed_passes(path: str, source: str) -> None:
    assert wrong(path, source) == []
