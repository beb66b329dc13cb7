"""A column for lengths on paper."""

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models


class Length(models.DecimalField):
    """Millimetres to two places; nothing ever adds them up in SQL."""

    def __init__(self, *args, **kwargs):
        kwargs |= {"max_digits": 6, "decimal_places": 2}
        kwargs.setdefault("validators", [MinValueValidator(Decimal(0))])
        super().__init__(*args, **kwargs)
