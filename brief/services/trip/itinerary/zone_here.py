"""The time zone of this computer, for a field to begin with."""

from __future__ import annotations

import os
from pathlib import Path

from brief.errors import InputError
from brief.plan.clock import read_zone, zone_names

LOCALTIME = Path("/etc/localtime")  # tzfile(5): a link into the folder of zones


def zone_here() -> str:
    """Its IANA name as TZ or /etc/localtime say it; "" where neither does, as on Windows."""
    told = [os.environ.get("TZ", "").removeprefix(":")]
    if LOCALTIME.is_symlink():
        told.append(os.fspath(LOCALTIME.resolve()).partition("zoneinfo/")[2])
    for one in filter(None, told):
        try:
            known = read_zone(one)
        except InputError:
            continue
        if known in zone_names():  # not UTC, as servers have it: no maker's clock shows that
            return known
    return ""
