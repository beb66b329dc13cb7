"""What follows where somebody reacts to a cosmetic that is sold in the US."""

from dataclasses import dataclass

# 21 USC 364a(b)(1): a serious report goes to FDA within 15 business days.
REPORT_DUE_BUSINESS_DAYS = 15
CLAUSE = "21 USC 364a(b)(1),(e)(1); 364h"


@dataclass(frozen=True, slots=True)
class ReactionDuties:
    """Years that records of reactions are kept; business days for a serious report."""

    keep_years: int
    serious_event_report_due_business_days: int
    clause: str


def reaction_duties(*, small_business: bool) -> ReactionDuties:
    """Six years, three for a small business (average US cosmetic sales under
    1,000,000 USD over three years, none of the excluded products); the report is due
    of both. 21 USC 364a(b)(1),(e)(1); 364h."""
    return ReactionDuties(3 if small_business else 6, REPORT_DUE_BUSINESS_DAYS, CLAUSE)
