"""The database: SQLAlchemy models, migrations, and the adapters behind the ports of `learning`."""
