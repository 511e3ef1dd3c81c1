"""A pairing that is given another piece is judged anew, of that piece."""

from __future__ import annotations


def test_another_inlay_is_judged_at_once(client, brief, make, change) -> None:
    oak = make("materials", label="oak", reading="Lab 20 1 4")
    dark, pale = (
        make("materials", label=label, stuff="shell", reading=reading)
        for label, reading in (("dark", "Lab 21 1 4"), ("pale", "Lab 85 0 6"))
    )
    asked = make(
        "pairings", brief_id=brief["id"], ground_id=oak["id"], inlay_id=dark["id"], line_mm=1
    )
    assert asked["verdict"]["reading"] != "reads"
    now = change(asked, "pairings", inlay_id=pale["id"])
    assert now.status_code == 200, now.text
    assert now.json()["verdict"]["reading"] == "reads"
    assert now.json() == client.get(f"/api/pairings/{asked['id']}").json()
