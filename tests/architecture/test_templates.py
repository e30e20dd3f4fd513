"""The templates: each compiles, is used, and holds no script, style or handler of its own."""

from __future__ import annotations

import ast
import re

import pytest
from flask import Flask
from jinja2 import Environment, meta, nodes

from app import create_app
from app.config import ROOT, Config

TEMPLATES = ROOT / "templates"
NAMES = sorted(path.relative_to(TEMPLATES).as_posix() for path in TEMPLATES.rglob("*.html"))
EACH = pytest.mark.parametrize("name", NAMES)

FORBIDDEN = {
    "the safe filter": r"\|\s*safe\b",
    "a style attribute": r"<[^>]*\sstyle\s*=",
    "a style element": r"<style\b",
    "an inline script": r"<script(?![^>]*\bsrc=)(?![^>]*type=\"application/json\")",
    "a handler": r"<[^>]*\son[a-z]+\s*=",
    "an address of another host": r"(?:src|href|action)\s*=\s*\"(?:https?:)?//",
    "escaping switched off": r"\{%-?\s*autoescape\s+false",
}


@pytest.fixture(scope="module")
def app() -> Flask:
    """The app without a database."""
    return create_app(Config(database_url="sqlite://", secret_key="k" * 40))


@pytest.fixture(scope="module")
def environment(app: Flask) -> Environment:
    """What the app compiles its templates with."""
    return app.jinja_env


def _source(name: str) -> str:
    return (TEMPLATES / name).read_text(encoding="utf-8")


def _without_comments(source: str) -> str:
    return re.sub(r"\{#.*?#\}", "", source, flags=re.S)


def _tree(environment: Environment, name: str) -> nodes.Template:
    return environment.parse(_source(name))


def _named_in_code() -> set[str]:
    """Every string in ``app/`` that reads like the name of a template."""
    return {
        str(node.value)
        for path in (ROOT / "app").rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and re.fullmatch(r"[\w/]+\.html", str(node.value))
    }


PAGES = sorted(_named_in_code())
"""What the code renders; the other templates are parts of these. Those in letters/ are email."""


def forbidden(source: str) -> list[str]:
    """What a template's source holds that the browser would refuse or that is not safe."""
    said = _without_comments(source)
    return [what for what, pattern in FORBIDDEN.items() if re.search(pattern, said, re.I)]


@EACH
def test_it_compiles(environment: Environment, name: str) -> None:
    environment.get_template(name)


@pytest.mark.parametrize("name", [name for name in PAGES if not name.startswith("letters/")])
def test_a_page_stands_in_a_layout(environment: Environment, name: str) -> None:
    assert _root(environment, name) == "layouts/base.html"


def _root(environment: Environment, name: str) -> str:
    """The template at the end of the chain of extends."""
    above = list(_tree(environment, name).find_all(nodes.Extends))
    if not above:
        return name
    parent = above[0].template
    assert isinstance(parent, nodes.Const), f"{name} extends what is not a plain name"
    return _root(environment, parent.value)


@EACH
def test_it_holds_nothing_forbidden(name: str) -> None:
    assert forbidden(_source(name)) == []


@EACH
def test_the_endpoints_it_names_exist(app: Flask, environment: Environment, name: str) -> None:
    known = set(app.view_functions)
    for call in _tree(environment, name).find_all(nodes.Call):
        if isinstance(call.node, nodes.Name) and call.node.name == "url_for":
            named = call.args[0]
            assert not isinstance(named, nodes.Const) or named.value in known, named


def test_no_template_is_left_unused(environment: Environment) -> None:
    used = set(PAGES)
    for name in NAMES:
        used |= _named_in_template(environment, name)
    assert [name for name in NAMES if name not in used] == []


def _named_in_template(environment: Environment, name: str) -> set[str]:
    return {each for each in meta.find_referenced_templates(_tree(environment, name)) if each}


def test_every_page_that_the_code_names_exists() -> None:
    assert len(PAGES) > 10
    assert set(PAGES) - set(NAMES) == set()


@pytest.mark.parametrize(
    ("source", "what"),
    [
        ("{{ body|safe }}", "the safe filter"),
        ('<p class="a" style="color: red">', "a style attribute"),
        ("<style>p {}</style>", "a style element"),
        ("<script>go()</script>", "an inline script"),
        ('<button type="button" onclick="go()">', "a handler"),
        ('<script src="//example.org/a.js"></script>', "an address of another host"),
        ("{% autoescape false %}", "escaping switched off"),
    ],
)
def test_each_rule_bites(source: str, what: str) -> None:
    assert what in forbidden(source)


@pytest.mark.parametrize(
    "source",
    [
        '<script src="{{ asset("js/stepper.js") }}" defer></script>',
        '<script type="application/json" id="rides">{{ rides|tojson }}</script>',
        '{# style="no" #}<p class="once">A safe | sound style = good</p>',
        '<a href="/students" data-on="left">Students</a>',
    ],
)
def test_what_is_allowed_passes(source: str) -> None:
    assert forbidden(source) == []
