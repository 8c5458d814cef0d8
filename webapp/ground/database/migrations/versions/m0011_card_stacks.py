"""Cards by the stack: stacks, their cards and finished parts, and finished single cards."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Create the tables."""
    op.create_table(
        "card_stack",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("shop_id", sa.Integer, nullable=False),
        sa.Column("made_by", sa.Integer, nullable=False),
        sa.Column("size", sa.String(16), nullable=False),
        sa.Column("state", sa.String(12), nullable=False),
        sa.Column("total", sa.Integer, nullable=False),
        sa.Column("secret", sa.String(32), nullable=False),
        sa.Column("creation_key", sa.String(64), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("held_by", sa.String(32), nullable=True),
        sa.Column("held_until", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_card_stack"),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name="fk_card_stack_shop_id_shop"),
        sa.ForeignKeyConstraint(["made_by"], ["staff.id"], name="fk_card_stack_made_by_staff"),
        sa.UniqueConstraint("shop_id", "creation_key", name="uq_card_stack_shop_id_creation_key"),
    )
    op.create_index("ix_card_stack_state", "card_stack", ["state"])
    op.create_index("ix_card_stack_created_at", "card_stack", ["created_at"])
    op.create_table(
        "stack_card",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("stack_id", sa.Integer, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("state", sa.String(12), nullable=False),
        sa.Column("label", sa.String(60), nullable=False),
        sa.Column("document", sa.JSON(none_as_null=True), nullable=True),
        sa.Column("setup_id", sa.Integer, nullable=True),
        sa.Column("code", sa.String(26), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_stack_card"),
        sa.ForeignKeyConstraint(["stack_id"], ["card_stack.id"], name="fk_stack_card_stack_id_card_stack"),
        sa.ForeignKeyConstraint(["setup_id"], ["setup.id"], name="fk_stack_card_setup_id_setup"),
        sa.UniqueConstraint("stack_id", "number", name="uq_stack_card_stack_id_number"),
    )
    op.create_index("ix_stack_card_setup_id", "stack_card", ["setup_id"])
    op.create_table(
        "stack_part",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("stack_id", sa.Integer, nullable=False),
        sa.Column("first", sa.Integer, nullable=False),
        sa.Column("last", sa.Integer, nullable=False),
        sa.Column("cards", sa.Integer, nullable=False),
        sa.Column("size_bytes", sa.Integer, nullable=False),
        sa.Column("pdf", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_stack_part"),
        sa.ForeignKeyConstraint(["stack_id"], ["card_stack.id"], name="fk_stack_part_stack_id_card_stack"),
        sa.UniqueConstraint("stack_id", "first", name="uq_stack_part_stack_id_first"),
    )
    op.create_table(
        "kept_card",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("setup_id", sa.Integer, nullable=False),
        sa.Column("look", sa.String(64), nullable=False),
        sa.Column("card", sa.LargeBinary, nullable=False),
        sa.Column("kept_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_kept_card"),
        sa.ForeignKeyConstraint(["setup_id"], ["setup.id"], name="fk_kept_card_setup_id_setup"),
        sa.UniqueConstraint("look", name="uq_kept_card_look"),
    )
    op.create_index("ix_kept_card_setup_id", "kept_card", ["setup_id"])
    op.create_index("ix_kept_card_kept_at", "kept_card", ["kept_at"])


def downgrade() -> None:
    """Drop them again, with all that they hold."""
    for name in ("kept_card", "stack_part", "stack_card", "card_stack"):
        op.drop_table(name)
