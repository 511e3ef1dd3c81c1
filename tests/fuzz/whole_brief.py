"""A brief with something of every kind in it, packed; and every address that it is shown at."""

from __future__ import annotations

import itertools
import re
import traceback
from collections.abc import Iterator
from html import unescape
from io import BytesIO
from typing import Any

import numpy as np
from fastapi import FastAPI
from PIL import Image, ImageDraw

from brief.api import guests, pages
from brief.instrument import preset
from brief.instrument.outline.outlines import body_outline
from tests.asking import TestClient
from tests.studio_at_once import studio_at_once, taken

Json = dict[str, Any]
ANY = {"If-Match": "*"}
MOULD = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="400mm" viewBox="0 0 300 400">'
    b'<path d="M150 0C230 0 300 180 300 250C300 333 233 400 150 400C67 400 0 333 0 250'
    b'C0 180 70 0 150 0Z"/></svg>'
)
CURLEW = "M0 0H12V5H0Z M2 1H4V3H2Z"
CC_BY = "https://creativecommons.org/licenses/by/4.0/"
OURS = ("/api/", "/images/", "/briefs/", "/s/")
ADDRESS = re.compile(r'(?:href|src|data-from|data-src)="(/[^"#]+)')


WRITTEN_IN_FILE = "Zugvogel-7731"  # what the file of a photograph says of who took it, and where


def grained(*mean: int) -> bytes:
    """A small photograph of streaks about a colour."""
    streaks = np.random.default_rng(7).normal(0, 12, (1, 72, 1)) + np.array(mean)
    pixels = np.clip(np.broadcast_to(streaks, (48, 72, 3)), 0, 255).astype(np.uint8)
    target = BytesIO()
    exif = Image.Exif()
    exif[0x010E] = exif[0x013B] = WRITTEN_IN_FILE  # ImageDescription and Artist (Exif 2.3)
    exif.get_ifd(0x8825)[0x001D] = WRITTEN_IN_FILE  # GPSDateStamp, any text of the GPS part
    Image.fromarray(pixels).save(target, "PNG", exif=exif)
    return target.getvalue()


def photographed_mould() -> bytes:
    """A pale mould on dark paper."""
    shot = Image.new("RGB", (380, 480), (52, 58, 74))
    run = [(x + 190, y + 24) for x, y in body_outline(preset("bouzouki"))]
    ImageDraw.Draw(shot).polygon(run, fill=(214, 190, 140))
    target = BytesIO()
    shot.save(target, "PNG")
    return target.getvalue()


