"""How dense a piece is, as typed or by its weight and sizes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Annotated

from brief.errors import InputError
from brief.instrument.model.cut_list import LEAST_DENSITY, MOST_DENSITY
from brief.services.common.typed_numbers import ANumber
from brief.store.records import Material

Density = Annotated[
    float,
    ANumber(LEAST_DENSITY, MOST_DENSITY, "620 kg/m³", ("kg/m³", "kg/m3", "kg/m^3"), unit="kg/m³"),
]
Weight = Annotated[float, ANumber(0.001, 1e6, "410 g", ("g", "gram", "grams"), unit="g")]
WEIGHED_BY = ("weight_g", "length_mm", "width_mm", "thickness_mm")


def density_of(material: Material) -> float | None:
    """kg/m³: as typed, or by its weight and its sizes; None where neither is known, or where an
    older record has what nothing weighs."""
    found = material.density
    if found is None:
        found = _by_weight([getattr(material, name) for name in WEIGHED_BY])
    return found if found is not None and LEAST_DENSITY <= found <= MOST_DENSITY else None


def _by_weight(weighed: Sequence[float | None]) -> float | None:
    weight_g, *sizes = weighed
    if weight_g is None or None in sizes:
        return None
    volume = math.prod(float(size) for size in sizes if size is not None)
    # Sizes had no least value once, and a product of three can be nought where none of them is.
    return weight_g / volume * 1e6 if volume else None


def check_weight(weighed: Sequence[float | None]) -> None:
    """Sizes and weight typed in different units would give a density that nothing has."""
    found = _by_weight(weighed)
    if found is not None and not LEAST_DENSITY <= found <= MOST_DENSITY:
        raise InputError.at(
            "weight_g",
            f"By its sizes this would be {found:,.0f} kg/m³, which nothing is. Give the weight in "
            "grams and the sizes of the piece that was weighed in mm.",
        )
