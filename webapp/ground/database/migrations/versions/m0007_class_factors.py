"""What a shop let its own sag checks move, state by state: nothing is overwritten, so that it can go back."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Create the table."""
    op.create_table(
        "class_factors",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("shop_id", sa.Integer, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("factors", sa.JSON, nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_class_factors"),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name="fk_class_factors_shop_id_shop"),
        sa.ForeignKeyConstraint(["made_by"], ["staff.id"], name="fk_class_factors_made_by_staff"),
        sa.UniqueConstraint("shop_id", "number", name="uq_class_factors_shop_id_number"),
    )


def downgrade() -> None:
    """Drop it again, with all that it holds."""
    op.drop_table("class_factors")
