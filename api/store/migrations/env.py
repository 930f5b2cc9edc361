"""Alembic's entry: takes the steps on the connection that the store hands over."""

from alembic import context

from api.store.stored_table import metadata

context.configure(connection=context.config.attributes["connection"], target_metadata=metadata)
with context.begin_transaction():
    context.run_migrations()
