"""Which blueprints the app has."""

from __future__ import annotations

from flask import Flask

from app.web.accounts.routes import bp as accounts
from app.web.homes import bp as homes
from app.web.school.routes import bp as school

BLUEPRINTS = (homes, school, accounts)


def install(app: Flask) -> None:
    """Register the screens of every room."""
    for blueprint in BLUEPRINTS:
        app.register_blueprint(blueprint)
