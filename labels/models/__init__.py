"""What the labels room keeps."""

from labels.models.cards import NUMBERS, LabelCard, Sheet
from labels.models.issued import (
    CauseApproved,
    IssuedLabel,
    LabelCount,
    LabelWithdrawn,
    Reprint,
    TextApproved,
)

__all__ = [
    "NUMBERS",
    "CauseApproved",
    "IssuedLabel",
    "LabelCard",
    "LabelCount",
    "LabelWithdrawn",
    "Reprint",
    "Sheet",
    "TextApproved",
]
