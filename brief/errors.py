"""The errors this library raises on purpose.

Each message says the thing, the rule, the value and the way out, in the maker's words. The
class says how the API answers (`status`, `code`), so that no other place has to decide it.
`quoted` is how a value is echoed in any of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from numbers import Real

LONGEST_QUOTED = 60  # characters


def quoted(value: object) -> str:
    """A value that was given, for a sentence: a text in “ ”, short and on one line.

    >>> quoted("walnut"), quoted("a  b"), quoted(0.1), quoted(None), quoted([1, 2])
    ('“walnut”', '“a b”', '0.1', 'nothing', 'a list')
    """
    match value:
        case str():
            # What cannot be printed could turn or tear the sentence that it is quoted in.
            text = "".join(c if c.isprintable() else "�" for c in " ".join(value.split()))
            short = text if len(text) <= LONGEST_QUOTED else text[: LONGEST_QUOTED - 1] + "…"
            return f"“{short}”"
        case None:
            return "nothing"
        case bool():
            return "true" if value else "false"
        case Real():
            return str(value)
        case list() | tuple() | set():
            return "a list"
        case dict():
            return "an object"
        case _:
            return quoted(str(value))


class BriefError(Exception):
    """Something this library refuses or could not do, and says so."""

    code = "error"
    status = 500


@dataclass(frozen=True)
class FieldFault:
    """What is wrong with one field: `pointer` is a JSON Pointer into what was sent."""

    pointer: str
    detail: str


class InputError(BriefError, ValueError):
    """What was given cannot be used."""

    code = "bad_input"
    status = 422

    def __init__(self, message: str, *, faults: Sequence[FieldFault] = ()) -> None:
        super().__init__(message)
        self.faults = tuple(faults)

    @classmethod
    def at(cls, field: str, message: str) -> InputError:
        """An error that lies in one field alone."""
        return cls(message, faults=[FieldFault(f"/{field}", message)])


class ColourInputError(InputError):
    """A colour that is not three finite numbers, or a notation that cannot be read."""

    code = "bad_colour"


class ImageError(InputError):
    """A file that is not a picture this library can read."""

    code = "bad_image"


class ParcelError(InputError):
    """A file that is no brief packed up by this program, or not a whole one."""

    code = "bad_parcel"


class TooLarge(InputError):
    """A file or a picture beyond the limits."""

    code = "too_large"
    status = 413


class RightsUnclear(InputError):
    """Something would be published whose rights are not clear."""

    code = "rights_unclear"
    status = 409


class NothingChanged(InputError):
    """It would be frozen once more as it is frozen already."""

    code = "nothing_changed"
    status = 409


class NotFound(BriefError):
    """No such record; it may have been removed."""

    code = "not_found"
    status = 404


class NotSignedIn(BriefError):
    """Only the owner may do this, signed in with the passphrase; or it was not the passphrase."""

    code = "not_signed_in"
    status = 401


class TooMany(BriefError):
    """Asked too often; Retry-After says in how many seconds it may be tried again."""

    code = "too_many"
    status = 429

    def __init__(self, message: str, *, retry_after_s: int) -> None:
        super().__init__(message)
        self.retry_after_s = retry_after_s


class Conflict(BriefError):
    """The record has changed since it was read."""

    code = "changed_meanwhile"
    status = 412


class PreconditionMissing(BriefError):
    """A change that does not say which version it was made from."""

    code = "if_match_missing"
    status = 428


class StoreError(BriefError):
    """The database or the image folder could not be read or written."""

    code = "store"
    status = 507


class Unreachable(StoreError):
    """The pictures cannot be reached now; Retry-After says when it may be tried again."""

    code = "unreachable"
    status = 503

    def __init__(self, message: str, *, retry_after_s: int) -> None:
        super().__init__(message)
        self.retry_after_s = retry_after_s


class NotReady(BriefError):
    """The program runs, but cannot serve now; the log says why."""

    code = "not_ready"
    status = 503


class RenderFailed(BriefError):
    """The renderer ended without a picture."""

    code = "render_failed"
    status = 500


class CrewLost(BriefError):
    """Those who were to do a long piece of work are not there, or run another program."""

    code = "crew_lost"
    status = 503
