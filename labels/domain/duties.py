"""What must stand on a soap's label under each set of rules, clause by clause.

Not legal advice: a clause that is not ``verified`` is to be read again in the
official text before a label leans on it.
"""

from collections.abc import Mapping

from labels.domain.durability import DURABILITY
from labels.domain.rules import Clause

US = (
    Clause(
        "identity",
        "the common or a describing name, on the display panel",
        "15 USC 1453(a)(1); 21 CFR 701.11",
        "verified",
    ),
    Clause(
        "contents",
        "net quantity in inch/pound and metric units",
        "15 USC 1453(a)(2); 21 CFR 701.13",
        "verified",
    ),
    Clause(
        "maker",
        "name of the manufacturer, packer or distributor",
        "21 USC 362(b); 21 CFR 701.12",
        "verified",
    ),
    Clause(
        "place",
        "street unless listed in a directory, city, state and ZIP code",
        "15 USC 1453(a)(1); 21 CFR 701.12",
        "recalled",
    ),
    Clause(
        "contact",
        "a domestic address, a domestic phone number, or a web or mail address for "
        "reports of reactions",
        "21 USC 364e(a)",
        "verified",
    ),
    Clause(
        "ingredients",
        "a true soap need not list them; a cosmetic must, and so do we",
        "21 CFR 701.3(a), 701.20",
        "verified",
    ),
)
EU = (
    Clause(
        "contents",
        "content by weight or volume when packed",
        "Regulation (EC) 1223/2009 Art 19(1)(b)",
        "secondary",
    ),
    Clause(
        "union",
        "name and address of one responsible person in the Union",
        "Regulation (EC) 1223/2009 Art 19(1)(a), 4",
        "secondary",
    ),
    Clause(
        "origin",
        "country of origin of what is imported",
        "Regulation (EC) 1223/2009 Art 19(1)(a)",
        "secondary",
    ),
    DURABILITY,
    Clause(
        "cautions",
        "precautions for use: those of Annexes III to VI and of the safety report",
        "Regulation (EC) 1223/2009 Art 19(1)(d)",
        "secondary",
    ),
    Clause(
        "batch",
        "batch number or a reference",
        "Regulation (EC) 1223/2009 Art 19(1)(e)",
        "secondary",
    ),
    Clause(
        "function",
        "what it is for, unless clear from how it is presented",
        "Regulation (EC) 1223/2009 Art 19(1)(f)",
        "secondary",
    ),
    Clause(
        "ingredients",
        "list headed Ingredients",
        "Regulation (EC) 1223/2009 Art 19(1)(g)",
        "secondary",
    ),
)
CA = (
    Clause(
        "identity",
        "common or generic name, or the function, on the display panel",
        "C.R.C., c. 869, s. 20(b); C.R.C., c. 417, s. 12(b)",
        "verified",
    ),
    Clause(
        "contents",
        "metric, by volume for what is liquid or viscous",
        "C.R.C., c. 417, s. 21, 25 to 27",
        "verified",
    ),
    Clause(
        "maker",
        "name of the dealer",
        "Consumer Packaging and Labelling Act s. 10(b)(i); C.R.C., c. 417, s. 13",
        "verified",
    ),
    Clause(
        "place",
        "principal place of business of the dealer",
        "Consumer Packaging and Labelling Act s. 10(b)(i); C.R.C., c. 417, s. 13",
        "verified",
    ),
    Clause(
        "contact",
        "phone, e-mail, web or postal address of a contact person",
        "C.R.C., c. 869, s. 20(a)",
        "verified",
    ),
    Clause(
        "ingredients",
        "INCI names on the outer label",
        "C.R.C., c. 869, s. 21.2, 21.3",
        "verified",
    ),
    Clause(
        "second language",
        "English and French, the ingredient names excepted",
        "C.R.C., c. 869, s. 18; C.R.C., c. 417, s. 6",
        "verified",
    ),
)
DUTIES: Mapping[str, tuple[Clause, ...]] = {"us": US, "eu": EU, "ca": CA}
