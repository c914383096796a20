"""The one thing that the embedded database can have wrong."""


class EmbeddedDatabaseUnavailable(RuntimeError):
    """The embedded PostgreSQL cannot be used; the text says why and what to do."""
