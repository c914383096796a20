from django.db import migrations

from fleet.platform.database import table_statistics


class Migration(migrations.Migration):
    """Large imports tell the planner what they have stored."""

    dependencies = [("fleet", "0010_composite_keys_alone")]

    operations = [table_statistics.LetAppRefreshStatistics()]
