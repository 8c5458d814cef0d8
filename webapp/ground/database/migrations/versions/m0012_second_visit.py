"""What a shop says of itself, who set a card, when a fork or shock is due again, and records found by symptom."""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the columns and the table; what older records say of the next service and of symptoms is taken over."""
    op.add_column("shop", sa.Column("time_zone", sa.String(40), nullable=True))
    op.add_column("shop", sa.Column("phone", sa.String(24), nullable=True))
    op.add_column("shop", sa.Column("riding_hours", sa.Integer(), nullable=True))
    op.add_column("staff", sa.Column("initials", sa.String(4), nullable=True))
    op.create_index("ix_bench_record_shop_id_state_opened_at", "bench_record", ["shop_id", "state", "opened_at"])
    op.create_table(
        "service_due",
        sa.Column("setup_id", sa.Integer(), nullable=False),
        sa.Column("spring_end", sa.String(8), nullable=False),
        sa.Column("service", sa.String(16), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("record_id", sa.Integer(), nullable=False),
        sa.Column("due_on", sa.Date(), nullable=False),
        sa.Column("hours", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("setup_id", "spring_end", "service", name="pk_service_due"),
        sa.ForeignKeyConstraint(["setup_id"], ["setup.id"], name="fk_service_due_setup_id_setup"),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name="fk_service_due_shop_id_shop"),
        sa.ForeignKeyConstraint(["record_id"], ["bench_record.id"], name="fk_service_due_record_id_bench_record"),
        sa.CheckConstraint("spring_end IN ('front', 'rear')", name="ck_service_due_spring_end"),
    )
    op.create_index("ix_service_due_shop_id_due_on", "service_due", ["shop_id", "due_on"])
    op.execute(
        "INSERT INTO service_due (setup_id, spring_end, service, shop_id, record_id, due_on, hours) "
        "SELECT r.setup_id, r.spring_end, 'service', r.shop_id, r.id, r.next_due_on, NULL FROM bench_record r "
        "JOIN setup s ON s.id = r.setup_id AND s.deleted_at IS NULL "
        "WHERE r.setup_revision IS NOT NULL AND r.next_due_on IS NOT NULL AND NOT EXISTS "
        "(SELECT 1 FROM bench_record l WHERE l.setup_id = r.setup_id AND l.spring_end = r.spring_end AND "
        "l.setup_revision IS NOT NULL AND l.id > r.id)"
    )
    _add_symptoms()


def _add_symptoms() -> None:
    """Let records be found by their symptoms, as newer ones are."""
    record = sa.table(
        "bench_record", sa.column("id", sa.Integer), sa.column("search_key", sa.String), sa.column("as_found", sa.JSON)
    )
    connection = op.get_bind()
    for number, key, found in connection.execute(sa.select(record.c.id, record.c.search_key, record.c.as_found)).all():
        symptoms = str((found or {}).get("symptoms", ""))
        if symptoms:
            text = f"{key}\n{symptoms.casefold()}"[:600]
            connection.execute(sa.update(record).where(record.c.id == number).values(search_key=text))


def downgrade() -> None:
    """Drop them again."""
    op.drop_index("ix_service_due_shop_id_due_on", "service_due")
    op.drop_table("service_due")
    op.drop_index("ix_bench_record_shop_id_state_opened_at", "bench_record")
    op.drop_column("staff", "initials")
    for name in ("riding_hours", "phone", "time_zone"):
        op.drop_column("shop", name)
