"""What a service record knows of its fork or shock, its kind of service, and the visit that two parts share."""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the columns; older records have none of it."""
    with op.batch_alter_table("bench_record") as table:
        table.add_column(sa.Column("unit", sa.JSON(none_as_null=True), nullable=True))
        table.add_column(sa.Column("service_kind", sa.String(16), nullable=True))
        table.add_column(sa.Column("visit_code", sa.String(8), nullable=True))


def downgrade() -> None:
    """Drop them again."""
    with op.batch_alter_table("bench_record") as table:
        for name in ("visit_code", "service_kind", "unit"):
            table.drop_column(name)
