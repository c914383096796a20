from django.db import migrations, models

from fleet.platform.database import online_changes


class Migration(migrations.Migration):
    """What sparse references are found by; built before anything goes."""

    atomic = False

    dependencies = [
        ('fleet', '0008_register_completed'),
    ]

    operations = [
        online_changes.AddIndexOnline(
            model_name='token',
            index=models.Index(condition=models.Q(('replaces__isnull', False)), fields=['replaces'], name='token_replacing'),
        ),
        online_changes.AddIndexOnline(
            model_name='work',
            index=models.Index(condition=models.Q(('sheave__isnull', False)), fields=['sheave'], name='work_of_sheave'),
        ),
        online_changes.AddIndexOnline(
            model_name='work',
            index=models.Index(condition=models.Q(('rope_set__isnull', False)), fields=['rope_set'], name='work_of_rope_set'),
        ),
    ]
