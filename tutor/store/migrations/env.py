"""Alembic's way into the migrations: always on a connection that `tutor.store.engine` hands over."""

from alembic import context

from tutor.store.schema import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,
    transaction_per_migration=True,
)
with context.begin_transaction():
    context.run_migrations()
