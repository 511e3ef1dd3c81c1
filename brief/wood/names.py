"""What a piece is called by those who do not know the maker's rack.

Common names of species as the trade has them: from memory; where EN 13556 (nomenclature of timbers
used in Europe) has a name of its own, dealers often use another.
"""

from __future__ import annotations

import re

COMMON = {
    # softwoods
    "abies alba": "silver fir",
    "agathis australis": "kauri",
    "callitropsis nootkatensis": "yellow cedar",
    "cedrus libani": "cedar of Lebanon",
    "chamaecyparis lawsoniana": "Port Orford cedar",
    "cupressus sempervirens": "cypress",
    "juniperus virginiana": "eastern red cedar",
    "larix decidua": "larch",
    "picea abies": "European spruce",
    "picea engelmannii": "Engelmann spruce",
    "picea glauca": "white spruce",
    "picea rubens": "red spruce",
    "picea sitchensis": "Sitka spruce",
    "pinus sylvestris": "Scots pine",
    "pseudotsuga menziesii": "Douglas fir",
    "sequoia sempervirens": "redwood",
    "taxus baccata": "yew",
    "thuja plicata": "western red cedar",
    # hardwoods
    "acacia koa": "koa",
    "acacia melanoxylon": "Australian blackwood",
    "acer campestre": "field maple",
    "acer macrophyllum": "bigleaf maple",
    "acer platanoides": "Norway maple",
    "acer pseudoplatanus": "sycamore",
    "acer rubrum": "red maple",
    "acer saccharum": "hard maple",
    "alnus glutinosa": "alder",
    "betula pendula": "birch",
    "buxus sempervirens": "box",
    "carpinus betulus": "hornbeam",
    "castanea sativa": "sweet chestnut",
    "cedrela odorata": "Spanish cedar",
    "cordia dodecandra": "ziricote",
    "cordia gerascanthus": "bocote",
    "dalbergia cearensis": "kingwood",
    "dalbergia latifolia": "Indian rosewood",
    "dalbergia melanoxylon": "African blackwood",
    "dalbergia nigra": "Brazilian rosewood",
    "dalbergia retusa": "cocobolo",
    "dalbergia stevensonii": "Honduran rosewood",
    "diospyros celebica": "Macassar ebony",
    "diospyros crassiflora": "African ebony",
    "diospyros ebenum": "Ceylon ebony",
    "entandrophragma cylindricum": "sapele",
    "entandrophragma utile": "utile",
    "fagus sylvatica": "beech",
    "fraxinus americana": "white ash",
    "fraxinus excelsior": "ash",
    "guaiacum officinale": "lignum vitae",
    "guibourtia ehie": "ovangkol",
    "guibourtia tessmannii": "bubinga",
    "ilex aquifolium": "holly",
    "juglans cinerea": "butternut",
    "juglans hindsii": "claro walnut",
    "juglans nigra": "black walnut",
    "juglans regia": "European walnut",
    "khaya ivorensis": "African mahogany",
    "laburnum anagyroides": "laburnum",
    "liriodendron tulipifera": "yellow poplar",
    "machaerium scleroxylon": "pau ferro",
    "maclura pomifera": "Osage orange",
    "malus domestica": "apple",
    "microberlinia brazzavillensis": "zebrano",
    "millettia laurentii": "wenge",
    "olea europaea": "olive",
    "paubrasilia echinata": "pernambuco",
    "platanus × hispanica": "London plane",
    "populus nigra": "black poplar",
    "prunus avium": "cherry",
    "prunus domestica": "plum",
    "prunus serotina": "black cherry",
    "pterocarpus soyauxii": "African padauk",
    "pyrus communis": "pear",
    "quercus alba": "white oak",
    "quercus petraea": "European oak",
    "quercus robur": "European oak",
    "quercus rubra": "red oak",
    "robinia pseudoacacia": "robinia",
    "swietenia macrophylla": "American mahogany",
    "swietenia mahagoni": "Cuban mahogany",
    "tectona grandis": "teak",
    "tilia cordata": "lime",
    "toona ciliata": "Australian red cedar",
    "ulmus glabra": "wych elm",
    "umbellularia californica": "California laurel",
    # shell
    "haliotis fulgens": "green abalone",
    "haliotis iris": "paua",
    "haliotis rufescens": "red abalone",
    "pinctada margaritifera": "black mother-of-pearl",
    "pinctada maxima": "mother-of-pearl",
}
# ", no. 7", " #12", "(set no 3b)": what tells apart the pieces of one rack.
_SHOP_NUMBER = re.compile(
    r"[\s,;:(\[–-]*(?:\bset\b|(?:\bset\s+)?(?:\b(?:no|nr|number)\b\.?|№|#))\s*\d+[a-z]?\b[)\]]?",
    re.IGNORECASE,
)


def public_name(given: str, species: str, label: str) -> str:
    """The name for others to read: the one that was given for them; else the common name of the
    species; else the label, without the numbers of the shop.

    >>> public_name("", "Thuja plicata", "Cedar top, no. 7")
    'Western red cedar'
    >>> public_name("", "", "Feathered walnut, set no. 3")
    'Feathered walnut'
    """
    if given:
        return given
    common = COMMON.get(" ".join(species.casefold().split()))
    if common:
        return common[0].upper() + common[1:]
    return _SHOP_NUMBER.sub("", label).strip(" ,;:–-") or label
