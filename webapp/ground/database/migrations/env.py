"""Runs the migrations on the connection that `webapp.ground.database.migrate` hands over, inside its transaction."""

from alembic import context

from webapp.ground.database.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,
    transactional_ddl=False,
)
context.run_migrations()
