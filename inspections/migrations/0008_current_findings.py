from django.db import migrations, models

# What later assessments of the same machine have replaced.
MARK = """
UPDATE inspections_finding SET current = false
WHERE assessment_id <> (
    SELECT max(latest.id) FROM inspections_assessment latest
    WHERE latest.machine_id = inspections_finding.machine_id)
"""


class Migration(migrations.Migration):

    dependencies = [
        ('inspections', '0007_urgent_mails'),
    ]

    operations = [
        migrations.AddField(
            model_name='finding',
            name='current',
            field=models.BooleanField(db_default=True, default=True, editable=False),
        ),
        migrations.RunSQL(MARK, migrations.RunSQL.noop),
        migrations.AddIndex(
            model_name='finding',
            index=models.Index(condition=models.Q(('current', True)), fields=['contractor', 'id'], name='finding_current'),
        ),
        migrations.AddIndex(
            model_name='finding',
            index=models.Index(condition=models.Q(('current', True)), fields=['machine'], name='finding_current_of_machine'),
        ),
        migrations.RemoveIndex(
            model_name='forecast',
            name='forecast_by_plan',
        ),
        migrations.AddIndex(
            model_name='forecast',
            index=models.Index(condition=models.Q(('current', True)), fields=['contractor', 'plan_before_on', 'id'], name='forecast_first_to_plan'),
        ),
    ]
