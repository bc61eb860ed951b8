"""The number of phases on a motor's plate, which the kind of motor alone does not always tell."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("fleet", "0001_initial"),
    ]

    operations = [
        migrations.AddField(
            model_name=model,
            name="phases",
            field=models.PositiveSmallIntegerField(
                blank=True, choices=[(1, "1"), (3, "3")], null=True
            ),
        )
        for model in ("historicalmachine", "machine")
    ]
