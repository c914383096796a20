import django.db.models.deletion
from django.db import migrations, models

from fleet.platform.database import online_changes


class Migration(migrations.Migration):
    """What a composite index or key covers goes."""

    atomic = False

    dependencies = [
        ('fleet', '0010_composite_keys_alone'),
        ('reports', '0007_sparse_indexes'),
    ]

    operations = [
        online_changes.LeaveToComposite(
            model_name='delivery',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='delivery',
            name='report',
            field=models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='deliveries', to='reports.report'),
        ),
        online_changes.LeaveToComposite(
            model_name='refusedaddress',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='refusedaddress',
            name='delivery',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='refusals', to='reports.delivery'),
        ),
        online_changes.LeaveToComposite(
            model_name='report',
            name='building',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, help_text="Empty: the owner's whole estate.", null=True, on_delete=django.db.models.deletion.PROTECT, related_name='reports', to='fleet.building'),
        ),
        online_changes.LeaveToComposite(
            model_name='report',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='report',
            name='machine',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, help_text='For what is about one machine, such as a field sheet.', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='reports', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='report',
            name='owner',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, help_text="Empty: the contractor's whole portfolio.", null=True, on_delete=django.db.models.deletion.PROTECT, related_name='reports', to='fleet.owner'),
        ),
        online_changes.LeaveToComposite(
            model_name='report',
            name='plan',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='reports', to='reports.reportplan'),
        ),
        online_changes.LeaveToComposite(
            model_name='report',
            name='supersedes',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='superseded_by', to='reports.report'),
        ),
        online_changes.LeaveToComposite(
            model_name='reportplan',
            name='building',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, help_text="Empty: the owner's whole estate.", null=True, on_delete=django.db.models.deletion.PROTECT, related_name='plans', to='fleet.building'),
        ),
        online_changes.LeaveToComposite(
            model_name='reportplan',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='reportplan',
            name='owner',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='plans', to='fleet.owner'),
        ),
    ]
