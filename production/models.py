"""All tables of production, for Django and for whoever stands above.

Inside of production a table is imported from its noun.
"""

from production.attachments.models import Attachment
from production.buying.models import (
    BillPaid,
    ExtraCost,
    LinePrice,
    Purchase,
    PurchaseLine,
    SentBack,
    Supplier,
    SupplierCredit,
)
from production.chemistry.models import (
    InciName,
    ReferenceAcid,
    ReferenceComposition,
    ReferenceEdition,
    ReferenceOil,
    ReferenceRuleOfThumb,
    ReferenceSalt,
)
from production.recipes.models.formulas import (
    Formula,
    Version,
    VersionCheck,
    VersionLine,
)
from production.recipes.models.rules_of_thumb import RuleOfThumb
from production.record.models.ink import Closing, Deed, Restated
from production.record.models.workshop import CodeSeries, Workshop
from production.selling.models import (
    Customer,
    EmptyBack,
    Looked,
    Return,
    Sale,
    SaleLine,
    SalePaid,
)
from production.stock.models.batches import (
    Batch,
    Loss,
    LostBatch,
    Promotion,
    Stage,
    Step,
    Work,
    still_a_trial,
)
from production.stock.models.counts import Count, Stock
from production.stock.models.holds import Answered, Hold, HoldLifted
from production.stock.models.lots import (
    TAKEN_BACK_WHOLE,
    Given,
    Lot,
    Movement,
    OpenPack,
    Status,
)
from production.stock.models.readings import (
    CheckTakenBack,
    Constituent,
    FragranceDocument,
    Measurement,
)
from production.stock.models.restored import Restored, SinceBackup
from production.workshop.models.items import Item, MixturePart
from production.workshop.models.places import Place, Vessel
from production.workshop.models.rates import (
    Equipment,
    HourRate,
    Overhead,
    OverheadPaid,
    Tariff,
)

__all__ = [
    "TAKEN_BACK_WHOLE",
    "Answered",
    "Attachment",
    "Batch",
    "BillPaid",
    "CheckTakenBack",
    "Closing",
    "CodeSeries",
    "Constituent",
    "Count",
    "Customer",
    "Deed",
    "EmptyBack",
    "Equipment",
    "ExtraCost",
    "Formula",
    "FragranceDocument",
    "Given",
    "Hold",
    "HoldLifted",
    "HourRate",
    "InciName",
    "Item",
    "LinePrice",
    "Looked",
    "Loss",
    "LostBatch",
    "Lot",
    "Measurement",
    "MixturePart",
    "Movement",
    "OpenPack",
    "Overhead",
    "OverheadPaid",
    "Place",
    "Promotion",
    "Purchase",
    "PurchaseLine",
    "ReferenceAcid",
    "ReferenceComposition",
    "ReferenceEdition",
    "ReferenceOil",
    "ReferenceRuleOfThumb",
    "ReferenceSalt",
    "Restated",
    "Restored",
    "Return",
    "RuleOfThumb",
    "Sale",
    "SaleLine",
    "SalePaid",
    "SentBack",
    "SinceBackup",
    "Stage",
    "Status",
    "Step",
    "Stock",
    "Supplier",
    "SupplierCredit",
    "Tariff",
    "Version",
    "VersionCheck",
    "VersionLine",
    "Vessel",
    "Work",
    "Workshop",
    "still_a_trial",
]
