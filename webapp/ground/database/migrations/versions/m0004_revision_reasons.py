"""Why a revision was saved, as key and values beside its English text; revisions of before keep their text alone."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the two columns, empty for every revision that is there."""
    op.add_column("revision", sa.Column("reason_key", sa.String(64), nullable=True))
    op.add_column("revision", sa.Column("reason_values", sa.JSON, nullable=True))


def downgrade() -> None:
    """Drop them again: the text that stands beside them says the same in English."""
    op.drop_column("revision", "reason_values")
    op.drop_column("revision", "reason_key")
