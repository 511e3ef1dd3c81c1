"""The usual cautions with a material: they point at the rules, and do not replace them.

Sources: wood dust, HSE (UK), hse.gov.uk/woodworking/wooddust.htm, and HSE sheet WIS30; western
red cedar and asthma and alveolitis, HSE as above; shell, Orriols et al. 1997, Eur. Respir. J.
10(4):780-786; trade in listed species, CITES appendices and Res. Conf. 16.8 (Rev. CoP17).
Metal, bone, stone and dye: common practice, no source.
"""

from __future__ import annotations

WOOD_DUST = (
    "Wood dust can cause asthma, and hardwood dust cancer of the nose: extract it at the tool, "
    "wear a fitted mask, and keep to the limit that applies where you work."
)
LISTED_WOOD = (
    "Whether this species needs papers to cross a border changes: check the present CITES "
    "appendices and ask your permit authority before you ship."
)
BY_STUFF = {
    "timber": (WOOD_DUST, LISTED_WOOD),
    "veneer": (WOOD_DUST, LISTED_WOOD),
    "shell": (
        "Shell dust can inflame the lungs lastingly: cut it wet or under extraction and wear a "
        "tight mask.",
        "Some shell is protected or needs papers: check CITES and the rules of both countries "
        "before you ship.",
    ),
    "metal": ("Filings are sharp and fine dust harms: eye protection, mask, clean up wet.",),
    "bone": (
        "Bone dust harms the lungs: work it wet or under extraction, with a mask.",
        "Never mistake ivory for bone: ivory is banned from trade almost everywhere. Keep proof "
        "of what it is, and ask your permit authority.",
    ),
    "stone": ("Many stones give off silica dust, which scars the lungs: cut wet, with a mask.",),
    "other": ("Ask the supplier for the safety sheet before you cut or sand it.",),
}
# Words in a species or a label that call for one more line.
BY_WORD = {
    ("redcedar", "red cedar", "thuja", "cedar"): (
        "Western red cedar is a known cause of asthma and of an allergic lung inflammation; stop "
        "if it starts to trouble your chest, and see a doctor."
    ),
    ("rosewood", "dalbergia", "cocobolo", "blackwood", "ebony", "iroko", "mansonia", "yew"): (
        "This wood is on lists of those that sensitise skin and chest; once sensitised, stop "
        "using it at any level."
    ),
    ("dyed", "dye"): "Sanding dyed wood frees the dye too: keep the dust off skin and lungs.",
}


def cautions(stuff: str, species: str) -> tuple[str, ...]:
    """The usual cautions for a kind of stuff and what is known of its species or label."""
    name = species.casefold()
    more = tuple(line for words, line in BY_WORD.items() if any(word in name for word in words))
    return BY_STUFF.get(stuff, BY_STUFF["other"]) + more
