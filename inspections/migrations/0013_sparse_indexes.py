from django.db import migrations, models

from fleet.platform.database import online_changes


class Migration(migrations.Migration):
    """What sparse references are found by; built before anything goes."""

    atomic = False

    dependencies = [
        ('fleet', '0008_register_completed'),
        ('inspections', '0012_assessment_cause'),
    ]

    operations = [
        online_changes.AddIndexOnline(
            model_name='calendarfeed',
            index=models.Index(condition=models.Q(('owner__isnull', False)), fields=['owner'], name='calendar_feed_of_owner'),
        ),
        online_changes.AddIndexOnline(
            model_name='duework',
            index=models.Index(condition=models.Q(('planned_work__isnull', False)), fields=['planned_work'], name='due_work_of_planned_work'),
        ),
        online_changes.AddIndexOnline(
            model_name='finding',
            index=models.Index(condition=models.Q(('current', True)), fields=['contractor', 'grade', 'id'], name='finding_current_by_grade'),
        ),
        online_changes.AddIndexOnline(
            model_name='finding',
            index=models.Index(condition=models.Q(('groove__isnull', False)), fields=['groove'], name='finding_of_groove'),
        ),
        online_changes.AddIndexOnline(
            model_name='finding',
            index=models.Index(condition=models.Q(('rope__isnull', False)), fields=['rope'], name='finding_of_rope'),
        ),
        online_changes.AddIndexOnline(
            model_name='forecast',
            index=models.Index(condition=models.Q(('groove__isnull', False)), fields=['groove'], name='forecast_of_groove'),
        ),
        online_changes.AddIndexOnline(
            model_name='forecast',
            index=models.Index(condition=models.Q(('rope__isnull', False)), fields=['rope'], name='forecast_of_rope'),
        ),
        online_changes.AddIndexOnline(
            model_name='forecast',
            index=models.Index(condition=models.Q(('track__isnull', False)), fields=['track'], name='forecast_of_track'),
        ),
        online_changes.AddIndexOnline(
            model_name='forecastrun',
            index=models.Index(condition=models.Q(('hyperparameters__isnull', False)), fields=['hyperparameters'], name='run_of_hyperparameters'),
        ),
        online_changes.AddIndexOnline(
            model_name='plannedwork',
            index=models.Index(condition=models.Q(('follows__isnull', False)), fields=['follows'], name='planned_work_of_follows'),
        ),
        online_changes.AddIndexOnline(
            model_name='reading',
            index=models.Index(condition=models.Q(('sheave__isnull', False)), fields=['sheave'], name='reading_of_sheave'),
        ),
        online_changes.AddIndexOnline(
            model_name='reading',
            index=models.Index(condition=models.Q(('groove__isnull', False)), fields=['groove'], name='reading_of_groove'),
        ),
        online_changes.AddIndexOnline(
            model_name='reading',
            index=models.Index(condition=models.Q(('rope__isnull', False)), fields=['rope'], name='reading_of_rope'),
        ),
        online_changes.AddIndexOnline(
            model_name='reading',
            index=models.Index(condition=models.Q(('gauge__isnull', False)), fields=['gauge'], name='reading_of_gauge'),
        ),
        online_changes.AddIndexOnline(
            model_name='reading',
            index=models.Index(condition=models.Q(('corrects__isnull', False)), fields=['corrects'], name='reading_corrected'),
        ),
        online_changes.AddIndexOnline(
            model_name='visit',
            index=models.Index(condition=models.Q(('work__isnull', False)), fields=['work'], name='visit_of_work'),
        ),
        online_changes.AddIndexOnline(
            model_name='wearlimit',
            index=models.Index(condition=models.Q(('groove__isnull', False)), fields=['groove'], name='wear_limit_of_groove'),
        ),
        online_changes.AddIndexOnline(
            model_name='wearlimit',
            index=models.Index(condition=models.Q(('rope__isnull', False)), fields=['rope'], name='wear_limit_of_rope'),
        ),
        online_changes.AddIndexOnline(
            model_name='weartrack',
            index=models.Index(condition=models.Q(('groove__isnull', False)), fields=['groove'], name='wear_track_of_groove'),
        ),
        online_changes.AddIndexOnline(
            model_name='weartrack',
            index=models.Index(condition=models.Q(('rope__isnull', False)), fields=['rope'], name='wear_track_of_rope'),
        ),
    ]
