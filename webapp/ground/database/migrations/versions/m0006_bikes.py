"""A shop's bikes with what stands on them and what their springs have taught, and the tokens of its tools."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Create the tables of bikes and tokens."""
    op.create_table(
        "bike",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("shop_id", sa.Integer, nullable=False),
        sa.Column("number", sa.String(20), nullable=False),
        sa.Column("number_key", sa.String(80), nullable=False),
        sa.Column("label", sa.String(60), nullable=False),
        sa.Column("tag", sa.String(26), nullable=False),
        sa.Column("document", sa.JSON, nullable=False),
        sa.Column("standing", sa.JSON, nullable=False),
        sa.Column("stands_since", sa.DateTime(timezone=True), nullable=True),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("creation_key", sa.String(64), nullable=True),
        sa.Column("creation_fingerprint", sa.String(64), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_bike"),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name="fk_bike_shop_id_shop"),
        sa.UniqueConstraint("shop_id", "number_key", name="uq_bike_shop_id_number_key"),
        sa.UniqueConstraint("tag", name="uq_bike_tag"),
        sa.UniqueConstraint("creation_key", name="uq_bike_creation_key"),
    )
    op.create_table(
        "bike_memory",
        sa.Column("bike_id", sa.Integer, nullable=False),
        sa.Column("spring_end", sa.String(8), nullable=False),
        sa.Column("memory", sa.JSON, nullable=False),
        sa.Column("era", sa.Integer, nullable=False),
        sa.Column("kept", sa.Float, nullable=False),
        sa.PrimaryKeyConstraint("bike_id", "spring_end", name="pk_bike_memory"),
        sa.ForeignKeyConstraint(["bike_id"], ["bike.id"], name="fk_bike_memory_bike_id_bike"),
        sa.CheckConstraint("spring_end IN ('front', 'rear')", name="ck_bike_memory_spring_end"),
    )
    op.create_table(
        "bike_setup",
        sa.Column("setup_id", sa.Integer, nullable=False),
        sa.Column("bike_id", sa.Integer, nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("setup_id", name="pk_bike_setup"),
        sa.ForeignKeyConstraint(["setup_id"], ["setup.id"], name="fk_bike_setup_setup_id_setup"),
        sa.ForeignKeyConstraint(["bike_id"], ["bike.id"], name="fk_bike_setup_bike_id_bike"),
    )
    op.create_index("ix_bike_setup_bike_id", "bike_setup", ["bike_id"])
    op.create_table(
        "bike_lesson",
        sa.Column("setup_id", sa.Integer, nullable=False),
        sa.Column("spring_end", sa.String(8), nullable=False),
        sa.Column("lesson", sa.JSON, nullable=False),
        sa.Column("era", sa.Integer, nullable=False),
        sa.Column("kept", sa.Float, nullable=False),
        sa.PrimaryKeyConstraint("setup_id", "spring_end", name="pk_bike_lesson"),
        sa.ForeignKeyConstraint(["setup_id"], ["bike_setup.setup_id"], name="fk_bike_lesson_setup_id_bike_setup"),
        sa.CheckConstraint("spring_end IN ('front', 'rear')", name="ck_bike_lesson_spring_end"),
    )
    op.create_table(
        "api_token",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("shop_id", sa.Integer, nullable=False),
        sa.Column("staff_id", sa.Integer, nullable=False),
        sa.Column("name", sa.String(60), nullable=False),
        sa.Column("token_hash", sa.String(64), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_used_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_api_token"),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name="fk_api_token_shop_id_shop"),
        sa.ForeignKeyConstraint(["staff_id"], ["staff.id"], name="fk_api_token_staff_id_staff"),
        sa.UniqueConstraint("token_hash", name="uq_api_token_token_hash"),
    )
    op.create_index("ix_api_token_shop_id", "api_token", ["shop_id"])


def downgrade() -> None:
    """Drop them again, with all that they hold."""
    op.drop_index("ix_api_token_shop_id", "api_token")
    op.drop_table("api_token")
    op.drop_table("bike_lesson")
    op.drop_index("ix_bike_setup_bike_id", "bike_setup")
    op.drop_table("bike_setup")
    op.drop_table("bike_memory")
    op.drop_table("bike")
