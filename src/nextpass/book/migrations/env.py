"""Entry point of the migration library: runs the steps on the connection that `nextpass.book` hands over."""

from alembic import context

from nextpass.book.tables import Table

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=Table.metadata, render_as_batch=True)
with context.begin_transaction():
    context.run_migrations()
