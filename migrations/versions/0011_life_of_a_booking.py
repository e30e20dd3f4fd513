"""Held places, courses, the waiting list, calendar feeds, and bookings that know their times."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

MOMENT = sa.DateTime(timezone=True)
TABLES = ("courses", "waiting", "offers", "calendar_feeds")
KINDS = ("module_1", "cbt", "first_ride", "mock_test")
STATES = ("booked", "attended", "no_show", "cancelled")
SPAN = "fk_bookings_session_id_starts_at_ends_at_training_sessions"
ONE = "fk_bookings_session_id_training_sessions"


def upgrade() -> None:
    """Make the tables; then give each booking the times of its session."""
    _sessions(*KINDS, "road")
    with op.batch_alter_table("training_sessions") as sessions:
        sessions.create_check_constraint("two_on_the_road", "kind <> 'road' OR places <= 2")
        sessions.create_unique_constraint(
            "uq_training_sessions_id_starts_at_ends_at", ["id", "starts_at", "ends_at"]
        )
    _courses()
    _booking_columns()
    _fill_times()
    _tighten_bookings()
    _waiting()
    _offers()
    _calendar_feeds()


def downgrade() -> None:
    """Undo it; refuse while there are sessions or bookings that the release before cannot read."""
    _refuse_if_any("training_sessions", "kind = 'road'", "road training")
    _refuse_if_any("bookings", "state = 'held'", "a place that is only held")
    for table in ("calendar_feeds", "offers", "waiting"):
        op.drop_table(table)
    _loosen_bookings()
    op.drop_table("courses")
    with op.batch_alter_table("training_sessions") as sessions:
        sessions.drop_constraint("uq_training_sessions_id_starts_at_ends_at", type_="unique")
        sessions.drop_constraint(op.f("ck_training_sessions_two_on_the_road"), type_="check")
    _sessions(*KINDS)


def _refuse_if_any(table: str, condition: str, what: str) -> None:
    rows = sa.select(sa.column("id", sa.Integer)).select_from(sa.table(table))
    found = op.get_bind().scalars(rows.where(sa.text(condition)).order_by(sa.text("id"))).all()
    if found:
        ids = ", ".join(map(str, found[:10]))
        raise RuntimeError(f"{what.capitalize()} in {table} {ids}: the release before has none.")


def _in(column: str, words: tuple[str, ...]) -> str:
    return f"{column} IN ({', '.join(repr(word) for word in words)})"


def _words(name: str, *words: str) -> sa.Enum:
    """One of a few words, which the database itself checks."""
    return sa.Enum(*words, name=name, native_enum=False, create_constraint=True, length=24)


def _sessions(*kinds: str) -> None:
    with op.batch_alter_table("training_sessions") as sessions:
        sessions.drop_constraint(op.f("ck_training_sessions_session_kind"), type_="check")
        sessions.create_check_constraint("session_kind", _in("kind", kinds))


def _courses() -> None:
    op.create_table(
        "courses",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("student_id", sa.Integer, sa.ForeignKey("students.id"), nullable=False),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("booked_at", MOMENT, nullable=False),
        sa.Column("booked_by", sa.Integer, sa.ForeignKey("accounts.id")),
    )
    op.create_index("ix_courses_student_id", "courses", ["student_id"])


def _booking_columns() -> None:
    reasons = ("student", "school", "weather", "hold_over", "merged")
    with op.batch_alter_table("bookings") as bookings:
        bookings.add_column(sa.Column("starts_at", MOMENT))
        bookings.add_column(sa.Column("ends_at", MOMENT))
        bookings.add_column(sa.Column("held_until", MOMENT))
        bookings.add_column(sa.Column("course_id", sa.Integer))
        bookings.add_column(sa.Column("given_up_for", sa.String(24)))
        bookings.create_check_constraint("given_up_for", _in("given_up_for", reasons))
        bookings.create_foreign_key(
            "fk_bookings_course_id_courses", "courses", ["course_id"], ["id"]
        )
        bookings.create_index("ix_bookings_course_id", ["course_id"])


def _fill_times() -> None:
    for column in ("starts_at", "ends_at"):
        op.execute(
            f"UPDATE bookings SET {column} = "
            f"(SELECT t.{column} FROM training_sessions t WHERE t.id = bookings.session_id)"
        )


def _tighten_bookings() -> None:
    _states("held", *STATES)
    with op.batch_alter_table("bookings") as bookings:
        bookings.alter_column("starts_at", existing_type=MOMENT, nullable=False)
        bookings.alter_column("ends_at", existing_type=MOMENT, nullable=False)
        bookings.create_check_constraint(
            "held_has_an_end", "(state = 'held') = (held_until IS NOT NULL)"
        )
        bookings.drop_constraint(ONE, type_="foreignkey")
        times = ["starts_at", "ends_at"]
        bookings.create_foreign_key(
            SPAN, "training_sessions", ["session_id", *times], ["id", *times], onupdate="CASCADE"
        )
    _held_once("held", "booked", "attended")


def _loosen_bookings() -> None:
    with op.batch_alter_table("bookings") as bookings:
        bookings.drop_constraint(SPAN, type_="foreignkey")
        bookings.drop_constraint("fk_bookings_course_id_courses", type_="foreignkey")
        bookings.create_foreign_key(ONE, "training_sessions", ["session_id"], ["id"])
        bookings.drop_constraint(op.f("ck_bookings_held_has_an_end"), type_="check")
        bookings.drop_constraint(op.f("ck_bookings_given_up_for"), type_="check")
        bookings.drop_index("ix_bookings_course_id")
    with op.batch_alter_table("bookings") as bookings:
        for column in ("given_up_for", "course_id", "held_until", "ends_at", "starts_at"):
            bookings.drop_column(column)
    _states(*STATES)
    _held_once("booked", "attended")


def _states(*states: str) -> None:
    with op.batch_alter_table("bookings") as bookings:
        bookings.drop_constraint(op.f("ck_bookings_booking_state"), type_="check")
        bookings.create_check_constraint("booking_state", _in("state", states))


def _held_once(*states: str) -> None:
    held = sa.text(_in("state", states))
    for who in ("student", "bike"):
        name = f"uq_bookings_{who}_held"
        op.drop_index(name, "bookings")
        op.create_index(
            name,
            "bookings",
            ["session_id", f"{who}_id"],
            unique=True,
            sqlite_where=held,
            postgresql_where=held,
        )


def _waiting() -> None:
    op.create_table(
        "waiting",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("student_id", sa.Integer, sa.ForeignKey("students.id"), nullable=False),
        sa.Column("kind", _words("session_kind", *KINDS, "road"), nullable=False),
        sa.Column("session_id", sa.Integer, sa.ForeignKey("training_sessions.id")),
        sa.Column("earliest", sa.Date, nullable=False),
        sa.Column("latest", sa.Date, nullable=False),
        sa.Column("weekdays", sa.String, nullable=False),
        sa.Column("begins", sa.Time),
        sa.Column("ends", sa.Time),
        sa.Column("own_bike", sa.Boolean, nullable=False),
        sa.Column("asked_at", MOMENT, nullable=False),
        sa.Column("asked_by", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.Column(
            "state",
            _words("waiting_state", "waiting", "offered", "placed", "withdrawn", "over"),
            nullable=False,
        ),
        sa.Column("version", sa.Integer, nullable=False),
        sa.CheckConstraint("latest >= earliest", name="latest_not_before_earliest"),
        sa.CheckConstraint("weekdays <> ''", name="some_day"),
    )
    op.create_index("ix_waiting_session_id", "waiting", ["session_id"])
    op.create_index("ix_waiting_student_id", "waiting", ["student_id"])
    op.create_index("ix_waiting_state_asked_at", "waiting", ["state", "asked_at"])


def _offers() -> None:
    op.create_table(
        "offers",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("waiting_id", sa.Integer, sa.ForeignKey("waiting.id"), nullable=False),
        sa.Column("session_id", sa.Integer, sa.ForeignKey("training_sessions.id"), nullable=False),
        sa.Column("booking_id", sa.Integer, sa.ForeignKey("bookings.id"), nullable=False),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column(
            "state", _words("offer_state", "open", "taken", "declined", "lapsed"), nullable=False
        ),
        sa.UniqueConstraint("waiting_id", "session_id"),
    )
    op.create_index("ix_offers_session_id", "offers", ["session_id"])
    op.create_index("ix_offers_booking_id", "offers", ["booking_id"])


def _calendar_feeds() -> None:
    op.create_table(
        "calendar_feeds",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("digest", sa.String, nullable=False, unique=True),
        sa.Column("instructor_id", sa.Integer, sa.ForeignKey("instructors.id")),
        sa.Column("student_id", sa.Integer, sa.ForeignKey("students.id")),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column("made_by", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.Column("revoked_at", MOMENT),
        sa.Column("revoked_by", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.CheckConstraint("instructor_id IS NULL OR student_id IS NULL", name="one_owner"),
    )
    op.create_index("ix_calendar_feeds_instructor_id", "calendar_feeds", ["instructor_id"])
    op.create_index("ix_calendar_feeds_student_id", "calendar_feeds", ["student_id"])
