"""The accountant's codes of our accounts."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("costing", "0005_prices"),
    ]

    operations = [
        migrations.CreateModel(
            name="AccountCode",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("account", models.CharField(max_length=40, unique=True)),
                ("code", models.CharField(max_length=20)),
            ],
            options={
                "ordering": ["account"],
            },
        ),
    ]
