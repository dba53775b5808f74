from django.db import migrations, models


def number_what_is_done(apps, schema_editor):
    """Acts so far are numbered in the order in which they were begun: no other is known of them."""
    acts = apps.get_model("records", "Act").objects.using(schema_editor.connection.alias)
    acts.update(revision=models.F("id"))


class Migration(migrations.Migration):
    dependencies = [
        ("records", "0007_invited"),
    ]

    operations = [
        migrations.AddField(
            model_name="act",
            name="revision",
            field=models.BigIntegerField(null=True, unique=True),
        ),
        migrations.RunPython(number_what_is_done, migrations.RunPython.noop),
    ]
