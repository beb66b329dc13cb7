"""The accountant's codes of our accounts: a card that is changed freely."""

from django.db import models


class AccountCode(models.Model):
    """The code of one account of ``costing.domain.accounts``."""

    account = models.CharField(max_length=40, unique=True)
    code = models.CharField(max_length=20)

    class Meta:
        ordering = ["account"]

    def __str__(self):
        return f"{self.account}: {self.code}"
