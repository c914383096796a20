from django.db import migrations, models

from fleet.platform.database import online_changes


class Migration(migrations.Migration):
    """What sparse references are found by; built before anything goes."""

    atomic = False

    dependencies = [
        ('fleet', '0008_register_completed'),
        ('reports', '0006_regroove_order'),
    ]

    operations = [
        online_changes.AddIndexOnline(
            model_name='report',
            index=models.Index(condition=models.Q(('owner__isnull', False)), fields=['owner'], name='report_of_owner'),
        ),
        online_changes.AddIndexOnline(
            model_name='report',
            index=models.Index(condition=models.Q(('building__isnull', False)), fields=['building'], name='report_of_building'),
        ),
        online_changes.AddIndexOnline(
            model_name='report',
            index=models.Index(condition=models.Q(('machine__isnull', False)), fields=['machine'], name='report_of_machine'),
        ),
        online_changes.AddIndexOnline(
            model_name='report',
            index=models.Index(condition=models.Q(('supersedes__isnull', False)), fields=['supersedes'], name='report_of_supersedes'),
        ),
        online_changes.AddIndexOnline(
            model_name='reportplan',
            index=models.Index(condition=models.Q(('building__isnull', False)), fields=['building'], name='plan_of_building'),
        ),
    ]
