"""`brief check`: what is wrong with the briefs, and how to mend it."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

from brief.cli.commands.keeping.backup import not_there
from brief.cli.terminal import FOUND, print_json
from brief.settings import settings_at
from brief.store.check import Report, check
from brief.store.databases.copies import DATABASE
from brief.store.pictures.sweep import KEPT_DAYS
from brief.store.workshops import HomePlace, missing


def check_home(home: Path | None, source: Path | None, *, repair: bool, as_json: bool) -> int:
    """Print what is wrong and what was mended; 0 if nothing is wrong now, otherwise 1."""
    settings = settings_at(home)
    place = HomePlace(settings.home, settings.url, settings.bucket)
    copy = None if source is None else HomePlace(source)

    def looked_through(it: HomePlace, mended_from: HomePlace | None) -> Report:
        return check(
            it.home,
            repair=repair,
            source=mended_from.home if mended_from else None,
            url=it.url,
            bucket=it.bucket,
        )

    report = looked_through(place, copy)
    there = place.workshops()
    others = [looked_through(place.workshop(one), copy and copy.workshop(one)) for one in there]
    gone = () if place.url else missing(there, place.home / DATABASE)
    clean = not gone and all(one.is_clean for one in (report, *others))
    if as_json:
        told = {"clean": clean, **asdict(report)}
        print_json(told | {"workshops": [asdict(one) for one in others]} if others else told)
    else:
        for one in (report, *others):
            _say(one)
        for lost in gone:
            print(not_there(lost))
    return 0 if clean else FOUND


def _say(report: Report) -> None:
    if report.briefs is not None:
        print(
            f"{report.home}: briefs on the shelf {report.briefs}, pictures {report.pictures}, "
            f"tables {report.schema}, {report.free_bytes / 1e9:.1f} GB free."
        )
    if report.bucket is not None:
        print(f"Its pictures are in {report.bucket}; each was fetched from there.")
    for one in report.findings:
        print(f"Mended: {one.said}" if one.mended else f"{one.said} {one.mend}")
    if not report.findings:
        print("All is well: every record can be read, every picture is there and is sound.")
    if report.set_aside:
        print(
            f"Set aside because no record names them: {report.set_aside} pictures, in "
            f"{report.aside_at}. After {KEPT_DAYS} days --repair deletes "
            "them."
        )
