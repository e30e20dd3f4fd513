"""Never twice: the database itself refuses what would be booked over something else."""

from __future__ import annotations

from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None

HELD = "state IN ('held', 'booked', 'attended')"
ONCE = (
    ("training_sessions", "instructor", "cancelled_at IS NULL"),
    ("bookings", "student", HELD),
    ("bookings", "bike", f"{HELD} AND bike_id IS NOT NULL"),
)
"""Table, who is there once at a time, and which rows count. One that ends as another begins may."""

FULL = "this session has no place left"
SHRUNK = "more places are taken than the session would have"


def upgrade() -> None:
    """Refuse overlaps by exclusion constraints or triggers, and places beyond the last by triggers.

    A school that double-booked before cannot be brought up to date: the error names the rows.
    """
    if op.get_bind().dialect.name == "sqlite":
        _refuse_old_overlaps()
        for table, who, counts in ONCE:
            _sqlite_once(table, who, counts)
        _sqlite_places()
    else:
        for table, who, counts in ONCE:
            _postgres_once(table, who, counts)
        _postgres_places()


def downgrade() -> None:
    """Take the refusals away."""
    if op.get_bind().dialect.name == "sqlite":
        for _table, who, _counts in ONCE:
            for verb in ("insert", "update"):
                op.execute(f"DROP TRIGGER {who}_once_{verb}")
        for name in ("bookings_place_insert", "bookings_place_update", "sessions_places_update"):
            op.execute(f"DROP TRIGGER {name}")
        return
    for table, name in (("training_sessions", "sessions_places"), ("bookings", "bookings_place")):
        op.execute(f"DROP TRIGGER {name} ON {table}")
        op.execute(f"DROP FUNCTION {name}()")
    for table, who, _counts in reversed(ONCE):
        op.execute(f"ALTER TABLE {table} DROP CONSTRAINT {who}_once")


def _refuse_old_overlaps() -> None:
    for table, who, counts in ONCE:
        found = op.get_bind().exec_driver_sql(
            f"SELECT a.id, b.id FROM (SELECT * FROM {table} WHERE {counts}) a "
            f"JOIN (SELECT * FROM {table} WHERE {counts}) b ON a.{who}_id = b.{who}_id "
            "AND a.id < b.id AND a.starts_at < b.ends_at AND a.ends_at > b.starts_at LIMIT 10"
        )
        if pairs := [f"{one} and {two}" for one, two in found]:
            raise RuntimeError(
                f"The same {who} twice at one time, in {table} {'; '.join(pairs)}. "
                "Cancel one of each, then migrate."
            )


def _postgres_once(table: str, who: str, counts: str) -> None:
    op.execute(
        f"ALTER TABLE {table} ADD CONSTRAINT {who}_once EXCLUDE USING gist "
        f"(int4range({who}_id, {who}_id, '[]') WITH &&, tstzrange(starts_at, ends_at) WITH &&) "
        f"WHERE ({counts})"
    )


def _sqlite_once(table: str, who: str, counts: str) -> None:
    new = counts.replace("state", "NEW.state").replace("bike_id", "NEW.bike_id")
    new = new.replace("cancelled_at", "NEW.cancelled_at")
    for verb in ("insert", "update"):
        op.execute(
            f"CREATE TRIGGER {who}_once_{verb} AFTER {verb.upper()} ON {table} "
            f"WHEN {new} AND EXISTS (SELECT 1 FROM {table} WHERE {counts} AND id <> NEW.id "
            f"AND {who}_id = NEW.{who}_id "
            "AND starts_at < NEW.ends_at AND ends_at > NEW.starts_at) "
            f"BEGIN SELECT RAISE(ABORT, 'this {who} is booked at that time already'); END"
        )


def _sqlite_places() -> None:
    taken = f"(SELECT count(*) FROM bookings WHERE session_id = NEW.session_id AND {HELD})"
    places = "(SELECT places FROM training_sessions WHERE id = NEW.session_id)"
    for verb in ("insert", "update"):
        op.execute(
            f"CREATE TRIGGER bookings_place_{verb} AFTER {verb.upper()} ON bookings "
            f"WHEN NEW.{HELD} AND {taken} > {places} BEGIN SELECT RAISE(ABORT, '{FULL}'); END"
        )
    op.execute(
        "CREATE TRIGGER sessions_places_update AFTER UPDATE OF places ON training_sessions "
        f"WHEN (SELECT count(*) FROM bookings WHERE session_id = NEW.id AND {HELD}) > NEW.places "
        f"BEGIN SELECT RAISE(ABORT, '{SHRUNK}'); END"
    )


def _postgres_places() -> None:
    # The session's row is locked first, so that two who take the last place stand in line.
    _function(
        "bookings_place",
        "PERFORM 1 FROM training_sessions WHERE id = NEW.session_id FOR UPDATE; "
        f"IF NEW.{HELD} AND (SELECT count(*) FROM bookings WHERE session_id = NEW.session_id "
        f"AND {HELD}) > (SELECT places FROM training_sessions WHERE id = NEW.session_id) "
        f"THEN RAISE EXCEPTION '{FULL}' USING ERRCODE = 'check_violation'; END IF; RETURN NULL; ",
    )
    op.execute(
        "CREATE TRIGGER bookings_place AFTER INSERT OR UPDATE OF session_id, state ON bookings "
        "FOR EACH ROW EXECUTE FUNCTION bookings_place()"
    )
    _function(
        "sessions_places",
        f"IF (SELECT count(*) FROM bookings WHERE session_id = NEW.id AND {HELD}) > NEW.places "
        f"THEN RAISE EXCEPTION '{SHRUNK}' USING ERRCODE = 'check_violation'; END IF; RETURN NULL; ",
    )
    op.execute(
        "CREATE TRIGGER sessions_places AFTER UPDATE OF places ON training_sessions "
        "FOR EACH ROW EXECUTE FUNCTION sessions_places()"
    )


def _function(name: str, body: str) -> None:
    op.execute(
        f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {body} END $$"
    )
