"""Every set of label rules, its clauses, countries and words, read from the tables."""

from functools import cache
from importlib import import_module
from pkgutil import iter_modules

from labels.domain import sets
from labels.domain.clauses import clauses_of
from labels.domain.languages import Country, Words, countries_of, words_of
from labels.domain.rules import RuleSet
from labels.reads.tables import rows_of
from production.quantities.domain.refusal import Refused

# The order in which they are offered; a set that is not named here comes after.
FIRST = ("us", "eu", "uk", "ca")


@cache
def rule_sets() -> dict[str, RuleSet]:
    """Every set of rules by its code; a new one is one file and one table."""
    found = [name for _, name, _ in iter_modules(sets.__path__)]
    order = {code: place for place, code in enumerate(FIRST)}
    return {
        code: import_module(f"{sets.__name__}.{code}").rules(
            clauses_of(rows_of(f"label_rules/{code}")),
            tuple(one for one in countries() if one.rules == code),
        )
        for code in sorted(found, key=lambda code: (order.get(code, len(order)), code))
    }


def rule_set(code: str) -> RuleSet:
    """The rules of that code. Raises Refused for any other."""
    if code in rule_sets():
        return rule_sets()[code]
    raise Refused(
        f"There are no label rules {code!r}: use one of {', '.join(rule_sets())}."
    )


@cache
def countries() -> tuple[Country, ...]:
    """Where labels are sold, as far as a set of rules is the law there."""
    return countries_of(rows_of("label_countries"))


@cache
def union() -> frozenset[str]:
    """The codes of the member states of the Union."""
    return frozenset(one.code for one in countries() if one.union)


@cache
def words() -> dict[str, Words]:
    """The rules' own words by language."""
    return words_of(rows_of("label_words"))
