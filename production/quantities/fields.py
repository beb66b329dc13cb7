"""Columns that SQL adds up exactly: whole numbers of their smallest unit."""

from decimal import Decimal, InvalidOperation

from django import forms
from django.core.exceptions import ValidationError
from django.db import models

# A database keeps a whole number of 64 bits; sums of these still fit.
LARGEST = Decimal(10) ** 12


class ScaledDecimalField(models.Field):
    """A Decimal in Python, a whole number of its smallest unit in the database.

    SQLite keeps DecimalField columns as binary floats, which do not add up. Not a
    subclass of BigIntegerField, so that mixing two units in SQL is a FieldError.
    """

    places = 0

    def get_internal_type(self):
        return "BigIntegerField"

    def from_db_value(self, value, expression, connection):
        # PostgreSQL answers a sum of bigints with a Decimal.
        return None if value is None else Decimal(int(value)).scaleb(-self.places)

    def to_python(self, value):
        if value is None or value == "":
            return None
        try:
            number = Decimal(value)
        except (InvalidOperation, TypeError, ValueError):
            raise ValidationError(f"{value!r} is not a number.") from None
        if not number.is_finite():
            raise ValidationError(f"{value!r} is not a number.")
        return number

    def validate(self, value, model_instance):
        super().validate(value, model_instance)
        if value is not None and abs(value) > LARGEST:
            raise ValidationError(f"{value:.6g} is too large to be meant.")
        if value is not None and value != round(value, self.places):
            step = Decimal(1).scaleb(-self.places)
            raise ValidationError(f"{value} is finer than {step}; round it first.")

    def get_prep_value(self, value):
        value = self.to_python(super().get_prep_value(value))
        if value is None:
            return None
        scaled = value.scaleb(self.places)
        if scaled != scaled.to_integral_value():
            raise ValueError(f"{value} has more than {self.places} decimal places")
        return int(scaled)

    def value_to_string(self, obj):
        value = self.value_from_object(obj)
        return "" if value is None else str(value)

    def formfield(self, **kwargs):
        return super().formfield(
            **{
                "form_class": forms.DecimalField,
                "decimal_places": self.places,
                **kwargs,
            }
        )


class QuantityField(ScaledDecimalField):
    """Grams or whole pieces, kept in thousandths."""

    places = 3


class HoursField(ScaledDecimalField):
    """Hours of work, kept in ten-thousandths."""

    places = 4


class MoneyField(ScaledDecimalField):
    """Typed money of the workshop's one currency, kept in ten-thousandths."""

    places = 4
