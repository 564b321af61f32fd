"""What Alembic runs: the migrations of this package, on the connection and in the transaction it is given."""

from __future__ import annotations

from alembic import context

context.configure(connection=context.config.attributes["connection"], transactional_ddl=False)
context.run_migrations()
