"""Every command is also a command of Flask's own command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from app import create_app
from app.commands import cli


def test_each_command_is_there_under_flask(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("YARDMARK_DATABASE_URL", f"sqlite:///{tmp_path / 'school.db'}")
    monkeypatch.setenv("YARDMARK_SECRET_KEY", "k" * 40)
    app = create_app()
    assert set(cli.loaded()) <= set(app.cli.commands)
    done = app.test_cli_runner().invoke(args=["migrate"])
    assert done.exit_code == 0, done.output
    assert "newest layout" in done.output
