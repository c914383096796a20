from django.db import migrations

from fleet.platform.database import row_security


class Migration(migrations.Migration):
    """The second ring around the register: rights, policies, composite keys."""

    dependencies = [("fleet", "0001_initial")]

    operations = [
        row_security.GrantToApp(),
        row_security.ConfineToContractor(
            "Owner",
            "Building",
            "Machine",
            "Pulley",
            "Sheave",
            "SheaveGeometry",
            "Groove",
            "RopeSet",
            "Rope",
            "RopeInGroove",
            "Work",
        ),
    ]
