"""Run by Alembic: the connection is handed over by `brief.store.databases.database`."""

from alembic import context

from brief.store.records import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,  # SQLite alters a table by copying it
)
with context.begin_transaction():
    context.run_migrations()
