"""Of each operation of the API a call that is right, and what a field of it can name."""

from __future__ import annotations

import re
from typing import Any

from tests.asking import TestClient
from tests.fuzz.whole_brief import MOULD, Json, grained
from tests.made_stock import made_stock, wood_like
from tests.studio_at_once import taken

CGATS = (
    b"CGATS.17\nNUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\n"
    b"END_DATA_FORMAT\nNUMBER_OF_SETS 1\nBEGIN_DATA\nreed 61.0 1.2 24.5\nEND_DATA\n"
)
# The nouns of fields that are not called after one.
NOUNS = {
    **{"ground": "materials", "inlay": "materials", "until": "revisions", "upto": "comments"},
    **{"before": "photographs", "after": "photographs", "choices": "swatches"},
    "follows": "stages",
    **dict.fromkeys(("from", "to", "stop"), "stops"),
}
Call = dict[str, Any]  # path, query and body, where there are any


class RightCalls:
    """What a home holds that calls can name, and a right call of every operation.

    client : of a server over that home, whose owner is signed in
    """

    def __init__(self, client: TestClient, brief_id: str, passphrase: str) -> None:
        def got(path: str) -> Any:
            answer = client.get(path)
            assert answer.status_code == 200, answer.text
            return answer.json() if "json" in answer.headers["content-type"] else answer.content

        self.document: Json = client.app.openapi()  # type: ignore[attr-defined]
        here = {"brief_id": brief_id}
        # The last revision would be frozen of what has not changed since.
        client.post("/api/motifs", json=here | {"name": "tide"}).raise_for_status()
        # The usual stages are given to a brief that has none.
        empty = client.post("/api/briefs", json={"title": "Low water"})
        self.without_stages = str(empty.json()["id"])
        with client.app.state.store.desk(writing=True) as desk:  # type: ignore[attr-defined]
            made_stock(desk, grained(120, 84, 60), wood_like(3))
        client.post("/api/calendar-links", json=here | {"name": "my phone"}).raise_for_status()
        made = client.post("/api/shares", json=here | {"name": "Ines"}).json()
        nouns = [path[5:] for path in self.document["paths"] if re.fullmatch("/api/[a-z-]+", path)]
        self.records: dict[str, list[Json]] = {
            noun: found["items"]
            for noun in nouns
            if f"/api/{noun}/{{record_id}}" in self.document["paths"]
            and (found := got(f"/api/{noun}?limit=200"))
        }
        self.ids = {noun: [one["id"] for one in found] for noun, found in self.records.items()}
        of = {noun: found[0] for noun, found in self.ids.items()}
        hashes = {one["picture"]["sha256"] for one in self.records["references"] if one["picture"]}
        self.places: dict[str, list[str]] = {
            "brief_id": [brief_id],
            "palette_id": self.ids["palettes"],
            "material_id": self.ids["materials"],
            "board_id": [one["id"] for one in got(f"/api/stocks/{of['stocks']}/boards")["items"]],
            "sha256": sorted(hashes),
            "job_id": [taken(client, brief_id, view="close")["id"]],
            "token": [made["address"].removeprefix("/s/")],
        }
        about = {"about_kind": "motif", "about_id": of["motifs"]}
        said = {"author": "Ines", "text": "too dark"}
        colours = self.ids["swatches"][:2]
        picture = grained(92, 64, 44)
        self.own: dict[tuple[str, str], Call] = {
            ("POST", "/api/kinds"): {"body": here | {"name": "Large parlour"}},
            ("POST", "/api/briefs/beginnings"): {"body": here | {"title": "Last light"}},
            ("POST", "/api/references"): {
                "body": here | {"title": "A letter", "passage": "The mud is never brown."}
            },
            ("POST", "/api/palettes"): {
                "body": {"reference_id": self.with_picture, "colours": 3, "seed": 1}
            },
            ("POST", "/api/swatches"): {"body": here | {"name": "reed", "colour": "#caa15b"}},
            ("POST", "/api/pairings"): {
                "body": here | {"ground_id": of["materials"], "inlay_id": self.ids["materials"][1]}
            },
            # Of the first one it is known already.
            ("POST", "/api/pieces-used"): {
                "body": here | {"material_id": self.ids["materials"][1], "share": "40 %"}
            },
            ("POST", "/api/first-verdicts"): {
                "body": {"timber": picture, "inlay_colour": "#f0e6d0"}
            },
            ("POST", "/api/questions"): {"body": here | {"text": "Which?", "choices": colours}},
            ("POST", "/api/shares"): {"body": here | {"name": "the bird counter"}},
            ("PATCH", "/api/references"): {
                "body": {"etags": {of["references"]: "*"}, "credit": "Ines"}
            },
            ("POST", "/api/references/{record_id}/swatches"): {
                "body": {"region": "xywh=percent:10,10,20,20", "name": "stalk"}
            },
            ("PATCH", "/api/references/{record_id}"): {"body": {"title": "Reeds"}},
            ("PATCH", "/api/swatches/{record_id}"): {"body": {"name": "reed, dry"}},
            ("PATCH", "/api/briefs/{brief_id}/numbers"): {"body": {"scale_mm": "640"}},
            ("POST", "/api/revisions/{record_id}/give-back"): {"body": {}},
            ("POST", "/api/briefs/{brief_id}/new-comments/seen"): {
                "body": {"upto": of["comments"]}
            },
            ("POST", "/api/briefs/{brief_id}/studio"): {"body": {"view": "back", "light": "A"}},
            ("POST", "/api/session"): {"body": {"passphrase": passphrase}},
            ("POST", "/s/{token}/comments"): {"body": about | said},
            ("POST", "/s/{token}/answers"): {
                "body": {"question_id": of["questions"], "choice": 1, "author": "Ines"}
            },
            ("POST", "/api/references/pictures"): {"body": here | {"files": [picture]}},
            ("POST", "/api/materials/pictures"): {"body": {"files": [picture]}},
            ("POST", "/api/photographs/pictures"): {
                "body": {"material_id": of["materials"], "files": [picture]}
            },
            ("POST", "/api/tracings/pictures"): {"body": here | {"files": [MOULD]}},
            ("POST", "/api/attachments/pictures"): {"body": here | {"files": [picture]}},
            ("POST", "/api/briefs/{brief_id}/trip"): {
                "body": {
                    **{"home": "Workshop", "home_zone": "Europe/Berlin", "hall": "Net loft"},
                    **{"hall_zone": "London", "leaves_on": "2030-05-12", "back_on": "2030-05-18"},
                }
            },
            ("POST", "/api/exchange/rack"): {"body": {"file": CGATS}},
            ("POST", "/api/parcels"): {"body": {"file": got(f"/api/briefs/{brief_id}/parcel.zip")}},
            ("POST", "/api/briefs/{brief_id}/comment-file"): {
                "body": {"file": client.get(f"/api/briefs/{brief_id}/comment-file").content}
            },
            ("GET", "/api/colours"): {"query": {"colour": "#caa15b"}},
            ("GET", "/api/nearest"): {"query": {"colour": "#caa15b"}},
            ("GET", "/api/stocks/{record_id}/nearest"): {"query": {"colour": "#caa15b"}},
            ("GET", "/api/briefs/{brief_id}/proposals"): {"query": {"open": of["parts"]}},
            ("GET", "/api/briefs/{brief_id}/booklet.pdf"): {"query": {"leave_out": "unclear"}},
            ("GET", "/api/briefs/{brief_id}/card.pdf"): {"query": {"leave_out": "unclear"}},
            ("GET", "/api/briefs/{brief_id}/strands.{form}"): {"query": {"leave_out": "unclear"}},
        }

    @property
    def with_picture(self) -> str:
        return next(str(one["id"]) for one in self.records["references"] if one["picture"])

    def named(self, field: str) -> list[str]:
        """The ids that a field such as `motif_ids` or `about_id` can name."""
        stem = re.sub("_ids?$", "", field)
        every = [one for found in self.ids.values() for one in found]
        return self.ids.get(NOUNS.get(stem, f"{stem}s"), every)

    def at(self, path: str, field: str) -> list[str]:
        """What fits into that place of the path of an operation; nothing where its description
        says so itself."""
        if path in ("/api/briefs/{brief_id}/run-up", "/api/briefs/{brief_id}/trip"):
            return [self.without_stages]
        noun = path.removeprefix("/api/").partition("/")[0]
        return self.ids[noun] if field == "record_id" else self.places.get(field, [])

    def of(self, method: str, path: str) -> Call:
        """Query and body of a right call; the body of a noun is its first record's."""
        call = dict(self.own.get((method, path), {}))
        operation = self.document["paths"][path][method.lower()]
        if "requestBody" in operation and "body" not in call:
            noun = path.removeprefix("/api/").partition("/")[0]
            (content,) = operation["requestBody"]["content"].values()
            name = content["schema"]["$ref"].rpartition("/")[2]
            fields = self.document["components"]["schemas"][name]["properties"]
            first = self.records[noun][0]
            call["body"] = {key: value for key, value in first.items() if key in fields}
        return call
