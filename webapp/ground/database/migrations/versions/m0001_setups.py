"""Setups, their revisions, and the links that were given up."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Create the first three tables."""
    op.create_table(
        "setup",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("code", sa.String(26), nullable=False),
        sa.Column("owner_key_hash", sa.String(64), nullable=True),
        sa.Column("creation_key", sa.String(64), nullable=True),
        sa.Column("creation_fingerprint", sa.String(64), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("deleted_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_setup"),
        sa.UniqueConstraint("code", name="uq_setup_code"),
        sa.UniqueConstraint("owner_key_hash", name="uq_setup_owner_key_hash"),
        sa.UniqueConstraint("creation_key", name="uq_setup_creation_key"),
    )
    op.create_index("ix_setup_expires_at", "setup", ["expires_at"])
    op.create_table(
        "revision",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("setup_id", sa.Integer, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("base_number", sa.Integer, nullable=True),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
        sa.Column("bike_label", sa.String(60), nullable=False),
        sa.Column("service_note", sa.String(200), nullable=False),
        sa.Column("request", sa.JSON, nullable=False),
        sa.Column("checks", sa.JSON, nullable=False),
        sa.Column("result", sa.JSON, nullable=False),
        sa.Column("rules_version", sa.String(16), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("idempotency_key", sa.String(64), nullable=True),
        sa.Column("fingerprint", sa.String(64), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_revision"),
        sa.ForeignKeyConstraint(["setup_id"], ["setup.id"], name="fk_revision_setup_id_setup"),
        sa.UniqueConstraint("setup_id", "number", name="uq_revision_setup_id_number"),
        sa.UniqueConstraint("setup_id", "idempotency_key", name="uq_revision_setup_id_idempotency_key"),
    )
    op.create_table(
        "retired_link",
        sa.Column("code", sa.String(26), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("code", name="pk_retired_link"),
    )


def downgrade() -> None:
    """Drop them again, with all that they hold."""
    op.drop_table("retired_link")
    op.drop_table("revision")
    op.drop_index("ix_setup_expires_at", "setup")
    op.drop_table("setup")
