"""The Django project: settings, addresses, the application of Celery."""
