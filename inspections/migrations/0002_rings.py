from django.db import migrations

from fleet.platform.database import row_security


class Migration(migrations.Migration):
    """The second ring around readings and what is made of them."""

    dependencies = [("inspections", "0001_initial"), ("fleet", "0002_rings")]

    operations = [
        row_security.ConfineToContractor(
            "Gauge",
            "Upload",
            "Visit",
            "Reading",
            "ReadingReview",
            "Assessment",
            "Finding",
            "WearLimit",
            "Forecast",
        ),
        row_security.AppendOnly("Reading"),
        row_security.AppendOnly("ReadingReview"),
    ]
