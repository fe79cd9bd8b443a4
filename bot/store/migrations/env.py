"""Run by alembic: migrates over the connection it is handed, in that connection's transaction."""

from alembic import context

from bot.store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,
    transactional_ddl=True,
)
with context.begin_transaction():
    context.run_migrations()
