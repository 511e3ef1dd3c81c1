"""One document, to be looked things up in."""

from __future__ import annotations

from collections.abc import Sequence

from brief.instrument import presets
from brief.services.common.naming import shortened
from brief.services.history.parcels.parcel import KINDS, MATERIALS, Key, Parcel
from brief.services.history.row_codec import Row, pointing


class Held:
    """One document, to be looked things up in."""

    def __init__(self, parcel: Parcel) -> None:
        self.rows: dict[Key, Row] = {(kind.name, row["id"]): row for kind, row in parcel.rows()}
        # What lies in the bin is there to be pointed at, and counts as removed.
        self.lying = {key: row for key, row in self.rows.items() if row["binned_utc"] is None}
        self.tied: dict[Key, dict[str, list[Key]]] = {}
        for kind, row in parcel.ties():
            first, *others = [(to, record_id) for _, to, record_id in pointing(kind, row)]
            for other in others:
                self.tied.setdefault(first, {}).setdefault(other[0], []).append(other)

    def kind(self, name: str | None) -> str:
        """What a kind of instrument is called: one of the maker's own, or one that is known."""
        own = self.rows.get((KINDS, name or ""))
        return str(own["name"]) if own else dict(presets()).get(name or "", name or "")

    def label(self, key: Key) -> str:
        """What a thing is called."""
        row = self.rows.get(key)
        if row is None:
            return "something that is not here"
        if key[0] == "pairings":
            ground, inlay = ((MATERIALS, row[field]) for field in ("ground_id", "inlay_id"))
            return f"{self.label(inlay)} on {self.label(ground)}"
        if key[0] == "photographs":
            of = self.label((MATERIALS, row["material_id"]))
            shows = row["finish"] or (row["state"] if row["state"] != "not said" else "")
            return f"{shows} photograph of {of}".strip()
        named = next((row[one] for one in ("title", "label", "name") if row.get(one)), None)
        return named or shortened(row.get("text") or row.get("passage") or "without a name")

    def lab(self, key: Key) -> Sequence[float] | None:
        """Its colour, if it has one of its own."""
        lab: Sequence[float] | None = (self.rows.get(key) or {}).get("lab")
        return lab

    def motif_like(self, key: Key) -> dict[str, list[str]]:
        """What it is tied to, in words, by the kind of that."""
        return {
            to: sorted(self.label(one) for one in those)
            for to, those in self.tied.get(key, {}).items()
        }
