"""The published densities of brine and lye, as the domain takes them."""

from collections.abc import Mapping
from decimal import Decimal
from functools import cache
from types import MappingProxyType

from production.chemistry.domain.solutions import DensityPoint
from production.chemistry.files import reference_table


@cache
def density_tables() -> Mapping[str, tuple[DensityPoint, ...]]:
    """Tables by what is dissolved (NaCl, KOH, NaOH): fractions, degC and g/mL."""
    found: dict[str, list[DensityPoint]] = {}
    _, rows = reference_table("solutions")
    for row in rows:
        if row["property"] == "density":
            point = DensityPoint(
                strength=Decimal(row["mass_percent"]) / 100,
                temperature=Decimal(row["temperature_c"]),
                density=Decimal(row["value"]) / 1000,
            )
            found.setdefault(row["substance"], []).append(point)
    return MappingProxyType({name: tuple(points) for name, points in found.items()})
