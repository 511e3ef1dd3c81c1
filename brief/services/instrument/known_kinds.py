"""The kinds of instrument that a brief can be of: those the program knows, and the maker's own."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import select

from brief.instrument import Preset, preset, presets
from brief.instrument.model.own_outline import with_outline
from brief.instrument.presets import Stations, preset_from
from brief.services.common.foreign_keys import existing
from brief.store.desk import Desk
from brief.store.records import Brief, Kind


def own_preset(own: Kind) -> Preset:
    """What a kind of the maker's own is drawn as."""
    return preset_from(own.id, own.drawing)


def kind_of(brief: Brief) -> Preset:
    """The kind of the brief's instrument. One of the maker's own counts even from the offcuts bin,
    so that its briefs stay whole."""
    return preset(brief.kind) if brief.own_kind is None else own_preset(brief.own_kind)


def base_of(brief: Brief) -> Preset:
    """The same with the outline that was traced for the brief, before any number is changed."""
    kind = kind_of(brief)
    if brief.outline is None:
        return kind
    return with_outline(kind, stations_of(brief.outline), brief.outline_doubt_mm)


def stations_of(given: Sequence[Sequence[float]]) -> Stations:
    """Stations as a preset has them, out of JSON."""
    return tuple((float(at), float(half)) for at, half in given)


def preset_named(desk: Desk, kind: str) -> Preset:
    """What a brief of that kind is drawn as. Raises InputError at `kind` where there is none to
    be had."""
    own = desk.session.get(Kind, kind)
    if own is None:
        return preset(kind)
    existing(desk, "kind", Kind, kind)  # not if it lies in the offcuts bin
    return own_preset(own)


def kind_choices(desk: Desk, brief: Brief | None = None) -> list[tuple[str, str]]:
    """(kind, name) of all that can be chosen, the maker's own first; and of the brief's own."""
    own: Sequence[Kind] = desk.session.scalars(
        select(Kind).where(Kind.binned_utc.is_(None)).order_by(Kind.name, Kind.id)
    ).all()
    choices = [(one.id, f"{one.name} (your own)") for one in own]
    if brief is not None and brief.own_kind is not None and brief.own_kind not in own:
        removed = brief.own_kind
        choices.append((removed.id, f"{removed.name} (in the offcuts bin)"))
    return [*choices, *presets()]
