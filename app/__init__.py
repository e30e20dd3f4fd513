"""Yardmark: bookings, yard-side recording and progress for a motorcycle riding school.

This module stays light: ``app/__main__.py`` runs on a machine that has only
Python, so nothing outside the standard library may be imported at module level.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask

    from app.config import Config


def create_app(config: Config | None = None) -> Flask:
    """Build the web application; without a ``config`` it is read from the environment.

    Then every command of ``python3 -m app`` is a ``flask --app app`` command too.
    """
    import os

    from app.commands import cli
    from app.config import from_env
    from app.web.factory import build

    if config is not None:
        return build(config)
    app = build(from_env(os.environ))
    for name, command in cli.loaded().items():
        app.cli.add_command(command, name)
    return app
