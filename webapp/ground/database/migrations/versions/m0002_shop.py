"""The shop's door and its unit library: shops, staff, log-in attempts, units, and which setups are a shop's."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Create the tables of the shop; those that are there stay as they are."""
    _create_door()
    _create_belongings()


def _create_door() -> None:
    op.create_table(
        "shop",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("name", sa.String(60), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_shop"),
    )
    op.create_table(
        "staff",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("shop_id", sa.Integer, nullable=False),
        sa.Column("login", sa.String(60), nullable=False),
        sa.Column("password_hash", sa.String(200), nullable=False),
        sa.Column("role", sa.String(16), nullable=False),
        sa.Column("session_epoch", sa.Integer, nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("disabled_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_staff"),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name="fk_staff_shop_id_shop"),
        sa.UniqueConstraint("login", name="uq_staff_login"),
        sa.CheckConstraint("role IN ('owner', 'staff')", name="ck_staff_role"),
    )
    op.create_index("ix_staff_shop_id", "staff", ["shop_id"])
    op.create_table(
        "log_in_attempts",
        sa.Column("subject", sa.String(64), nullable=False),
        sa.Column("since", sa.DateTime(timezone=True), nullable=False),
        sa.Column("count", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("subject", name="pk_log_in_attempts"),
    )
    op.create_table(
        "opening_link",
        sa.Column("token_hash", sa.String(64), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("token_hash", name="pk_opening_link"),
    )


def _create_belongings() -> None:
    op.create_table(
        "unit",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("shop_id", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(8), nullable=False),
        sa.Column("name", sa.String(60), nullable=False),
        sa.Column("name_key", sa.String(200), nullable=False),
        sa.Column("document", sa.JSON, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_unit"),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name="fk_unit_shop_id_shop"),
        sa.UniqueConstraint("shop_id", "name_key", name="uq_unit_shop_id_name_key"),
        sa.CheckConstraint("kind IN ('fork', 'shock')", name="ck_unit_kind"),
    )
    op.create_table(
        "shop_setup",
        sa.Column("setup_id", sa.Integer, nullable=False),
        sa.Column("shop_id", sa.Integer, nullable=False),
        sa.Column("short_code", sa.String(8), nullable=False),
        sa.Column("staff_id", sa.Integer, nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("setup_id", name="pk_shop_setup"),
        sa.ForeignKeyConstraint(["setup_id"], ["setup.id"], name="fk_shop_setup_setup_id_setup"),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name="fk_shop_setup_shop_id_shop"),
        sa.ForeignKeyConstraint(["staff_id"], ["staff.id"], name="fk_shop_setup_staff_id_staff"),
        sa.UniqueConstraint("shop_id", "short_code", name="uq_shop_setup_shop_id_short_code"),
    )
    op.create_index("ix_shop_setup_shop_id_created_at", "shop_setup", ["shop_id", "created_at"])


def downgrade() -> None:
    """Drop them again, with all that they hold; the setups stay."""
    op.drop_index("ix_shop_setup_shop_id_created_at", "shop_setup")
    op.drop_table("shop_setup")
    op.drop_table("unit")
    op.drop_table("opening_link")
    op.drop_table("log_in_attempts")
    op.drop_index("ix_staff_shop_id", "staff")
    op.drop_table("staff")
    op.drop_table("shop")
