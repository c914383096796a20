"""Roles, two rings around a contractor, the change log."""
