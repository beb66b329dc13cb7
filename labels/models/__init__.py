"""What the labels room keeps."""

from labels.models.cards import NUMBERS, LabelCard, Sheet

__all__ = ["NUMBERS", "LabelCard", "Sheet"]
