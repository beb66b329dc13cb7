"""Every typed figure can be put right: one deed, with its reason."""

from production.correcting.actions.putting_right.codes import give_proper_code
from production.correcting.actions.putting_right.deed import put_right
from production.correcting.actions.putting_right.expiry import extend_expiry

__all__ = ["extend_expiry", "give_proper_code", "put_right"]