def make_whole(client: TestClient) -> str:
    """Make a brief with something of every kind that travels, twice frozen; its id."""

    def make(noun: str, **fields: object) -> Json:
        answer = client.post(f"/api/{noun}", json=fields)
        assert answer.status_code == 201, answer.text
        return dict(answer.json())

    def send(noun: str, name: str, data: bytes, **fields: str) -> Json:
        answer = client.post(
            f"/api/{noun}/pictures", files=[("files", (name, data, "image/png"))], data=fields
        )
        assert answer.status_code == 201, answer.text
        return dict(answer.json()[0])

    def change(noun: str, one: Json, **fields: object) -> None:
        answer = client.patch(f"/api/{noun}/{one['id']}", json=fields, headers=ANY)
        assert answer.status_code == 200, answer.text

    brief = make("briefs", title="Saltmarsh", theme="One quarter of an hour, at low water.")
    here = {"brief_id": brief["id"]}
    on_brief = {"about_kind": "brief", "about_id": brief["id"]}
    motif = make("motifs", **here, name="curlew", says="the call that carries")
    make("notes", **on_brief, text="ask about the case", private=False)
    reeds = send("references", "reeds.png", grained(142, 138, 106), **here)
    change("references", reeds, motif_ids=[motif["id"]], credit="Ines", rights=CC_BY)
    change("references", reeds, correct_by="card", card_region="xywh=percent:10,10,50,50")
    letter = make(
        "references", **here, title="A letter", rights=CC_BY, passage="The mud is never brown."
    )
    palette = make("palettes", reference_id=reeds["id"], colours=3)
    named = make("swatches", **here, palette_id=palette["id"], palette_index=1, name="reed")
    typed = make("swatches", **here, colour="#2f6f62", motif_id=motif["id"])
    walnut = send("materials", "walnut.png", grained(92, 64, 44))
    change(
        "materials",
        walnut,
        **{"length_mm": 520, "width_mm": 210, "thickness_mm": 4, "weight_g": 280},
        **{"price": 40.5, "currency": "EUR", "species": "Juglans nigra"},
    )
    shell = make("materials", label="shell", stuff="shell", reading="Lab 88 0 3 D50/2")
    bare = client.get("/api/photographs", params={"material_id": walnut["id"]}).json()["items"][0]
    change(
        "photographs",
        bare,
        **{"scale_points": "10,20 90,20", "scale_mm": 100, "grain_line": "5,50 95,50"},
        selections=["xywh=percent:5,5,90,90"],
    )
    of_walnut = {"material_id": walnut["id"]}
    oiled = send("photographs", "oiled.png", grained(70, 44, 28), **of_walnut, state="finished")
    shots = {"before_id": bare["id"], "after_id": oiled["id"]}
    make("finish-tests", **of_walnut, **shots, name="oil")
    hall = make("viewings", **here, name="the hall", light="LED-B3", distance_m=2, lux=40)
    make("viewings", **here, name="the loft", light="lamp", kelvin=2700, rendering=80)
    make("climates", **here, name="the workshop", stage="workshop", humidity="45 %")
    year = "38 40 42 46 50 55 58 57 53 48 43 39"
    make("climates", **here, name="the hall", humidity=year, temperature="68 °F", month=1)
    pairing = make(
        "pairings",
        **here,
        ground_id=walnut["id"],
        inlay_id=shell["id"],
        line_mm=0.8,
        place="rosette",
    )
    parts = client.get("/api/parts", params=here).json()["items"]
    for part, piece in zip(parts, itertools.cycle((walnut, shell)), strict=False):
        change("parts", part, material_id=piece["id"], swatch_id=typed["id"], finish="oil")
    change("parts", parts[0], laying={"centre": 20, "match": "book-right", "turn": 90})
    make("inlays", **here, name="dots", shape="dot", frets=[3, 5, 12, 12])
    make("inlays", **here, name="curlew", lies_on="headplate", drawing=CURLEW)
    hours = {"quick_h": 2, "likely_h": 3, "slow_h": 5}
    box = make("stages", **here, name="Close the box", **hours, wait_days=1, wait_for="glue")
    make("stages", **here, name="Bind", **hours, follows=[box["id"]], spare=True)
    make("absences", **here, name="the fair", first_on="2027-04-01", last_on="2027-04-05")
    make("bought-parts", **here, name="Tuners", price="96,50", number=2)
    make("pieces-used", **here, **of_walnut, share="40 %")
    terms = {"hour_rate": "34", "overhead": "25 %", "margin": "12,5 %", "commission": 20}
    change("briefs", brief, **terms, asking_price="1.234,50")
    change("briefs", brief, opens_on="2030-05-15", travel_days=3, week_h=[6] * 6 + [0])
    home = make("stops", **here, name="the workshop", role="home", zone="Europe/Berlin")
    away = make("stops", **here, name="the net loft", role="hall", zone="Europe/London")
    ends = {"from_id": home["id"], "to_id": away["id"]}
    at = {"leaves_on": "2030-05-12", "leaves_at": "21:30", "arrives_on": "2030-05-13"}
    make("legs", **here, **ends, **at, by="night ferry", booking="MF-20417", booked=True)
    make("stays", **here, stop_id=away["id"], purpose="open", from_on="2030-05-15")
    make("contacts", **here, name="the fair’s office", reach="at the harbour")
    make("things-to-pack", **here, name="hygrometer", packed=True)
    send("attachments", "ticket.png", grained(200, 200, 190), **here)
    change("briefs", brief, caption="Straw and slate.", stand_price="3 200 EUR")
    shot = send("tracings", "mould.png", photographed_mould(), **here)
    change("tracings", shot, body_mm=432)
    tracing = send("tracings", "mould.svg", MOULD, **here)
    own = make("kinds", **here, name="Small parlour")
    change("briefs", brief, kind=own["id"])
    change("briefs", brief, numbers={"scale_mm": 632, "body_mm": 470})
    quoted = {"about_kind": "reference", "about_id": letter["id"], "quote": "mud"}
    said = make("comments", **here, **quoted, author="Ines", text="never?")
    make("comments", **here, **quoted | {"quote": ""}, reply_to=said["id"], text="<b>wet</b>")
    spot = {"about_kind": "reference", "about_id": reeds["id"]}
    make("comments", **here, **spot, region="xywh=percent:10,20,30,30", text="this one")
    gone = make("motifs", **here, name="smoke")
    client.delete(f"/api/motifs/{gone['id']}", headers=ANY)
    make("revisions", **here, note="as shown")
    change("viewings", hall, distance_m=3)
    change("swatches", named, name="reed, dry")
    change("tracings", tracing, body_mm=455)
    studio_at_once(client.app)
    pictured = taken(client, brief["id"])["studio_picture"].rpartition("/")[2]
    change("studio-pictures", {"id": pictured}, private=False)
    asked = make(
        "questions",
        **here,
        text="Which?",
        choices=[pairing["id"], walnut["id"], reeds["id"], typed["id"]],
    )
    make("answers", question_id=asked["id"], choice=1, author="Tom", why="straw")
    make("answers", question_id=asked["id"], choice=2, author="Tom")
    make("revisions", **here, note="after the fair")
    return str(brief["id"])


