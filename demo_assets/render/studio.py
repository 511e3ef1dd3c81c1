"""Takes the demo's studio pictures again: `python -m demo_assets.render.studio`.

They are computed of the invented brief as it is filed, a little larger than a small picture of the
program and with twice its rays. It takes some minutes for each.
"""

from __future__ import annotations

import io
import os
import tempfile
import tomllib
from dataclasses import replace
from pathlib import Path

from PIL import Image

from brief.services import nouns
from brief.services.demo import asked_of, load_demo
from brief.services.studio.shots import planned
from brief.store.desk import Store
from brief.studio.shot import taken

FOLDER = Path(__file__).parents[1]
WIDTH, HEIGHT, PASSES = 600, 867, 14
QUALITY = 88


def take(folder: Path = FOLDER, only: str = "") -> None:
    """Take those of brief.toml, or one view; those that are not there yet are grey meanwhile."""
    rows = tomllib.loads((folder / "brief.toml").read_text(encoding="utf-8"))["studio"]
    for row in rows:
        file = folder / "pictures" / row["file"]
        if not file.exists():
            Image.new("RGB", (WIDTH, HEIGHT), (128, 128, 128)).save(file)
    with tempfile.TemporaryDirectory() as home:
        store = Store(Path(home))
        brief_id = load_demo(store, folder)
        for row in rows:
            if only not in ("", row["view"]):
                continue
            with store.desk() as desk:
                brief = nouns.briefs.get(desk, brief_id)
                shot = planned(desk, brief, asked_of(desk, brief, row)).shot(desk)
            order = replace(shot.order, width_px=WIDTH, height_px=HEIGHT, passes=PASSES)
            *_, last = taken(replace(shot, order=order), os.cpu_count() or 1)
            with Image.open(io.BytesIO(last.png)) as picture:
                picture.save(folder / "pictures" / row["file"], quality=QUALITY, subsampling=0)
            print(row["file"], flush=True)
        store.close()


if __name__ == "__main__":
    import sys

    take(only=sys.argv[1] if len(sys.argv) > 1 else "")
