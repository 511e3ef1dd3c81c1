"""An instrument with some of its numbers changed, and all that follows from them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from brief.errors import InputError, quoted
from brief.instrument.model.fit_checks import check_fits
from brief.instrument.model.sizes import BRIDGE_FIELDS, PLAIN_FIELDS, numbers
from brief.instrument.outline.bouts import stretched
from brief.instrument.presets import Head, Hole, Preset


def shaped(
    preset: Preset, changes: Mapping[str, float], touched: Iterable[str] | None = None
) -> Preset:
    """A new preset with these numbers changed, by the names of `numbers_of`.

    Numbers that depend on another follow unless they are given too: the bouts and the soundhole
    move with the length of the body, the rosette with the hole, the head's corners with the nut,
    and the radius at the end of a board of one radius with that at the nut.

    Parameters
    ----------
    preset : Preset
    changes : mapping of str to float
    touched : iterable of str, optional
        Those that the maker has just changed; a misfit is reported there.

    Raises
    ------
    InputError
        With the field at fault, for a name that this instrument has no number for, a value that is
        no number or outside its limits, and numbers that do not fit together.
    """
    known = {number.name: number for number in numbers(preset)}
    for name in changes:
        if name not in known:
            raise InputError.at(
                name,
                f"this instrument has no number called {quoted(name)}; it has {', '.join(known)}. "
                "Choose one of these.",
            )
    sizes = {name: known[name].check(value) for name, value in changes.items()}
    if not sizes:
        return preset
    plain = {
        name: int(value) if known[name].unit == "count" else value
        for name, value in sizes.items()
        if name in PLAIN_FIELDS
    }
    if "radius_mm" in plain and preset.radius_end_mm == preset.radius_mm:
        plain.setdefault("radius_end_mm", plain["radius_mm"])
    moved = any(known[name].part == "body" for name in sizes.keys() - PLAIN_FIELDS)
    bridge = {BRIDGE_FIELDS[name]: sizes[name] for name in sizes if name in BRIDGE_FIELDS}
    changed = replace(
        stretched(preset, sizes) if moved else preset,
        bridge=replace(preset.bridge, **bridge),  # type: ignore[arg-type]  # lengths alone
        head=_head(preset, sizes),
        **plain,  # type: ignore[arg-type]  # each is a float or, of a count, an int
    )
    changed = replace(changed, hole=_hole(changed.hole, sizes))
    check_fits(changed, sizes if touched is None else touched)
    return changed


def _hole(hole: Hole, sizes: Mapping[str, float]) -> Hole:
    """The hole, and its rings spread evenly over the width they are to have."""
    diameter = sizes.get("hole_mm", hole.diameter_mm)
    inner = min(r for r, _ in hole.rosette_mm)
    width = max(r for _, r in hole.rosette_mm) - inner
    start = diameter / 2 + sizes.get("rosette_gap_mm", inner - hole.diameter_mm / 2)
    wider = sizes.get("rosette_mm", width) / width
    rings = tuple(
        (start + (near - inner) * wider, start + (far - inner) * wider)
        for near, far in hole.rosette_mm
    )
    return Hole(sizes.get("hole_at_mm", hole.centre_mm), diameter, rings)


def _head(preset: Preset, sizes: Mapping[str, float]) -> Head:
    """The head, longer or wider in proportion, from corners that stand at the ends of the nut."""
    head, nut = preset.head, preset.nut_mm / 2
    length, widest = max(d for d, _ in head.crest), max(half for _, half in head.outline)
    longer = sizes.get("head_mm", length) / length
    corner = sizes.get("nut_mm", preset.nut_mm) / 2
    new_widest = sizes.get("head_width_mm", 2 * widest) / 2
    # Wider and narrower stations keep their order, so that the sides keep their character.
    wider = (new_widest - corner) / (widest - nut)
    outline = tuple((d * longer, corner + (half - nut) * wider) for d, half in head.outline)
    top = outline[-1][1] / head.outline[-1][1]
    return Head(
        head.slotted,
        tuple(d * longer for d in head.posts_mm),
        outline,
        tuple((d * longer, half * top) for d, half in head.crest),
    )
