from django.apps import AppConfig


class FleetConfig(AppConfig):
    name = "fleet"
    verbose_name = "Fleet"
    default_auto_field = "django.db.models.BigAutoField"
