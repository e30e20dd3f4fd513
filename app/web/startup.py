"""What a production server must have before it answers anyone."""

from __future__ import annotations

from app.config import BadConfig, Config
from app.store import migrate
from app.store.accounts.reads import has_demo_accounts
from app.store.database import Database


def check(config: Config, database: Database) -> None:
    """Raise BadConfig, with what to do, when a production server must not start.

    In development everything passes. The secret key is judged where the
    configuration is read.
    """
    if not config.is_production:
        return
    if config.smtp is not None and config.base_url is None:
        # The links in an email must not follow whatever host a request claims to be for.
        raise BadConfig("YARDMARK_BASE_URL is not set. Links in email need the school's address.")
    if not migrate.is_current(database.engine):
        raise BadConfig("The database is not of this release. Run: python3 -m app migrate")
    with database.reading() as session:
        if has_demo_accounts(session):
            raise BadConfig(
                "This database holds the invented accounts of the demo, whose password everyone "
                "may read. A production server needs a database of its own: set "
                "YARDMARK_DATABASE_URL."
            )
