from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0034_readers_end_with_their_owner'),
    ]

    operations = [
        migrations.AddField(
            model_name='job',
            name='put_off_since',
            field=models.DateTimeField(help_text='When it was first put off for something else; empty when not.', null=True),
        ),
    ]
