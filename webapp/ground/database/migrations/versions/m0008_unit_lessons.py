"""What setups that chose a fork or shock of the library taught of it, and from when on it counts."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Create the table, and the moments before which nothing counts."""
    op.add_column("unit", sa.Column("forgotten_at", sa.DateTime(timezone=True), nullable=True))
    op.add_column("unit", sa.Column("internals_at", sa.DateTime(timezone=True), nullable=True))
    op.create_table(
        "unit_setup",
        sa.Column("setup_id", sa.Integer, nullable=False),
        sa.Column("spring_end", sa.String(8), nullable=False),
        sa.Column("unit_id", sa.Integer, nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("lesson", sa.JSON, nullable=True),
        sa.PrimaryKeyConstraint("setup_id", "spring_end", name="pk_unit_setup"),
        sa.ForeignKeyConstraint(["setup_id"], ["setup.id"], name="fk_unit_setup_setup_id_setup"),
        sa.ForeignKeyConstraint(["unit_id"], ["unit.id"], name="fk_unit_setup_unit_id_unit"),
        sa.CheckConstraint("spring_end IN ('front', 'rear')", name="ck_unit_setup_spring_end"),
    )
    op.create_index("ix_unit_setup_unit_id", "unit_setup", ["unit_id"])


def downgrade() -> None:
    """Drop them again, with all that they hold."""
    op.drop_index("ix_unit_setup_unit_id", "unit_setup")
    op.drop_table("unit_setup")
    op.drop_column("unit", "internals_at")
    op.drop_column("unit", "forgotten_at")
