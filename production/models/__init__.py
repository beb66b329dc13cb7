"""The tables, split by the trade's nouns."""

from production.models.batches import (
    Batch,
    Loss,
    LostBatch,
    Promotion,
    Step,
    Work,
    still_a_trial,
)
from production.models.buying import (
    ExtraCost,
    LinePrice,
    Purchase,
    PurchaseLine,
    Supplier,
)
from production.models.formulas import (
    Formula,
    Stage,
    Version,
    VersionCheck,
    VersionLine,
)
from production.models.holds import Answered, Hold, HoldLifted
from production.models.ink import ByDeed, Deed, Restated, WrittenInInk
from production.models.ledger import (
    TAKEN_BACK_WHOLE,
    Closing,
    Given,
    Item,
    Lot,
    Movement,
    OpenPack,
    Status,
)
from production.models.papers import Attachment
from production.models.readings import (
    CheckTakenBack,
    Constituent,
    FragranceDocument,
    Measurement,
)
from production.models.reference import (
    Hint,
    InciName,
    ReferenceAcid,
    ReferenceComposition,
    ReferenceEdition,
    ReferenceHint,
    ReferenceOil,
    ReferenceSalt,
    Rule,
)
from production.models.restored import Restored, SinceBackup
from production.models.sales import Customer, Looked, Return, Sale, SaleLine
from production.models.stock import Count, Stock
from production.models.workshop import CodeSeries, Place, Vessel, Workshop

__all__ = [
    "TAKEN_BACK_WHOLE",
    "Answered",
    "Attachment",
    "Batch",
    "ByDeed",
    "CheckTakenBack",
    "Closing",
    "CodeSeries",
    "Constituent",
    "Count",
    "Customer",
    "Deed",
    "ExtraCost",
    "Formula",
    "FragranceDocument",
    "Given",
    "Hint",
    "Hold",
    "HoldLifted",
    "InciName",
    "Item",
    "LinePrice",
    "Looked",
    "Loss",
    "LostBatch",
    "Lot",
    "Measurement",
    "Movement",
    "OpenPack",
    "Place",
    "Promotion",
    "Purchase",
    "PurchaseLine",
    "ReferenceAcid",
    "ReferenceComposition",
    "ReferenceEdition",
    "ReferenceHint",
    "ReferenceOil",
    "ReferenceSalt",
    "Restated",
    "Restored",
    "Return",
    "Rule",
    "Sale",
    "SaleLine",
    "SinceBackup",
    "Stage",
    "Status",
    "Step",
    "Stock",
    "Supplier",
    "Version",
    "VersionCheck",
    "VersionLine",
    "Vessel",
    "Work",
    "Workshop",
    "WrittenInInk",
    "still_a_trial",
]
