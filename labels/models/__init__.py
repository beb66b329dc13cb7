"""What the labels room keeps."""

from labels.models.cards import NUMBERS, LabelAddress, LabelCard, LabelText, Sheet

__all__ = ["NUMBERS", "LabelAddress", "LabelCard", "LabelText", "Sheet"]
