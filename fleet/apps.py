from django.apps import AppConfig


class FleetConfig(AppConfig):
    name = "fleet"
    verbose_name = "Fleet"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Make the API's ways to log in known to the schema."""
        from fleet.api import openapi  # noqa: F401
