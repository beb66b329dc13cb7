"""Find a lot by what stands on its drum or its papers, in any case, at any length."""

from django.db import migrations, models
from django.db.models.functions import Upper


class Migration(migrations.Migration):
    dependencies = [
        ("production", "0003_add_lines_of_entries"),
    ]

    operations = [
        migrations.AddIndex(
            model_name="batch",
            index=models.Index(Upper("code"), name="batch_in_any_case"),
        ),
        migrations.AddIndex(
            model_name="lot",
            index=models.Index(Upper("code"), name="lot_by_code_in_any_case"),
        ),
        migrations.AddIndex(
            model_name="lot",
            index=models.Index(Upper("supplier_lot"), name="lot_by_the_suppliers_lot"),
        ),
        migrations.AddIndex(
            model_name="purchase",
            index=models.Index(Upper("number"), name="purchase_in_any_case"),
        ),
    ]
