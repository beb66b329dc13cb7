"""The accounts of the books, each by its name and what it is in words.

Which code an account has is for the accountant; what is debited and credited follows
from what happened to the goods (common practice, no source). A debit is above zero.
"""

from collections.abc import Mapping

from costing.domain.books import LOSSES

STOCK = {
    "material": "stock of materials",
    "packaging": "stock of packaging",
    "made": "stock of what was made here",
}
MAKING = {"labour": "labour", "energy": "energy", "overhead": "overhead"}
LOST = {
    "given": "gifts and testers",
    "samples": "samples",
    "own_use": "own use, where it is a loss",
    "discarded": "thrown away",
    "abnormal": "more lost in making than expected",
    "counted": "missing at counts",
    "development": "trials that nobody accepted",
}
ACCOUNTS: Mapping[str, str] = {
    **{f"stock_{kind}": words for kind, words in STOCK.items()},
    "work_in_progress": "work in progress",
    "receivable": "to come from customers",
    "recoverable_tax": "tax to come back",
    "bank": "paid in and out",
    "payable": "owed to suppliers",
    "sales_tax": "sales tax to be handed on",
    "deposits": "deposits owed",
    "opening": "opening stock",
    "drawings": "drawings: own use",
    "sales": "sales",
    "cost_of_goods_sold": "cost of goods sold",
    **{f"making_{kind}": f"making cost: {words}" for kind, words in MAKING.items()},
    "tap": "water from the tap",
    "empties": "bottles that came back empty, at their value",
    "not_stocked": "bought and not stocked",
    "supplier_credits": "sent back to suppliers, less their credits",
    **{name: LOST[name] for name in LOSSES},
    "late_bills": "late bills of closed months, for what was sold and lost",
    "payment_differences": "discounts, fees and rates of payments",
    "rounding": "rounding to the cent",
}
# What the books call purchases, before anything was sent back.
PURCHASES = ("payable", "tap", "empties")


def in_words(account: str) -> str:
    return ACCOUNTS.get(account, account.replace("_", " "))
