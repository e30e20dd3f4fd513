"""Which blueprints the app has."""

from __future__ import annotations

from flask import Flask

from app.web import ids
from app.web.accounts.routes import bp as accounts
from app.web.diary.routes import bp as diary
from app.web.homes import bp as homes
from app.web.papers.routes import bp as papers
from app.web.people.screens import bp as people
from app.web.progress.screens import bp as progress
from app.web.riding.screens import bp as riding
from app.web.school.screens import bp as school
from app.web.yards.routes import bp as yards

BLUEPRINTS = (homes, school, accounts, people, yards, papers, diary, riding, progress)


def install(app: Flask) -> None:
    """Register the screens of every room."""
    ids.install(app)
    for blueprint in BLUEPRINTS:
        app.register_blueprint(blueprint)
