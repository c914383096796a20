from django.apps import AppConfig


class FleetConfig(AppConfig):
    name = "fleet"
    verbose_name = "Fleet"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Make known checks, admin pages, the API's ways to log in; count tasks.

        Connections read moments at once.
        """
        from fleet.platform.api import openapi  # noqa: F401
        from fleet.platform.database import moments
        from fleet.platform.queue import task_counts
        from fleet.platform.watching import checks  # noqa: F401
        from fleet.register import admin  # noqa: F401

        task_counts.connect()
        moments.connect()
