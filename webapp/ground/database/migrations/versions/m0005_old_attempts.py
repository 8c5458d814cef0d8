"""An index by which old log-in attempts are found, as each log-in forgets them."""

from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the index."""
    op.create_index("ix_log_in_attempts_since", "log_in_attempts", ["since"])


def downgrade() -> None:
    """Drop it again."""
    op.drop_index("ix_log_in_attempts_since", "log_in_attempts")
