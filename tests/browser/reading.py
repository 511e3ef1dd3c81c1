"""Whether a page can be read and used: axe-core, by the rules of WCAG 2.0 to 2.2, A and AA."""

from __future__ import annotations

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

# Only what breaks a rule is written out: of a large page, what keeps all of them takes longer to
# write out than to find.
OPTIONS = {
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]},
    "resultTypes": ["violations"],
}


def violations(page: Page, within: str | None = None) -> list[tuple[str, str]]:
    """The rules that the page, or a part of it, breaks; and where each first does."""
    found = Axe().run(page, context=within, options=OPTIONS).response["violations"]
    return [(one["id"], one["nodes"][0]["html"][:200]) for one in found]
