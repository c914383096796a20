import django.db.models.deletion
from django.db import migrations, models

from fleet.platform.database import online_changes


class Migration(migrations.Migration):
    """What a composite index or key covers goes."""

    atomic = False

    dependencies = [
        ('fleet', '0010_composite_keys_alone'),
        ('inspections', '0013_sparse_indexes'),
    ]

    operations = [
        online_changes.RemoveIndexOnline(
            model_name='finding',
            name='finding_by_grade',
        ),
        online_changes.LeaveToComposite(
            model_name='assessment',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='assessment',
            name='machine',
            field=models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='assessments', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='calendarfeed',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='calendarfeed',
            name='owner',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, help_text='Empty: the work on every building.', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='calendar_feeds', to='fleet.owner'),
        ),
        online_changes.LeaveToComposite(
            model_name='duework',
            name='building',
            field=models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.building'),
        ),
        online_changes.LeaveToComposite(
            model_name='duework',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='duework',
            name='machine',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='due_works', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='duework',
            name='owner',
            field=models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.owner'),
        ),
        online_changes.LeaveToComposite(
            model_name='duework',
            name='planned_work',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, help_text='Empty: nobody has decided on it yet.', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inspections.plannedwork'),
        ),
        online_changes.LeaveToComposite(
            model_name='finding',
            name='assessment',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='findings', to='inspections.assessment'),
        ),
        online_changes.LeaveToComposite(
            model_name='finding',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='finding',
            name='groove',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.groove'),
        ),
        online_changes.LeaveToComposite(
            model_name='finding',
            name='machine',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='findings', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='finding',
            name='rope',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.rope'),
        ),
        online_changes.LeaveToComposite(
            model_name='forecast',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='forecast',
            name='groove',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.groove'),
        ),
        online_changes.LeaveToComposite(
            model_name='forecast',
            name='machine',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='forecasts', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='forecast',
            name='rope',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.rope'),
        ),
        online_changes.LeaveToComposite(
            model_name='forecast',
            name='run',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inspections.forecastrun'),
        ),
        online_changes.LeaveToComposite(
            model_name='forecast',
            name='track',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='forecasts', to='inspections.weartrack'),
        ),
        online_changes.LeaveToComposite(
            model_name='forecastrun',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='forecastrun',
            name='hyperparameters',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, help_text='Empty: no fleet has been learnt from yet.', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='runs', to='inspections.hyperparameters'),
        ),
        online_changes.LeaveToComposite(
            model_name='forecastscore',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='gauge',
            name='code',
            field=models.SlugField(db_index=False),
        ),
        online_changes.LeaveToComposite(
            model_name='gauge',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='hyperparameters',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='optionset',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='optionset',
            name='machine',
            field=models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='option_sets', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='plannedstep',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='plannedstep',
            name='planned_work',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='steps', to='inspections.plannedwork'),
        ),
        online_changes.LeaveToComposite(
            model_name='plannedwork',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='plannedwork',
            name='follows',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, editable=False, help_text='The planned work whose report brought this one about.', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='followed_by', to='inspections.plannedwork'),
        ),
        online_changes.LeaveToComposite(
            model_name='plannedwork',
            name='machine',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='planned_works', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='planningrule',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='reading',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='reading',
            name='corrects',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='corrections', to='inspections.reading'),
        ),
        online_changes.LeaveToComposite(
            model_name='reading',
            name='gauge',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='readings', to='inspections.gauge'),
        ),
        online_changes.LeaveToComposite(
            model_name='reading',
            name='groove',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='readings', to='fleet.groove'),
        ),
        online_changes.LeaveToComposite(
            model_name='reading',
            name='machine',
            field=models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='readings', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='reading',
            name='rope',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='readings', to='fleet.rope'),
        ),
        online_changes.LeaveToComposite(
            model_name='reading',
            name='sheave',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='readings', to='fleet.sheave'),
        ),
        online_changes.LeaveToComposite(
            model_name='reading',
            name='upload',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='readings', to='inspections.upload'),
        ),
        online_changes.LeaveToComposite(
            model_name='reading',
            name='visit',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='readings', to='inspections.visit'),
        ),
        online_changes.LeaveToComposite(
            model_name='readingreview',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='readingreview',
            name='reading',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='reviews', to='inspections.reading'),
        ),
        online_changes.LeaveToComposite(
            model_name='terms',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='terms',
            name='replaces',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inspections.terms'),
        ),
        online_changes.LeaveToComposite(
            model_name='trackpoint',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='trackpoint',
            name='machine',
            field=models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='trackpoint',
            name='track',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='points', to='inspections.weartrack'),
        ),
        online_changes.LeaveToComposite(
            model_name='trackpoint',
            name='visit',
            field=models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inspections.visit'),
        ),
        online_changes.LeaveToComposite(
            model_name='upload',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='urgentmail',
            name='assessment',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='urgent_mails', to='inspections.assessment'),
        ),
        online_changes.LeaveToComposite(
            model_name='urgentmail',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='urgentmail',
            name='upload',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='urgent_mails', to='inspections.upload'),
        ),
        online_changes.LeaveToComposite(
            model_name='visit',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='visit',
            name='machine',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='visits', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='visit',
            name='work',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='visits', to='fleet.work'),
        ),
        online_changes.LeaveToComposite(
            model_name='visitphoto',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='visitphoto',
            name='machine',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='visitphoto',
            name='visit',
            field=models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='photos', to='inspections.visit'),
        ),
        online_changes.LeaveToComposite(
            model_name='wearlimit',
            name='assessment',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='wear_limits', to='inspections.assessment'),
        ),
        online_changes.LeaveToComposite(
            model_name='wearlimit',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='wearlimit',
            name='groove',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.groove'),
        ),
        online_changes.LeaveToComposite(
            model_name='wearlimit',
            name='machine',
            field=models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='wear_limits', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='wearlimit',
            name='rope',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.rope'),
        ),
        online_changes.LeaveToComposite(
            model_name='weartrack',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='weartrack',
            name='groove',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.groove'),
        ),
        online_changes.LeaveToComposite(
            model_name='weartrack',
            name='machine',
            field=models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='wear_tracks', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='weartrack',
            name='rope',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.rope'),
        ),
    ]
