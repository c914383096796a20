"""Plain SQL on the app role's connection, with no help from the application."""

from django.apps import apps
from django.db import connection

from fleet.models import TenantRow


def rows(sql, *parameters):
    with connection.cursor() as cursor:
        cursor.execute(sql, parameters)
        return cursor.fetchall()


def commit_checks():
    """Check now what PostgreSQL would check at the end of the transaction."""
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")


def tenant_tables():
    return {
        model._meta.db_table
        for model in apps.get_models()
        if issubclass(model, TenantRow)
    }
