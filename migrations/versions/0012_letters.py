"""Email to students about their bookings, and records of one person that became one."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None

MOMENT = sa.DateTime(timezone=True)


def upgrade() -> None:
    """Let messages say what they are about, and students say which they want."""
    kinds = sa.Enum(
        "confirmation", "change", "cancellation", "reminder", "offer",
        name="message_kind", native_enum=False, create_constraint=True, length=24,
    )  # fmt: skip
    op.create_table(
        "unwanted_messages",
        sa.Column("student_id", sa.Integer, sa.ForeignKey("students.id"), primary_key=True),
        sa.Column("kind", kinds, primary_key=True),
    )
    _messages()
    with op.batch_alter_table("students") as students:
        students.add_column(sa.Column("merged_into_id", sa.Integer))
        students.add_column(sa.Column("merged_at", MOMENT))
        students.create_foreign_key(
            "fk_students_merged_into_id_students", "students", ["merged_into_id"], ["id"]
        )
        students.create_index("ix_students_merged_into_id", ["merged_into_id"])


def downgrade() -> None:
    """Undo it."""
    with op.batch_alter_table("students") as students:
        students.drop_constraint("fk_students_merged_into_id_students", type_="foreignkey")
        students.drop_index("ix_students_merged_into_id")
        students.drop_column("merged_at")
        students.drop_column("merged_into_id")
    with op.batch_alter_table("messages") as messages:
        messages.drop_constraint("fk_messages_booking_id_bookings", type_="foreignkey")
        messages.drop_constraint("fk_messages_student_id_students", type_="foreignkey")
        messages.drop_constraint("uq_messages_once_key", type_="unique")
        messages.drop_index("ix_messages_booking_id")
        messages.drop_index("ix_messages_student_id")
    with op.batch_alter_table("messages") as messages:
        for column in (
            "facts", "next_try_at", "refused_at", "dropped_at", "once_key",
            "booking_id", "student_id", "html", "kind",
        ):  # fmt: skip
            messages.drop_column(column)
    op.drop_table("unwanted_messages")


def _messages() -> None:
    with op.batch_alter_table("messages") as messages:
        messages.add_column(sa.Column("kind", sa.String))
        messages.add_column(sa.Column("html", sa.String))
        messages.add_column(sa.Column("student_id", sa.Integer))
        messages.add_column(sa.Column("booking_id", sa.Integer))
        messages.add_column(sa.Column("once_key", sa.String))
        messages.add_column(sa.Column("dropped_at", MOMENT))
        messages.add_column(sa.Column("refused_at", MOMENT))
        messages.add_column(sa.Column("next_try_at", MOMENT))
        messages.add_column(sa.Column("facts", sa.JSON))
    # Whatever was owed so far was about an account.
    op.execute("UPDATE messages SET kind = 'account'")
    # What was given up after ten tries stays given up.
    op.execute(
        "UPDATE messages SET refused_at = made_at "
        "WHERE sent_at IS NULL AND claimed_at IS NULL AND tries >= 10"
    )
    with op.batch_alter_table("messages") as messages:
        messages.alter_column("kind", existing_type=sa.String, nullable=False)
        messages.create_unique_constraint("uq_messages_once_key", ["once_key"])
        messages.create_foreign_key(
            "fk_messages_student_id_students", "students", ["student_id"], ["id"]
        )
        messages.create_foreign_key(
            "fk_messages_booking_id_bookings", "bookings", ["booking_id"], ["id"]
        )
        messages.create_index("ix_messages_student_id", ["student_id"])
        messages.create_index("ix_messages_booking_id", ["booking_id"])
