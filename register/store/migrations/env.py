"""What Alembic runs for each command: the connection comes from `upgrade.config`."""

from alembic import context

from register.store.tables import Table

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Table.metadata,
    render_as_batch=True,
    transactional_ddl=True,
    compare_type=True,
)
context.run_migrations()
