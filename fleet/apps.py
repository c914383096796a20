from django.apps import AppConfig


class FleetConfig(AppConfig):
    name = "fleet"
    verbose_name = "Fleet"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Make the checks known, and the API's ways to log in to the schema."""
        from fleet import checks  # noqa: F401
        from fleet.api import openapi  # noqa: F401
