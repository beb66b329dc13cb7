"""What the labels room keeps."""

from labels.models.cards import NUMBERS, LabelAddress, LabelCard, LabelText, Sheet
from labels.models.dress import MakersMark

__all__ = [
    "NUMBERS",
    "LabelAddress",
    "LabelCard",
    "LabelText",
    "MakersMark",
    "Sheet",
]
