"""The scheme of a brief: whether all its parts hold together, and carry the theme."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import product

import numpy as np

from brief.colour.spaces import Array
from brief.colour.verdicts.scheme import CARRIED, SchemeVerdict, judge_scheme
from brief.colour.viewing.colour_vision import NORMAL
from brief.colour.viewing.conditions import Condition
from brief.colour.viewing.light import under
from brief.instrument.model.contacts import ELSEWHERE_MM2, LetIn, Touching, areas_mm2, contacts
from brief.services.common.colour_view import colour_view
from brief.services.common.finding import listed
from brief.services.instrument.brief_inlays import let_in
from brief.services.instrument.dimensions import instrument_of
from brief.services.pairing.conditions import asked_about
from brief.services.rack.surfaces import Surface, surfaces_of
from brief.services.spec.scheme_views import (
    CarrierView,
    MeetingView,
    SchemeUnderView,
    SchemeView,
    ThemeColourView,
    scheme_sentences,
)
from brief.services.theme.palettes import colour_at
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Palette, Part, Swatch, Viewing

KEPT = 256  # verdicts in memory, of some kilobytes each


@dataclass(frozen=True)
class SchemeParts:
    """What a scheme is judged by: its parts that have a colour, and the theme."""

    brief: Brief
    parts: tuple[Part, ...]
    surfaces: tuple[Surface, ...]
    swatches: tuple[Swatch, ...]
    shares: tuple[float, ...]
    let_in: tuple[LetIn, ...] = ()  # by the id of the part that it is

    @cached_property
    def known_as(self) -> list[str]:
        """What contacts and areas know each part by: its role, or its id if it is let in."""
        own = {one.role for one in self.let_in}
        return [part.id if part.id in own else part.role for part in self.parts]

    @cached_property
    def areas(self) -> list[float]:
        """Of each part, mm²; a role that several parts have is shared among them."""
        known = areas_mm2(instrument_of(self.brief), self.let_in)
        roles = self.known_as
        return [known.get(role, ELSEWHERE_MM2) / roles.count(role) for role in roles]

    @cached_property
    def touching(self) -> list[tuple[int, int, Touching]]:
        """The places of two parts that touch, and how; several parts of a role share its edge."""
        places: dict[str, list[int]] = {}
        for place, known_as in enumerate(self.known_as):
            places.setdefault(known_as, []).append(place)
        return [
            (one, other, replace(contact, length_mm=contact.length_mm / len(pairs)))
            for contact in contacts(instrument_of(self.brief), self.let_in)
            if (pairs := [*product(places.get(contact.role, ()), places.get(contact.ground, ()))])
            for one, other in pairs
        ]

    @property
    def theme(self) -> Array:
        """The colours of the theme, CIELAB, D65 / 2°, shape (m, 3)."""
        return np.array([swatch.lab for swatch in self.swatches], dtype=float).reshape(-1, 3)

    def labs(self, condition: Condition) -> Array:
        """The colours of the parts under a condition, CIELAB, D65 / 2°, shape (n, 3)."""
        bare = np.array([surface.lab(condition.state) for surface in self.surfaces])
        return under(bare.reshape(-1, 3), condition.light)

    def judged(self, condition: Condition) -> SchemeVerdict:
        """The verdict on the parts under a condition."""
        return _judged(
            tuple(map(tuple, self.labs(condition).tolist())),
            tuple(self.areas),
            tuple((one, other, contact.length_mm) for one, other, contact in self.touching),
            tuple(map(tuple, self.theme.tolist())),
            self.shares,
        )


@lru_cache(KEPT)
def _judged(
    labs: tuple[tuple[float, ...], ...],
    areas: tuple[float, ...],
    touching: tuple[tuple[int, int, float], ...],
    theme: tuple[tuple[float, ...], ...],
    shares: tuple[float, ...],
) -> SchemeVerdict:
    """As `judge_scheme`, once for each set of colours: a sheet asks of the same again and again."""
    return judge_scheme(labs, areas, touching, np.reshape(theme, (-1, 3)), shares)


def scheme_parts(
    desk: Desk, brief: Brief, of_theme: Sequence[Swatch] | None = None
) -> tuple[SchemeParts, list[str]]:
    """The parts that have a colour, and the names of those still open.

    of_theme : the colours of the theme; all of the brief's if None.
    """
    parts, pieces, still_open = [], [], []
    for part in listed(desk, Part, brief_id=brief.id):
        piece = desk.session.get(Material, part.material_id) if part.material_id else None
        if piece is None or piece.lab is None or piece.binned_utc is not None:
            still_open.append(part.name)
        else:
            parts.append(part)
            pieces.append(piece)
    surfaces = surfaces_of(desk, pieces)
    if of_theme is None:
        of_theme = listed(desk, Swatch, brief_id=brief.id)
    swatches = tuple(of_theme)
    found = SchemeParts(
        brief,
        tuple(parts),
        tuple(surfaces[piece.id] for piece in pieces),
        swatches,
        _shares(desk, swatches),
        let_in(desk, brief),
    )
    return found, still_open


def scheme_view(
    desk: Desk, brief: Brief, of_theme: Sequence[Swatch] | None = None
) -> SchemeView | None:
    """The scheme of a brief under all its conditions; None until two parts have a colour.

    of_theme : as for `scheme_parts`.
    """
    scheme, still_open = scheme_parts(desk, brief, of_theme)
    if len(scheme.parts) < 2:
        return None
    asked = asked_about(listed(desk, Viewing, brief_id=brief.id), scheme.surfaces)
    conditions = [one for one in asked.conditions if one.eyes == NORMAL]
    verdicts = [scheme.judged(condition) for condition in conditions]
    bench = verdicts[0]
    theme = [_theme_colour(scheme, bench, place) for place in range(len(bench.theme))]
    meeting = _meeting(scheme, bench)
    missing = list(asked.missing)
    if not scheme.swatches:
        missing.append("No colour of the theme is named yet; name some on the References sheet.")
    missing.append(
        "Areas and lengths follow the numbers on the Drawing sheet"
        f"{' and your inlays' if scheme.let_in else ''}; those of "
        f"{'' if scheme.let_in else 'inlay, '}tuners, heel and tailpiece are usual ones."
    )
    views = [
        SchemeUnderView(
            words=condition.words,
            harmony=verdict.harmony,
            distance=verdict.transport.distance if verdict.transport else None,
            lost=_lost(scheme, verdict),
        )
        for condition, verdict in zip(conditions, verdicts, strict=True)
    ]
    return SchemeView(
        sentences=scheme_sentences(theme, meeting, views),
        harmony=bench.harmony,
        worst=meeting,
        distance=bench.transport.distance if bench.transport else None,
        theme=theme,
        under=views,
        still_open=still_open,
        missing=missing,
    )


def _shares(desk: Desk, swatches: Sequence[Swatch]) -> tuple[float, ...]:
    """How much of the theme each named colour is: its share of its palette; a colour that was
    typed counts as much as those do on average.
    """
    known = []
    for swatch in swatches:
        palette = desk.session.get(Palette, swatch.palette_id) if swatch.palette_id else None
        if palette is None or swatch.palette_index is None:
            known.append(math.nan)
        else:
            known.append(float(colour_at(palette, swatch.palette_index)["share"]))
    usual = float(np.nanmean(known)) if not all(map(math.isnan, known)) else 1.0
    return tuple(usual if math.isnan(share) else share for share in known)


def _theme_colour(scheme: SchemeParts, verdict: SchemeVerdict, place: int) -> ThemeColourView:
    swatch, found = scheme.swatches[place], verdict.theme[place]
    apart = verdict.transport.apart[:, place] if verdict.transport else np.zeros(0)
    nearest = scheme.surfaces[found.nearest]
    return ThemeColourView(
        name=swatch.name,
        hex=colour_view(swatch.lab, 0.0).hex,
        share=found.share,
        carried=found.carried,
        nearest=scheme.parts[found.nearest].name,
        distance=found.distance,
        uncertainty=math.hypot(swatch.uncertainty, nearest.doubt("bare")),
        carriers=[
            CarrierView(
                part=scheme.parts[part].name,
                hex=colour_view(scheme.surfaces[part].lab("bare"), 0.0).hex,
                share=share,
                near=bool(apart[part] <= CARRIED),
            )
            for part, share in found.carriers
        ],
    )


def _meeting(scheme: SchemeParts, verdict: SchemeVerdict) -> MeetingView | None:
    worst = verdict.worst
    if worst is None:
        return None
    one, other = (
        colour_view(scheme.surfaces[p].lab("bare"), 0.0) for p in (worst.one, worst.other)
    )
    return MeetingView(
        one=scheme.parts[worst.one].name,
        other=scheme.parts[worst.other].name,
        one_hex=one.hex,
        other_hex=other.hex,
        length_mm=worst.length_mm,
        difference=worst.difference,
        harmony=worst.harmony,
    )


def _lost(scheme: SchemeParts, verdict: SchemeVerdict) -> list[str]:
    return [
        swatch.name
        for swatch, found in zip(scheme.swatches, verdict.theme, strict=True)
        if found.distance > CARRIED
    ]
