"""Which way woods and inlay go with years of light: directions only, no amounts.

Published amounts hold for other samples, lamps and finishes; what a maker's own piece does shows
in an old offcut beside a new one. Sources, by the tags below:

varga : Varga, Tolvaj and Preklet 2025, doi 10.1007/s00107-025-02303-2, 15 joinery species under
    a UV lamp, then 14 years in the dark
vitchev : Vitchev et al. 2020, Acta Facultatis Xylologiae Zvolen 62(2), pine and beech
dudiak : Dudiak et al. 2022, Polymers 14:1697, beech over three years of sun indoors
baar : Baar and Gryc, "Analýza barvy dřeva a její změny vlivem simulovaného slunečního záření u
    tropických dřev", jatoba, massaranduba and tigerwood for 144 hours under a xenon lamp
    (abstract; journal and year, Acta Universitatis Agriculturae et Silviculturae Mendelianae
    Brunensis, about 2011, from memory)
practice : common practice, no source
both : varga, and practice that says otherwise
"""

from __future__ import annotations

import re

# Words in a species or a label, what it does, and where that is from; the first that fits.
_DIRECTIONS: tuple[tuple[tuple[str, ...], str, str], ...] = (
    (("dyed", "dye"), "dyes fade in light, some of them fast", "practice"),
    (("spruce", "picea"), "spruce turns darker, yellower and redder", "varga"),
    (("maple", "sycamore", "acer"), "maple turns yellower and redder", "varga"),
    (("ash", "fraxinus"), "ash turns yellower and redder", "varga"),
    (("poplar", "populus"), "poplar turns yellower and redder", "varga"),
    (("cherry", "prunus"),
     "cherry was among the steadiest of 15 woods under a UV lamp, though in a room it is known to "
     "turn darker and redder", "both"),
    (("pine", "pinus"), "pine turns darker and redder", "vitchev"),
    (("beech", "fagus"), "beech turns darker and redder, steamed beech lighter", "dudiak"),
    (("jatoba", "massaranduba"),
     "under a lamp it darkens fast in the first hours, then hardly changes", "baar"),
    (("walnut", "juglans"), "walnut bleaches, toward yellow", "practice"),
    (("cedar", "thuja"), "cedar turns darker and browner", "practice"),
    (("mahogany", "sapele", "khaya", "swietenia", "entandrophragma"),
     "mahogany and its kin turn darker and redder", "practice"),
    (("padauk", "pterocarpus"), "padauk turns from orange to brown", "practice"),
    (("purpleheart", "peltogyne"), "purpleheart turns brown", "practice"),
    (("brass", "copper", "bronze"), "bare brass and copper tarnish to brown", "practice"),
    (("bone",), "bone turns yellower", "practice"),
)  # fmt: skip
_TOLD_BY = {
    "varga": "Varga, Tolvaj and Preklet 2025",
    "vitchev": "Vitchev and others 2020",
    "dudiak": "Dudiak and others 2022",
    "baar": "Baar and Gryc, about 2011, the year from memory",
    "practice": "common practice, no source",
    "both": "Varga, Tolvaj and Preklet 2025; common practice, no source",
}


def ageing_words(species: str) -> str:
    """Which way a species or stuff goes with the years and who says so; empty if not known.

    >>> ageing_words("Juglans nigra")
    'walnut bleaches, toward yellow (common practice, no source)'
    """
    words = re.findall(r"[^\W\d_]+", species.casefold())
    for names, does, source in _DIRECTIONS:
        if any(word.startswith(name) for word in words for name in names):
            return f"{does} ({_TOLD_BY[source]})"
    return ""
