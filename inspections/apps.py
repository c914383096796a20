from django.apps import AppConfig


class InspectionsConfig(AppConfig):
    name = "inspections"
    verbose_name = "Inspections"
    default_auto_field = "django.db.models.BigAutoField"
