"""Drawing documents: content in, bytes out. No database, no clock, no settings."""
