import django.db.models.deletion
import django.db.models.functions.datetime
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0027_ring_around_import_files'),
        ('inspections', '0034_rings_around_hand_overs'),
    ]

    operations = [
        migrations.CreateModel(
            name='MachineState',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('code', models.CharField(max_length=50)),
                ('in_service', models.BooleanField(db_default=True, default=True)),
                ('rules', models.PositiveSmallIntegerField(db_default=0, default=0)),
                ('urgency', models.PositiveSmallIntegerField(db_default=0, default=0)),
                ('holds_from', models.DateField(blank=True, null=True)),
                ('changes_on', models.DateField(blank=True, null=True)),
                ('stops', models.PositiveSmallIntegerField(db_default=0, default=0)),
                ('stopped_since', models.DateTimeField(blank=True, null=True)),
                ('checks_made', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('checks_of', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('checks_missed', models.BooleanField(db_default=False, default=False)),
                ('last_read_at', models.DateTimeField(blank=True, null=True)),
                ('contractor', models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor')),
                ('first', models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='inspections.forecast')),
                ('machine', models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='states', to='fleet.machine')),
                ('says_most', models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='inspections.finding')),
            ],
            options={
                'ordering': ['machine'],
                'indexes': [models.Index(condition=models.Q(('in_service', True)), fields=['contractor', 'urgency', 'code', 'machine'], name='machine_state_by_urgency'), models.Index(condition=models.Q(('says_most__isnull', False)), fields=['says_most'], name='machine_state_of_finding'), models.Index(condition=models.Q(('first__isnull', False)), fields=['first'], name='machine_state_of_forecast')],
                'constraints': [models.UniqueConstraint(fields=('machine',), name='machine_state_one_a_machine')],
            },
        ),
        migrations.CreateModel(
            name='StateMark',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('machine_number', models.BigIntegerField()),
                ('contractor', models.ForeignKey(db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.contractor')),
            ],
            options={
                'ordering': ['pk'],
                'indexes': [models.Index(fields=['contractor', 'machine_number'], name='state_mark_of_machine')],
            },
        ),
    ]
