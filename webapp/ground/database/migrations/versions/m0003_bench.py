"""The bench: service records with their history, and the shops' checklists."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Create the tables of the bench."""
    op.create_table(
        "bench_record",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("shop_id", sa.Integer, nullable=False),
        sa.Column("short_code", sa.String(8), nullable=False),
        sa.Column("bike_label", sa.String(60), nullable=False),
        sa.Column("unit_label", sa.String(60), nullable=False),
        sa.Column("customer_reference", sa.String(60), nullable=False),
        sa.Column("search_key", sa.String(600), nullable=False),
        sa.Column("spring_end", sa.String(8), nullable=False),
        sa.Column("state", sa.String(8), nullable=False),
        sa.Column("as_found", sa.JSON, nullable=False),
        sa.Column("steps", sa.JSON, nullable=False),
        sa.Column("as_left", sa.JSON, nullable=False),
        sa.Column("draft", sa.JSON, nullable=True),
        sa.Column("setup_id", sa.Integer, nullable=True),
        sa.Column("setup_revision", sa.Integer, nullable=True),
        sa.Column("closing_key", sa.String(32), nullable=False),
        sa.Column("opened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("opened_by", sa.Integer, nullable=False),
        sa.Column("closed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("closed_by", sa.Integer, nullable=True),
        sa.Column("next_due_on", sa.Date, nullable=True),
        sa.Column("next_due_hours", sa.Integer, nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_bench_record"),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name="fk_bench_record_shop_id_shop"),
        sa.ForeignKeyConstraint(["setup_id"], ["setup.id"], name="fk_bench_record_setup_id_setup"),
        sa.ForeignKeyConstraint(["opened_by"], ["staff.id"], name="fk_bench_record_opened_by_staff"),
        sa.ForeignKeyConstraint(["closed_by"], ["staff.id"], name="fk_bench_record_closed_by_staff"),
        sa.UniqueConstraint("shop_id", "short_code", name="uq_bench_record_shop_id_short_code"),
        sa.CheckConstraint("state IN ('open', 'closed')", name="ck_bench_record_state"),
        sa.CheckConstraint("spring_end IN ('front', 'rear')", name="ck_bench_record_spring_end"),
    )
    op.create_index("ix_bench_record_shop_id_opened_at", "bench_record", ["shop_id", "opened_at"])
    op.create_index("ix_bench_record_setup_id", "bench_record", ["setup_id"])
    op.create_table(
        "bench_change",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("record_id", sa.Integer, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("detail", sa.JSON, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_bench_change"),
        sa.ForeignKeyConstraint(["record_id"], ["bench_record.id"], name="fk_bench_change_record_id_bench_record"),
        sa.ForeignKeyConstraint(["made_by"], ["staff.id"], name="fk_bench_change_made_by_staff"),
        sa.UniqueConstraint("record_id", "number", name="uq_bench_change_record_id_number"),
    )
    op.create_table(
        "bench_checklist",
        sa.Column("shop_id", sa.Integer, nullable=False),
        sa.Column("steps", sa.JSON, nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_by", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("shop_id", name="pk_bench_checklist"),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name="fk_bench_checklist_shop_id_shop"),
        sa.ForeignKeyConstraint(["changed_by"], ["staff.id"], name="fk_bench_checklist_changed_by_staff"),
    )


def downgrade() -> None:
    """Drop them again, with all that they hold."""
    op.drop_table("bench_checklist")
    op.drop_table("bench_change")
    op.drop_index("ix_bench_record_setup_id", "bench_record")
    op.drop_index("ix_bench_record_shop_id_opened_at", "bench_record")
    op.drop_table("bench_record")
