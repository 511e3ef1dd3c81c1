"""Do the colours of a whole instrument hold together, and do they carry its theme?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.difference import delta_e_2000
from brief.colour.harmony import pair_harmony
from brief.colour.spaces import as_colours
from brief.colour.verdicts.transport import Transport, earth_movers
from brief.errors import ColourInputError, quoted

CARRIED = 10.0  # CIEDE2000; a part within this of a theme's colour carries it: our rule
CARRIED_SHARE = 0.5  # of a theme's colour has to be carried for it to count as carried


@dataclass(frozen=True)
class Meeting:
    """Two parts that touch, by their places; how far along, mm; their CIEDE2000 and harmony."""

    one: int
    other: int
    length_mm: float
    difference: float
    harmony: float


@dataclass(frozen=True)
class ThemeColour:
    """How far one colour of the theme is carried.

    Attributes
    ----------
    share : float
        Of the theme, 0 to 1.
    carried : float
        Of this colour, 0 to 1, by parts within CARRIED of it.
    nearest, distance : int, float
        The part whose colour is nearest, by its place, and how far it is, CIEDE2000.
    carriers : tuple of (int, float)
        The parts that it is moved from, with their share of this colour, largest first.
    """

    share: float
    carried: float
    nearest: int
    distance: float
    carriers: tuple[tuple[int, float], ...]


@dataclass(frozen=True)
class SchemeVerdict:
    """What `judge_scheme` finds.

    Attributes
    ----------
    meetings : tuple of Meeting
        In the order of the contacts.
    harmony : float or None
        The mean over parts that touch, weighted by how far they touch; None if none do.
    worst : Meeting or None
        The least harmonious meeting.
    theme : tuple of ThemeColour
        One for each colour of the theme; empty without one.
    transport : Transport or None
        From the parts to the whole theme; None without one.
    """

    meetings: tuple[Meeting, ...]
    harmony: float | None
    worst: Meeting | None
    theme: tuple[ThemeColour, ...]
    transport: Transport | None


def judge_scheme(
    labs: ArrayLike,
    areas: ArrayLike,
    contacts: Sequence[tuple[int, int, float]],
    theme_labs: ArrayLike = (),
    theme_shares: ArrayLike = (),
) -> SchemeVerdict:
    """Judge the colours of all parts together.

    Parameters
    ----------
    labs : array_like, shape (n, 3), n of 1 or more
        CIELAB, D65 / 2°, of the parts.
    areas : array_like, shape (n,), 0 or more
        How much of each is seen, in any one unit.
    contacts : sequence of (int, int, float)
        The places of two parts and the length along which they touch, mm, above 0.
    theme_labs : array_like, shape (m, 3)
        CIELAB, D65 / 2°; m may be 0.
    theme_shares : array_like, shape (m,), 0 or more

    Returns
    -------
    SchemeVerdict

    Raises
    ------
    ColourInputError
        For a shape that does not fit, a place that has no part, or a number that is not finite or
        out of range.

    References
    ----------
    Ou, Chong, Luo and Minchew (2011), Additivity of colour harmony, Color Research & Application
    36(5), 355-372: the harmony of several colours is the mean over their pairs; that only those
    count which touch, and by how far, is ours. For the theme see `earth_movers`.
    """
    parts = as_colours(labs, "labs")
    if parts.ndim != 2 or not len(parts):
        raise ColourInputError(f"labs must have shape (n, 3), n at least 1; got {parts.shape}")
    meetings = _meetings(parts, contacts)
    worst = min(meetings, key=lambda one: one.harmony, default=None)
    lengths = [one.length_mm for one in meetings]
    harmony = (
        float(np.average([one.harmony for one in meetings], weights=lengths)) if meetings else None
    )
    theme: tuple[ThemeColour, ...] = ()
    transport = None
    if np.size(theme_labs):
        transport = earth_movers(parts, areas, theme_labs, theme_shares)
        theme = tuple(_theme_colour(transport, place) for place in range(len(transport.flow[0])))
    return SchemeVerdict(meetings, harmony, worst, theme, transport)


def _meetings(parts: np.ndarray, contacts: Sequence[tuple[int, int, float]]) -> tuple[Meeting, ...]:
    for one, other, length_mm in contacts:
        if not (0 <= one < len(parts) and 0 <= other < len(parts) and one != other):
            raise ColourInputError(
                f"a contact must name two of the {len(parts)} parts; got {one} and {other}"
            )
        if not 0 < length_mm < np.inf:
            raise ColourInputError(
                f"a contact must have a length above 0 mm; got {quoted(length_mm)}"
            )
    ones, others = [one for one, _, _ in contacts], [other for _, other, _ in contacts]
    differences = delta_e_2000(parts[ones], parts[others])
    harmonies = pair_harmony(parts[ones], parts[others]).total
    return tuple(
        Meeting(one, other, float(length_mm), float(difference), float(harmony))
        for (one, other, length_mm), difference, harmony in zip(
            contacts, differences, harmonies, strict=True
        )
    )


def _theme_colour(transport: Transport, place: int) -> ThemeColour:
    flow, apart = transport.flow[:, place], transport.apart[:, place]
    share = float(flow.sum())
    carriers = [
        (part, float(flow[part] / share))
        for part in np.argsort(-flow, kind="stable").tolist()
        if share > 0 and flow[part] / share > 0.005
    ]
    return ThemeColour(
        share=share,
        carried=float(flow[apart <= CARRIED].sum() / share) if share > 0 else 0.0,
        nearest=int(apart.argmin()),
        distance=float(apart.min()),
        carriers=tuple(carriers),
    )
