"""What is asked of the rack: the parts, the pieces that each may be made of, and the limits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal

import numpy as np

from brief.colour.verdicts.proposals import Choice, Scheme, Touch, distances_from_theme, weigh
from brief.colour.viewing.observer import usual_grain
from brief.english import words
from brief.errors import InputError
from brief.services.common.finding import listed
from brief.services.spec.blanks import blanks_of, is_too_small
from brief.services.spec.schemes import SchemeParts, scheme_parts
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Part
from brief.wood import is_usual
from brief.wood.papers import listing
from brief.wood.table import table


@dataclass(frozen=True)
class Limits:
    """What a proposal has to keep to.

    open : ids of the parts to be chosen anew; every other keeps its material. no_papers : neither
    what is on the CITES list nor what is not known to be off it. most_price : of one piece, in
    whatever currency it was bought; pieces without a price are taken. sized : only pieces large
    enough, as far as their sizes are written down.
    """

    open: frozenset[str]
    no_papers: bool = False
    most_price: Decimal | None = None
    sized: bool = True


@dataclass(frozen=True)
class RackQuestion:
    """A scheme put as a question, with the records behind its numbers."""

    scheme: Scheme
    parts: tuple[Part, ...]
    materials: tuple[Material, ...]
    present: tuple[int | None, ...]
    left_out: list[str] = field(default_factory=list)

    def now(self) -> Choice | None:
        """The choice as it is, where every part is made of something."""
        chosen = [place for place in self.present if place is not None]
        return weigh(self.scheme, chosen) if len(chosen) == len(self.parts) else None


def _measured(desk: Desk) -> list[Material]:
    """The pieces of the rack that have a colour."""
    return [one for one in listed(desk, Material) if one.lab is not None]


def question_to_rack(
    desk: Desk, brief: Brief, limits: Limits, only: Material | None = None
) -> RackQuestion:
    """The parts that have a colour or are open, and what each may be made of."""
    found, _ = scheme_parts(desk, brief)
    held = {
        part.id: surface.material for part, surface in zip(found.parts, found.surfaces, strict=True)
    }
    parts = tuple(
        part
        for part in listed(desk, Part, brief_id=brief.id)
        if part.id in held or part.id in limits.open
    )
    unknown = limits.open - {part.id for part in parts}
    if unknown:
        raise InputError.at("open", "One of the parts to choose anew is not of this brief.")
    if not limits.open:
        raise InputError.at("open", "Say which parts may be chosen anew; tick at least one.")
    rack = [only] if only else _measured(desk)
    pool, left_out = (rack, []) if only else _within(rack, limits)
    materials = tuple({one.id: one for one in [*held.values(), *pool]}.values())
    places = {one.id: place for place, one in enumerate(materials)}
    needed = blanks_of(desk, brief, parts)
    allowed = np.zeros((len(parts), len(materials)), dtype=bool)
    for row, part in zip(allowed, parts, strict=True):
        if part.id in limits.open:
            for one in pool:
                if fits(part, one) and not (limits.sized and is_too_small(needed[part.id], one)):
                    row[places[one.id]] = True
        # What an open part is made of now, however small, may stay if it keeps to the limits, too.
        if part.id in held and (part.id not in limits.open or held[part.id] in pool):
            row[places[held[part.id].id]] = True
        if not row.any():
            barred = [one.label for one in rack if one not in pool and fits(part, one)]
            raise InputError.at(
                "open",
                f"No piece within these limits suits the {part.name.lower()}."
                + (f" Outside the limits: {words(barred)}." if barred else ""),
            )
    scheme = SchemeParts(brief, parts, (), found.swatches, found.shares, found.let_in)
    targets = {swatch.id: np.array(swatch.lab) for swatch in found.swatches}
    labs = np.array([one.lab for one in materials], dtype=float)
    return RackQuestion(
        Scheme(
            labs=labs,
            doubts=np.array([one.uncertainty or 0.0 for one in materials]),
            grains=usual_grain(
                [math.nan if one.spread is None else one.spread for one in materials]
            ),
            allowed=allowed,
            areas=np.array(scheme.areas),
            touches=tuple(
                Touch(one, other, contact.length_mm, contact.line_mm is not None)
                for one, other, contact in scheme.touching
            ),
            wanted=distances_from_theme(
                labs, [targets.get(part.swatch_id or "") for part in parts], scheme.theme
            ),
        ),
        parts,
        materials,
        tuple(places[held[part.id].id] if part.id in held else None for part in parts),
        left_out,
    )


def _within(rack: Sequence[Material], limits: Limits) -> tuple[list[Material], list[str]]:
    """The pieces within limits that depend on the piece alone, and why others are not."""
    listed, untold, dear = [], [], []
    for one in rack:
        standing = listing(one.stuff, one.species, one.label).standing
        if limits.no_papers and standing in ("listed", "some listed"):
            listed.append(one)
        if limits.no_papers and standing == "not known":
            untold.append(one)
        if limits.most_price is not None and (one.price or 0) > limits.most_price:
            dear.append(one)
    left_out = [
        f"{why}: {words([one.label for one in those])}."
        for why, those in (
            ("May need papers", listed),
            ("Papers not known", untold),
            ("Over the highest price", dear),
        )
        if those
    ]
    if limits.no_papers:
        left_out.append(f"By the CITES list as of {table().as_of}. {table().later}")
    out = {one.id for one in [*listed, *untold, *dear]}
    return [one for one in rack if one.id not in out], left_out


def fits(part: Part, material: Material) -> bool:
    """Whether a part is usually made of such stuff."""
    return is_usual(part.role, material.stuff, material.species, material.label)
