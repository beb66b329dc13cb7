"""Keep the loss that a batch was planned with, where it is not the recipe's."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0011_add_restored"),
    ]

    operations = [
        migrations.AddField(
            model_name="batch",
            name="loss",
            field=models.DecimalField(
                blank=True,
                decimal_places=5,
                max_digits=6,
                null=True,
                verbose_name="loss planned with, where it is not the recipe's",
            ),
        ),
    ]