# Another form of what is asked for anyway, or nothing of the brief.
SLOW = re.compile(r"\.(png|pdf|dxf)($|\?)|/parcel|/docs|/schema|/offcuts$|/method$")
FORMS = {
    "drawings": ("svg", "pdf", "dxf"),
    "picture.": ("svg", "png", "pdf"),
    "": ("css", "svg", "txt"),
}


def addresses(app: FastAPI, document: Json, tokens: list[str], *, thorough: bool) -> Iterator[str]:
    """Every GET route with each id of a packed brief that fits in it.

    thorough : with what takes long and shows the same in another form.
    """
    ids = {name: [row["id"] for row in rows] for name, rows in document["records"].items()}
    hashes = [row["sha256"] for row in document["images"]]
    values: dict[str, list[str]] = {
        "brief_id": ids["briefs"],
        "palette_id": ids.get("palettes", []),
        "material_id": ids.get("materials", []),
        "sha256": hashes,
        "size": ["thumb"],
        "sheet": ["fretboard", "body", "head", "bridge", "rosette", "inlay"],
        "token": tokens,
        "address": [],  # the page of a link names those that it has
    }
    paths = [path for path, ways in app.openapi()["paths"].items() if "get" in ways]
    for module in (pages, guests):
        paths += [one.path for one in module.router.routes if "GET" in one.methods]
    for path in dict.fromkeys(paths):
        plain = re.sub(":[a-z]+}", "}", path)
        noun = plain.removeprefix("/api/").partition("/")[0]
        own = {
            "record_id": ids.get(noun, []),
            "form": next(forms for part, forms in FORMS.items() if part in plain),
        }
        fields = re.findall(r"{(\w+)}", plain)
        for chosen in itertools.product(*(own.get(one) or values.get(one, []) for one in fields)):
            address = plain.format(**dict(zip(fields, chosen, strict=True)))
            if thorough or not SLOW.search(address):
                yield address
    brief_id, first, last = document["brief_id"], *ids.get("revisions", ["x", "x"])[:2]
    yield f"/briefs/{brief_id}/revisions?since={first}&until={last}"
    yield f"/api/revisions/{first}/changes?until={last}"
    yield f"/briefs/{brief_id}/spec?open=back&open=sides"
    yield f"/api/briefs/{brief_id}/proposals?open=back"


def look_at(client: TestClient, at: Iterator[str]) -> dict[str, int]:
    """Ask for every address, and for every one of ours that the pages name; the status of each.

    An exception that no handler turned into an answer counts as 500.
    """
    seen: dict[str, int] = {}
    waiting = list(at)
    while waiting:
        address = waiting.pop()
        if address in seen:
            continue
        try:
            answer = client.get(address)
        except Exception:
            traceback.print_exc()
            seen[address] = 500
            continue
        seen[address] = answer.status_code
        if "text/html" in answer.headers.get("content-type", ""):
            found = (unescape(one) for one in ADDRESS.findall(answer.text))
            waiting += [one for one in found if one.startswith(OURS) and not SLOW.search(one)]
    return seen
