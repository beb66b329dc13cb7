"""What the labels room keeps."""

from labels.models.cards import NUMBERS, LabelAddress, LabelCard, LabelText, Sheet
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
    "LabelAddress",
    "LabelCard",
    "LabelCount",
    "LabelText",
    "LabelWithdrawn",
    "Reprint",
    "Sheet",
    "TextApproved",
]
