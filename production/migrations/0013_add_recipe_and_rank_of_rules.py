"""Add the recipe that a rule was measured on, the rank of rules, and formulas of salts."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0012_add_the_loss_planned_with"),
    ]

    operations = [
        migrations.AlterModelOptions(
            name="referenceruleofthumb",
            options={"ordering": ["rank", "key"]},
        ),
        migrations.AddField(
            model_name="ruleofthumb",
            name="recipe",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="rules_of_thumb",
                to="production.formula",
                verbose_name="measured on",
            ),
        ),
        migrations.AddField(
            model_name="referenceruleofthumb",
            name="rank",
            field=models.PositiveSmallIntegerField(default=99),
        ),
        migrations.AlterField(
            model_name="ruleofthumb",
            name="figure",
            field=models.CharField(
                choices=[
                    ("lauric_myristic", "lauric and myristic acid"),
                    ("oleic", "oleic acid"),
                    ("ricinoleic", "ricinoleic acid"),
                    ("linoleic_linolenic", "linoleic and linolenic acid"),
                    ("palmitic_stearic", "palmitic and stearic acid"),
                    ("iodine_value", "iodine value"),
                    ("potassium_share", "potassium share of the soap"),
                    ("superfat", "superfat"),
                    ("soap_content", "soap content"),
                    ("glycerin", "added glycerin"),
                ],
                max_length=20,
            ),
        ),
        migrations.AlterField(
            model_name="ruleofthumb",
            name="topic",
            field=models.CharField(
                choices=[
                    ("clear when diluted", "clear when diluted"),
                    ("cloud point", "cloud point"),
                    ("superfat kept clear", "superfat kept clear"),
                    ("responds to brine", "responds to brine"),
                    ("thinned by glycerin", "thinned by glycerin"),
                    ("prone to rancidity", "prone to rancidity"),
                    ("needs soft water", "needs soft water"),
                    ("sequestrant", "sequestrant"),
                    ("preservation and pH", "preservation and pH"),
                ],
                max_length=20,
            ),
        ),
        migrations.AlterField(
            model_name="referenceruleofthumb",
            name="figure",
            field=models.CharField(
                choices=[
                    ("lauric_myristic", "lauric and myristic acid"),
                    ("oleic", "oleic acid"),
                    ("ricinoleic", "ricinoleic acid"),
                    ("linoleic_linolenic", "linoleic and linolenic acid"),
                    ("palmitic_stearic", "palmitic and stearic acid"),
                    ("iodine_value", "iodine value"),
                    ("potassium_share", "potassium share of the soap"),
                    ("superfat", "superfat"),
                    ("soap_content", "soap content"),
                    ("glycerin", "added glycerin"),
                ],
                max_length=20,
            ),
        ),
        migrations.AlterField(
            model_name="referenceruleofthumb",
            name="topic",
            field=models.CharField(
                choices=[
                    ("clear when diluted", "clear when diluted"),
                    ("cloud point", "cloud point"),
                    ("superfat kept clear", "superfat kept clear"),
                    ("responds to brine", "responds to brine"),
                    ("thinned by glycerin", "thinned by glycerin"),
                    ("prone to rancidity", "prone to rancidity"),
                    ("needs soft water", "needs soft water"),
                    ("sequestrant", "sequestrant"),
                    ("preservation and pH", "preservation and pH"),
                ],
                max_length=20,
            ),
        ),
        migrations.CreateModel(
            name="ReferenceSalt",
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
                ("source", models.CharField(max_length=300)),
                ("standing", models.CharField(max_length=20)),
                ("formula", models.CharField(max_length=40)),
                (
                    "material",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="salt",
                        to="production.inciname",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
    ]
