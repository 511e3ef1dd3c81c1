"""Where one picture is computed at a time, whoever asks for it, in the order they came."""

from __future__ import annotations

from collections import deque
from threading import Condition


class Room:
    """Held by one; who waits has it in turn. A lock would go to whoever asks again at once."""

    def __init__(self) -> None:
        self._line: deque[object] = deque()
        self._moved = Condition()

    def acquire(self, timeout: float) -> bool:
        """Wait for it so many seconds; whether it is held."""
        place = object()
        with self._moved:
            self._line.append(place)
            if self._moved.wait_for(lambda: self._line[0] is place, timeout):
                return True
            self._line.remove(place)
            return False

    def release(self) -> None:
        """Leave it to the next."""
        with self._moved:
            self._line.popleft()
            self._moved.notify_all()
