from django.conf import settings
import django.db.models.deletion
from django.db import migrations, models

from fleet.platform.database import online_changes


class Migration(migrations.Migration):
    """What a composite index or key covers goes."""

    atomic = False

    dependencies = [
        ('fleet', '0009_sparse_indexes'),
    ]

    operations = [
        online_changes.LeaveToComposite(
            model_name='building',
            name='code',
            field=models.SlugField(db_index=False),
        ),
        online_changes.LeaveToComposite(
            model_name='building',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='building',
            name='owner',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='buildings', to='fleet.owner'),
        ),
        online_changes.LeaveToComposite(
            model_name='change',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='groove',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='groove',
            name='sheave',
            field=models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='grooves', to='fleet.sheave'),
        ),
        online_changes.LeaveToComposite(
            model_name='machine',
            name='building',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='machines', to='fleet.building'),
        ),
        online_changes.LeaveToComposite(
            model_name='machine',
            name='code',
            field=models.SlugField(db_index=False),
        ),
        online_changes.LeaveToComposite(
            model_name='machine',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='membership',
            name='person',
            field=models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='memberships', to=settings.AUTH_USER_MODEL),
        ),
        online_changes.LeaveToComposite(
            model_name='owner',
            name='code',
            field=models.SlugField(db_index=False),
        ),
        online_changes.LeaveToComposite(
            model_name='owner',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='pulley',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='pulley',
            name='machine',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='pulleys', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='rope',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='rope',
            name='rope_set',
            field=models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='ropes', to='fleet.ropeset'),
        ),
        online_changes.LeaveToComposite(
            model_name='ropeingroove',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='ropeingroove',
            name='groove',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='seats', to='fleet.groove'),
        ),
        online_changes.LeaveToComposite(
            model_name='ropeingroove',
            name='rope',
            field=models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='seats', to='fleet.rope'),
        ),
        online_changes.LeaveToComposite(
            model_name='ropeset',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='ropeset',
            name='machine',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='rope_sets', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='ropeset',
            name='sheave',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='rope_sets', to='fleet.sheave'),
        ),
        online_changes.LeaveToComposite(
            model_name='sheave',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='sheave',
            name='machine',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='sheaves', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='sheavegeometry',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='sheavegeometry',
            name='sheave',
            field=models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='geometries', to='fleet.sheave'),
        ),
        online_changes.LeaveToComposite(
            model_name='token',
            name='replaces',
            field=models.ForeignKey(db_index=False, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.token'),
        ),
        online_changes.LeaveToComposite(
            model_name='work',
            name='contractor',
            field=models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor'),
        ),
        online_changes.LeaveToComposite(
            model_name='work',
            name='machine',
            field=models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.PROTECT, related_name='works', to='fleet.machine'),
        ),
        online_changes.LeaveToComposite(
            model_name='work',
            name='rope_set',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='works', to='fleet.ropeset'),
        ),
        online_changes.LeaveToComposite(
            model_name='work',
            name='sheave',
            field=models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='works', to='fleet.sheave'),
        ),
    ]
