"""The accountant's codes, as they stand on their card."""

from costing.models import AccountCode


def codes_of() -> dict[str, str]:
    """The code of each account that has one."""
    return dict(AccountCode.objects.values_list("account", "code"))
