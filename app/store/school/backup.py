"""The whole school in one file, and back from it (SQLite; PostgreSQL has its own tools)."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from sqlalchemy.engine import make_url

from app.rules.refusal import Reason, Refused
from app.store import migrate

_USE_PG_TOOLS = (
    "This school is kept on PostgreSQL. Use pg_dump and pg_restore, "
    "which PostgreSQL ships for this."
)


def backup(url: str, target: Path) -> int:
    """Write the school to a new file while it is in use, check what was written; its bytes.

    The file appears whole or not at all. Raises Refused when the file is there
    already, when there is no school to copy, or on PostgreSQL.
    """
    source = _file_of(url)
    if target.exists():
        raise Refused(Reason(f"{target} is there already. Choose another name, or move it away."))
    if not source.exists():
        raise Refused(Reason("There is no school to back up yet. Start the app once first."))
    _copy_whole(source, target)
    return target.stat().st_size


def restore(url: str, source: Path) -> None:
    """Bring the school back from a file made by :func:`backup`, all or nothing.

    Raises Refused when the file is missing, damaged or from a newer release, and
    when the place to restore to is already in use.
    """
    target = _file_of(url)
    if target.exists():
        raise Refused(
            Reason(f"{target.name} is there already. Stop the app and move the file away first.")
        )
    if not source.is_file():
        raise Refused(Reason(f"There is no file {source}."))
    _check(source)
    target.parent.mkdir(parents=True, exist_ok=True)
    _copy_whole(source, target)


def _file_of(url: str) -> Path:
    parsed = make_url(url)
    if parsed.get_backend_name() != "sqlite" or not parsed.database:
        raise Refused(Reason(_USE_PG_TOOLS))
    return Path(parsed.database)


def _copy_whole(source: Path, target: Path) -> None:
    """Copy by SQLite's own online backup into a file beside the target, check it, then rename."""
    part = target.with_name(f"{target.name}.part")
    part.unlink(missing_ok=True)
    try:
        with closing(sqlite3.connect(source)) as a, closing(sqlite3.connect(part)) as b:
            a.backup(b)
            b.execute("PRAGMA journal_mode=DELETE")
        _check(part)
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)


def _check(path: Path) -> None:
    """Refuse a file that is not a whole school of this release or an older one."""
    try:
        with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as db:
            sound = db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            orphans = db.execute("PRAGMA foreign_key_check").fetchall()
            revision = db.execute("SELECT version_num FROM alembic_version").fetchone()
    except sqlite3.DatabaseError:
        raise Refused(Reason(f"{path.name} is not a whole backup of a school.")) from None
    if not sound or orphans or revision is None:
        raise Refused(Reason(f"{path.name} is damaged. Use another backup."))
    if not migrate.is_known(revision[0]):
        raise Refused(Reason(f"{path.name} is from a newer release. Update the app first."))
