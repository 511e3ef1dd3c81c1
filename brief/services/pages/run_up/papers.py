"""The Papers sheet."""

from __future__ import annotations

from dataclasses import dataclass

from brief.services.pairing.view_settings import Shown
from brief.services.spec.passport import PassportView, passport_of
from brief.store.desk import Desk
from brief.store.records import Brief


@dataclass(frozen=True)
class PapersSheet:
    """The instrument's passport."""

    passport: PassportView


def papers_sheet(desk: Desk, brief: Brief, shown: Shown) -> tuple[PapersSheet]:
    """What the Papers sheet shows."""
    return (PapersSheet(passport_of(desk, brief)),)
