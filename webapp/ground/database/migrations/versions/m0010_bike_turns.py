"""Whose turn a shop's bike has: its state with the rider on it, and what its crew did to it."""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Create both tables; a bike without a row in the first is in."""
    op.create_table(
        "bike_turn",
        sa.Column("bike_id", sa.Integer, nullable=False),
        sa.Column("state", sa.String(12), nullable=False),
        sa.Column("since", sa.DateTime(timezone=True), nullable=False),
        sa.Column("staff_id", sa.Integer, nullable=False),
        sa.Column("reason", sa.String(200), nullable=False),
        sa.Column("rider_code", sa.String(26), nullable=True),
        sa.Column("has_card", sa.Boolean, nullable=False),
        sa.PrimaryKeyConstraint("bike_id", name="pk_bike_turn"),
        sa.ForeignKeyConstraint(["bike_id"], ["bike.id"], name="fk_bike_turn_bike_id_bike"),
        sa.ForeignKeyConstraint(["staff_id"], ["staff.id"], name="fk_bike_turn_staff_id_staff"),
        sa.CheckConstraint("state IN ('in', 'being_set', 'out', 'back', 'set_aside')", name="ck_bike_turn_state"),
    )
    op.create_table(
        "bike_event",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("shop_id", sa.Integer, nullable=False),
        sa.Column("bike_id", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("staff_id", sa.Integer, nullable=True),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("detail", sa.JSON, nullable=False),
        sa.Column("before", sa.JSON(none_as_null=True), nullable=True),
        sa.Column("key_hash", sa.String(64), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_bike_event"),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name="fk_bike_event_shop_id_shop"),
        sa.ForeignKeyConstraint(["bike_id"], ["bike.id"], name="fk_bike_event_bike_id_bike"),
        sa.ForeignKeyConstraint(["staff_id"], ["staff.id"], name="fk_bike_event_staff_id_staff"),
        sa.UniqueConstraint("key_hash", name="uq_bike_event_key_hash"),
    )
    op.create_index("ix_bike_event_bike_id", "bike_event", ["bike_id"])
    op.create_index("ix_bike_event_shop_id_made_at", "bike_event", ["shop_id", "made_at"])


def downgrade() -> None:
    """Drop them again, with all that they hold."""
    op.drop_index("ix_bike_event_shop_id_made_at", "bike_event")
    op.drop_index("ix_bike_event_bike_id", "bike_event")
    op.drop_table("bike_event")
    op.drop_table("bike_turn")
