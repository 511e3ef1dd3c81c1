"""Which materials for which parts would serve a scheme best: an exact search.

Three aims, each told by one figure of a whole choice:

legibility : of the line that reads worst in its ground: its CIEDE2000, less the uncertainty, over
    what a line in that ground needs to stand out; 1 reads. More than ENOUGH does not matter.
harmony : the mean harmony of what touches, weighted by how far it touches.
closeness : how far the parts lie from the theme, CIEDE2000, weighted by their areas; each from the
    colour it should carry or, without one, from the nearest of the theme.

All three are made of terms that depend on one part or on two that touch, so that the best choice is
found by eliminating one part after another (Bertelè and Brioschi 1972), never trying them all.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import reduce
from itertools import product

import numpy as np
from numpy.typing import NDArray

from brief.colour.difference import delta_e_2000
from brief.colour.harmony import pair_harmony
from brief.colour.spaces import Array
from brief.colour.viewing.conditions import BENCH_M
from brief.colour.viewing.observer import STANDS_OUT, noise
from brief.errors import ColourInputError

# Times what a line needs to read; more is no gain. Our working figures, here and below.
ENOUGH = 1.5
LINE_MM = 1.0  # how wide a line is taken to be, at the bench
# Harmony runs over about 1, closeness over about 10: what they are brought to one measure by.
CLOSENESS_UNIT = 10.0
WEIGHTS = (0.02, 0.25, 0.5, 0.75, 0.98)  # of harmony against closeness; never one alone
FEW = 5
MOST_STEPS = 400_000_000  # of adding and comparing; a graph that asks for more is refused
IMPOSSIBLE = -np.inf

Ints = NDArray[np.intp]
Factor = tuple[tuple[int, ...], Array]
"""Variables in rising order, and a table with one axis for each."""


@dataclass(frozen=True)
class Touch:
    """Two parts that touch, by their places; `line` says whether `one` is a line in `other`."""

    one: int
    other: int
    length_mm: float
    line: bool


@dataclass(frozen=True)
class Scheme:
    """Parts, and materials to make them of.

    Attributes
    ----------
    labs : ndarray, shape (m, 3)
        CIELAB, D65 / 2°, of each material.
    doubts, grains : ndarray, shape (m,)
        CIEDE2000: its uncertainty, and the grain about a line in it.
    allowed : ndarray of bool, shape (n, m)
        Which part may be made of which material; a part to be kept is allowed its own alone.
    areas : ndarray, shape (n,)
        How much is seen of each part, in any one unit.
    touches : tuple of Touch
    wanted : ndarray, shape (n, m)
        CIEDE2000 of each material from what each part should carry, see `distances_from_theme`.

    Raises
    ------
    ColourInputError
        If a shape does not fit, a number is not finite, a part may be made of nothing, or a touch
        names a part that there is not.
    """

    labs: Array
    doubts: Array
    grains: Array
    allowed: NDArray[np.bool_]
    areas: Array
    touches: tuple[Touch, ...]
    wanted: Array

    def __post_init__(self) -> None:
        n, m = self.allowed.shape
        shapes = {
            "labs": (m, 3),
            "doubts": (m,),
            "grains": (m,),
            "areas": (n,),
            "wanted": (n, m),
        }
        for name, shape in shapes.items():
            value = getattr(self, name)
            if value.shape != shape or not np.isfinite(value).all():
                raise ColourInputError(f"{name} must be finite, of shape {shape}")
        for place in np.flatnonzero(~self.allowed.any(axis=1)):
            raise ColourInputError(f"no material is allowed for part {place}")
        for touch in self.touches:
            if not (0 <= touch.one < n and 0 <= touch.other < n and touch.one != touch.other):
                raise ColourInputError(f"a touch must name two of {n} parts; got {touch}")


@dataclass(frozen=True)
class Choice:
    """A material for each part, by its place, with the three figures of that choice.

    Legibility is None without a line, harmony None where nothing touches.
    """

    materials: tuple[int, ...]
    legibility: float | None
    harmony: float | None
    closeness: float


def distances_from_theme(labs: Array, targets: Sequence[Array | None], theme: Array) -> Array:
    """CIEDE2000 of each material from each part's target, or from the nearest colour of the theme.

    Parameters
    ----------
    labs : ndarray, shape (m, 3)
        CIELAB, D65 / 2°, of the materials.
    targets : sequence of n, each ndarray of shape (3,) or None
        The colour that a part should carry.
    theme : ndarray, shape (k, 3)
        k may be 0.

    Returns
    -------
    ndarray, shape (n, m)
        0 where there is neither target nor theme.
    """
    if len(theme):
        nearest = delta_e_2000(labs[:, np.newaxis], theme[np.newaxis]).min(axis=1)
    else:
        nearest = np.zeros(len(labs))
    rows = [nearest if target is None else delta_e_2000(labs, target) for target in targets]
    return np.array(rows).reshape(len(targets), len(labs))


def weigh(scheme: Scheme, materials: Sequence[int]) -> Choice:
    """The figures of one choice: the place of a material for each part of the scheme."""
    ratios, harmonies, lengths = [], [], []
    for touch in scheme.touches:
        one, other = materials[touch.one], materials[touch.other]
        if touch.line:
            ratios.append(float(_ratios(scheme, np.array([one]), np.array([other]))[0, 0]))
        harmonies.append(float(pair_harmony(scheme.labs[one], scheme.labs[other]).total))
        lengths.append(touch.length_mm)
    wanted = [scheme.wanted[part, one] for part, one in enumerate(materials)]
    return Choice(
        tuple(materials),
        min(ratios) if ratios else None,
        float(np.average(harmonies, weights=lengths)) if lengths else None,
        float(np.average(wanted, weights=scheme.areas)),
    )


def propose(scheme: Scheme) -> list[Choice]:
    """The best few choices, none of which another of them beats in every aim.

    Returns
    -------
    list of Choice
        At most 5, the closest to the theme first. Each is the exact best of its kind; of many,
        some are left out between.

    Raises
    ------
    ColourInputError
        Where the parts are so entangled that they cannot be searched; keep some of them.

    Notes
    -----
    The legibility that every line can reach, at most ENOUGH and then at most 1, is asked for as a
    floor; above it, the choices are made that are best by harmony and closeness in turn and
    between.

    References
    ----------
    Bertelè and Brioschi (1972), Nonserial Dynamic Programming, for the elimination.
    """
    domains = [np.flatnonzero(row) for row in scheme.allowed]
    lines = [touch for touch in scheme.touches if touch.line]
    legible = [_pair(touch, _table(scheme, touch, domains, _legibility)) for touch in lines]
    reachable = ENOUGH
    if legible:
        places = _best(legible, domains, np.minimum)
        reachable = min(
            float(
                _ratios(
                    scheme, domains[t.one][[places[t.one]]], domains[t.other][[places[t.other]]]
                )[0, 0]
            )
            for t in lines
        )
    floors = sorted({min(reachable, ENOUGH), min(reachable, 1.0)})
    length = sum(touch.length_mm for touch in scheme.touches) or 1.0
    harmonies = [
        _pair(touch, touch.length_mm / length * _table(scheme, touch, domains, _harmony))
        for touch in scheme.touches
    ]
    off = [
        scheme.wanted[part, domain] * scheme.areas[part] / scheme.areas.sum() / CLOSENESS_UNIT
        for part, domain in enumerate(domains)
    ]
    found: dict[tuple[int, ...], Choice] = {}
    for floor in floors:
        barred = [
            (names, np.where(table >= min(floor, ENOUGH) - 1e-9, 0.0, IMPOSSIBLE))
            for names, table in legible
        ]
        for weight in WEIGHTS:
            harmonious = [(names, weight * table) for names, table in harmonies]
            close = [((part,), (weight - 1) * row) for part, row in enumerate(off)]
            places = _best([*barred, *harmonious, *close], domains, np.add)
            materials = tuple(int(domains[p][place]) for p, place in enumerate(places))
            found[materials] = weigh(scheme, materials)
    best = sorted(_unbeaten(list(found.values())), key=lambda one: one.closeness)
    kept = np.unique(np.linspace(0, len(best) - 1, FEW).round().astype(int))
    return [best[place] for place in kept]


def _legibility(scheme: Scheme, one: Ints, other: Ints) -> Array:
    return np.minimum(_ratios(scheme, one, other), ENOUGH)


def _harmony(scheme: Scheme, one: Ints, other: Ints) -> Array:
    return pair_harmony(scheme.labs[one][:, np.newaxis], scheme.labs[other][np.newaxis]).total


def _ratios(scheme: Scheme, one: Ints, other: Ints) -> Array:
    """How well lines of some materials read in others, shape (len(one), len(other))."""
    apart = delta_e_2000(scheme.labs[one][:, np.newaxis], scheme.labs[other][np.newaxis])
    doubt = np.hypot(scheme.doubts[one][:, np.newaxis], scheme.doubts[other][np.newaxis])
    needed = STANDS_OUT * noise(scheme.grains[other], LINE_MM, BENCH_M)
    ratios: Array = (apart - doubt) / needed
    return ratios


def _table(
    scheme: Scheme,
    touch: Touch,
    domains: Sequence[Ints],
    figure: Callable[[Scheme, Ints, Ints], Array],
) -> Array:
    return figure(scheme, domains[touch.one], domains[touch.other])


def _pair(touch: Touch, table: Array) -> Factor:
    if touch.one < touch.other:
        return (touch.one, touch.other), table
    return (touch.other, touch.one), table.T


def _best(factors: Sequence[Factor], domains: Sequence[Ints], join: np.ufunc) -> list[int]:
    """The places, one in each domain, at which all factors joined are largest."""
    left = [(names, np.asarray(table, dtype=np.float64)) for names, table in factors]
    waiting = set(range(len(domains)))
    gone: list[tuple[int, list[Factor]]] = []
    while waiting:
        part = min(waiting, key=lambda one: (_cost(one, left, domains), one))
        if _cost(part, left, domains) > MOST_STEPS:
            raise ColourInputError(
                "too many parts that touch each other are open at once; keep some of them"
            )
        mine = _merged([factor for factor in left if part in factor[0]], join)
        left = [factor for factor in left if part not in factor[0]]
        gone.append((part, mine))
        left.append(_without(part, mine, domains, join))
        waiting.remove(part)
    places = [0] * len(domains)
    for part, mine in reversed(gone):  # the others that its factors name are settled by now
        row = _identity(join, len(domains[part]))
        for names, table in mine:
            cut = tuple(slice(None) if name == part else places[name] for name in names)
            row = join(row, table[cut])
        places[part] = int(row.argmax())
    return places


def _cost(part: int, factors: Sequence[Factor], domains: Sequence[Ints]) -> int:
    """How many sums it takes to eliminate a part."""
    names = {name for known, _ in factors if part in known for name in known} | {part}
    return int(np.prod([len(domains[name]) for name in names], dtype=float))


def _merged(factors: Sequence[Factor], join: np.ufunc) -> list[Factor]:
    """Those of the same variables as one."""
    merged: dict[tuple[int, ...], Array] = {}
    for names, table in factors:
        merged[names] = join(merged[names], table) if names in merged else table
    return list(merged.items())


def _identity(join: np.ufunc, *shape: int) -> Array:
    return np.zeros(shape) if join is np.add else np.full(shape, np.inf)


def _without(part: int, mine: Sequence[Factor], domains: Sequence[Ints], join: np.ufunc) -> Factor:
    """The factors of a part as one without it: the best that it can do for the others."""
    names = tuple(sorted({name for known, _ in mine for name in known} - {part}))
    sizes = [len(domains[name]) for name in names]
    own = _identity(join, len(domains[part]))
    if len(names) < 2:
        whole = own[np.newaxis] if names else own
        for known, table in mine:
            facing = np.moveaxis(table, known.index(part), -1)
            whole = join(whole, facing)
        return names, whole.max(axis=-1)
    # One pair of matrices after the other, to need little memory.
    *outer, last = names
    best, each = np.empty(sizes), np.empty((sizes[-1], len(own)))
    for places in product(*(range(size) for size in sizes[:-1])):
        settled = dict(zip(outer, places, strict=True))
        row, squares = own, []
        for known, table in mine:
            cut = table[tuple(settled.get(name, slice(None)) for name in known)]
            if last in known:
                squares.append(cut if known.index(last) < known.index(part) else cut.T)
            else:
                row = join(row, cut)
        best[places] = join(reduce(join, squares), row, out=each).max(axis=-1)
    return names, best


def _unbeaten(choices: Sequence[Choice]) -> list[Choice]:
    def figures(one: Choice) -> tuple[float, float, float]:
        legible = ENOUGH if one.legibility is None else min(one.legibility, ENOUGH)
        return legible, one.harmony or 0.0, -one.closeness

    def beats(one: Choice, other: Choice) -> bool:
        ours, theirs = figures(one), figures(other)
        return ours != theirs and all(a >= b for a, b in zip(ours, theirs, strict=True))

    return [one for one in choices if not any(beats(other, one) for other in choices)]
