"""A book is never lost: one file holds all of it, is proved, and is put back whole."""

from config.backups.restoring import restore
from config.backups.taking import back_up

__all__ = ["back_up", "restore"]
