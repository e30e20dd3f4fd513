"""Making a database ready to be served."""

from __future__ import annotations

from app.config import BadConfig, Config
from app.store import migrate
from app.store import settings as settings_store
from app.store.database import Database
from app.store.people.searching import search_anew
from app.store.riding.reference import load_reference
from app.store.school.demo.load import is_empty, load_demo


def prepare(config: Config, *, empty: bool) -> bool:
    """Migrate the database, load the reference data, and the demo where nobody is in it yet.

    Returns whether the database holds the demo school. ``empty`` leaves the demo
    out; a production server never loads it. Raises BadConfig when one would be
    started on it. Done a second time, it changes nothing.
    """
    migrate.upgrade(config.database_url)
    school = Database(config.database_url)
    try:
        load_reference(school, config.clock())
        if not (empty or config.is_production):
            _load_demo(school, config)
        search_anew(school)
        is_demo = _is_demo(school)
    finally:
        school.close()
    if is_demo and config.is_production:
        raise BadConfig(
            "This database holds the demo school, whose password everyone may read. A production "
            "server needs a database of its own: set YARDMARK_DATABASE_URL."
        )
    return is_demo


def _load_demo(school: Database, config: Config) -> None:
    with school.reading() as session:
        new = is_empty(session)
    if new:
        print("The database is empty: loading the demo school …", flush=True)
        load_demo(school, config.clock())


def _is_demo(school: Database) -> bool:
    with school.reading() as session:
        return settings_store.load(session).demo
