"""The demo school for tests: loaded once in a run, then copied."""

from __future__ import annotations

import shutil
from dataclasses import dataclass, field
from datetime import datetime
from itertools import count
from pathlib import Path

from app.rules.accounts.roles import Role
from app.store import migrate
from app.store.database import Database
from app.store.school.demo import data
from app.store.school.demo.load import load_demo
from tests.support.clock import START


@dataclass
class DemoFactory:
    """Hands out SQLite databases that hold the demo school as it stands at ``moment``."""

    folder: Path
    moment: datetime = START
    _numbers: count[int] = field(default_factory=count)
    _template: Path | None = None

    def fresh(self) -> str:
        """The address of a new copy (the first call takes some seconds)."""
        if self._template is None:
            self._template = self._load()
        path = self.folder / f"demo-{next(self._numbers)}.db"
        shutil.copy(self._template, path)
        return f"sqlite:///{path}"

    def _load(self) -> Path:
        path = self.folder / "demo.db"
        migrate.upgrade(f"sqlite:///{path}")
        school = Database(f"sqlite:///{path}")
        load_demo(school, self.moment)
        school.close()
        return path


PASSWORD = data.read().password


def sign_ins() -> dict[Role, str]:
    """The email address of the first person of each role."""
    school = data.read()
    found: dict[Role, str] = {Role.STUDENT: school.address(school.students[0].mailbox)}
    for person in school.staff:
        for role in person["roles"]:
            found.setdefault(Role(role), school.address(person["email"]))
    return found
