"""The workshops of a server that several makers share: which one a request is at.

Each is a store of its own, opened when somebody first comes to it, so that whoever is in one can
read nothing of another. A request says it by who is signed in, or by the secret of a link.
"""

from __future__ import annotations

import re
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field

from anyio import Lock, to_thread

from brief.errors import NotFound
from brief.services.studio.studio import Studio
from brief.store.desk import Store
from brief.store.register import OWN, Workshop
from brief.store.workshops import HomePlace, open_workshop

MOST_OPEN = 32  # stores of workshops that nobody is at just now
VISIT = "visit"
_LINK = re.compile(r"/s/([0-9a-f]{10})\.")


@dataclass
class OpenWorkshop:
    """A workshop that is open in this process. turn : of those who write in it. users : requests
    that are at it now."""

    store: Store
    studio: Studio
    turn: Lock = field(default_factory=Lock)
    users: int = 0

    def close(self) -> None:
        """Stop its studio, and close its store."""
        self.studio.close()
        self.store.close()


@dataclass(frozen=True)
class Visit:
    """Who a request comes from, and at which workshop it is.

    maker, name : of who is signed in; None and "" of a guest. workshop : where it lies; None for
    the home that the server was started with. title : of a joint one. by : whose name what is done
    is written down with; "" where it is not.
    """

    workshop_id: str
    maker: int | None = None
    name: str = ""
    title: str = ""
    by: str = ""
    workshop: OpenWorkshop | None = None


HERE: ContextVar[Visit | None] = ContextVar("here", default=None)
"""The visit that a page is shown for, if somebody is signed in."""


def only_you() -> str:
    """Who sees what no guest does, for the beginning of a sentence."""
    visit = HERE.get()
    return "Only you and who else works here" if visit and visit.title else "Only you"


class House:
    """The workshops of a server.

    place, own : of the home that it was started with. studio_of : makes that of a store.
    """

    def __init__(
        self,
        place: HomePlace,
        own: Callable[[], Store],
        studio_of: Callable[[Callable[[], Store]], Studio],
    ) -> None:
        self.place = place
        self._own, self._studio_of = own, studio_of
        self._open: dict[str, OpenWorkshop] = {}
        self._opening = Lock()

    @asynccontextmanager
    async def at(self, workshop_id: str) -> AsyncIterator[OpenWorkshop | None]:
        """Be at a workshop; None is the home that the server was started with.

        Raises NotFound if there is none, StoreError if it cannot be opened.
        """
        if workshop_id == OWN:
            yield None
            return
        if workshop_id not in self._open:  # who comes to an open one waits for no other's server
            async with self._opening:
                if workshop_id not in self._open:
                    self._open[workshop_id] = await to_thread.run_sync(self._opened, workshop_id)
        # Nothing is awaited from here to `yield`, so that it is not shut in between.
        self._open[workshop_id] = found = self._open.pop(workshop_id)  # now the last one come to
        found.users += 1
        try:
            yield found
        finally:
            found.users -= 1
            await self._shut_some()

    @asynccontextmanager
    async def led_to(self, path: str) -> AsyncIterator[tuple[str, OpenWorkshop | None]]:
        """Be at the workshop that the secret of a link leads to, if it is one of a workshop.

        Raises StoreError if it cannot be opened.
        """
        found = _LINK.match(path)
        known = found is not None and await to_thread.run_sync(self._knows, found[1])
        if found is None or not known:
            yield "", None  # a link that opens nothing is told so as any other
            return
        async with self.at(found[1]) as workshop:
            yield found[1], workshop

    def close(self) -> None:
        """Close all."""
        for one in self._open.values():
            one.close()
        self._open.clear()

    def _opened(self, workshop_id: str) -> OpenWorkshop:
        if not self._knows(workshop_id):
            raise NotFound("There is no such workshop here.")
        store = open_workshop(self.place.workshop(workshop_id), workshop_id)
        store.sweep()
        return OpenWorkshop(store, self._studio_of(lambda: store))

    def _knows(self, workshop_id: str) -> bool:
        with self._own().desk() as desk:
            return desk.session.get(Workshop, workshop_id) is not None

    async def _shut_some(self) -> None:
        """Shut those that nobody was at for longest, while too many are open."""
        if len(self._open) <= MOST_OPEN:
            return
        idle = [name for name, one in self._open.items() if not one.users and one.studio.is_idle]
        for name in idle[: len(self._open) - MOST_OPEN]:
            await to_thread.run_sync(self._open.pop(name).close)
