"""The file that comments travel in: an Annotation Page, W3C Web Annotation Data Model (2017).

Only what comments need of the model, in the JSON that its own context gives a meaning to. What a
file holds beyond that is refused, not passed over: nobody's words may be lost unawares.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    ValidationError,
    field_validator,
    model_validator,
)

from brief.errors import InputError, TooLarge
from brief.photo import Region
from brief.services.common.field_types import Line, Quoted, SomeText, Text

CONTEXT = "http://www.w3.org/ns/anno.jsonld"
MEDIA_FRAGMENTS = "http://www.w3.org/TR/media-frags/"
MEDIA_TYPE = f'application/ld+json; profile="{CONTEXT}"'
MAX_BYTES = 2**20
MOST = 1_000

Iri = Annotated[str, StringConstraints(pattern=r"^[A-Za-z][A-Za-z0-9+.-]*:\S+$", max_length=300)]
Word = Annotated[str, StringConstraints(max_length=200)]


def _in_utc(time: datetime) -> datetime:
    try:
        return time.astimezone(UTC)
    except OverflowError as exc:  # in the first hours of the first year, or the last of the last
        raise InputError("a time in it is outside the calendar") from exc


Moment = Annotated[AwareDatetime, AfterValidator(_in_utc)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", populate_by_name=True)


class Agent(_Strict):
    """Who said it, or which program wrote the file."""

    id: Iri | None = None
    type: Literal["Person", "Organization", "Software"] | None = None
    name: Line = ""
    homepage: Iri | None = None


class FragmentSelector(_Strict):
    """A spot on a picture, 4.2.1."""

    type: Literal["FragmentSelector"]
    conforms_to: Literal["http://www.w3.org/TR/media-frags/"] | None = Field(
        None, alias="conformsTo"
    )
    value: Annotated[str, StringConstraints(max_length=200)]

    @field_validator("value")
    @classmethod
    def _is_a_region(cls, value: str) -> str:
        return str(Region.parse(value))


class TextQuoteSelector(_Strict):
    """Some words of a passage, 4.2.4."""

    type: Literal["TextQuoteSelector"]
    exact: Annotated[Quoted, StringConstraints(min_length=1)]
    prefix: Quoted = ""
    suffix: Quoted = ""


class Target(_Strict):
    """What it is about: a thing, or by a selector a part of it."""

    type: Literal["SpecificResource"] | None = None
    source: Iri
    selector: (
        Annotated[FragmentSelector | TextQuoteSelector, Field(discriminator="type")] | None
    ) = None


class TextualBody(_Strict):
    """What was said. Markup in it is text like any other."""

    type: Literal["TextualBody"]
    value: SomeText
    format: Word | None = None
    language: Word | None = None
    purpose: Literal["commenting", "replying"] | None = None


class ChosenBody(_Strict):
    """Which thing was chosen, of those that a question put side by side."""

    type: Literal["SpecificResource"]
    source: Iri
    purpose: Literal["classifying"]


Body = Annotated[TextualBody | ChosenBody, Field(discriminator="type")]


def _as_target(given: object) -> object:
    return {"source": given} if isinstance(given, str) else given


def _as_list(given: object) -> object:
    return given if isinstance(given, list) else [given]


class Annotation(_Strict):
    """A comment, a reply to one, or an answer to a question."""

    context: Literal["http://www.w3.org/ns/anno.jsonld"] | None = Field(None, alias="@context")
    id: Iri
    type: Literal["Annotation"]
    motivation: Literal["commenting", "replying", "assessing"]
    creator: Agent = Agent()
    created: Moment | None = None
    modified: Moment | None = None
    body: Annotated[list[Body], BeforeValidator(_as_list), Field(max_length=2)]
    target: Annotated[Target, BeforeValidator(_as_target)]
    status: Literal["open", "settled"] = Field("open", alias="schema:creativeWorkStatus")
    outcome: Text = Field("", alias="rdfs:comment")

    @model_validator(mode="after")
    def _says_one_thing(self) -> Annotation:
        texts = [one for one in self.body if isinstance(one, TextualBody)]
        if self.motivation != "assessing":
            if len(texts) != 1 or self.chosen:
                raise InputError("its “body” is not one text")
            return self
        if len(self.body) - len(texts) != 1 or self.target.selector:
            raise InputError("it does not say which one thing was chosen")
        if self.created is None:
            raise InputError("“created” is missing, so that nobody can tell the newest answer")
        return self

    @property
    def text(self) -> str:
        """What was said; in an answer why, if that was said."""
        return next((one.value for one in self.body if isinstance(one, TextualBody)), "")

    @property
    def chosen(self) -> str:
        """The IRI of what was chosen; empty where nothing was to be."""
        return next((one.source for one in self.body if isinstance(one, ChosenBody)), "")


class Labelled(_Strict):
    """A thing as it was when the copy was made that was commented on."""

    id: Iri
    label: Line = ""
    type: Word | None = None
    modified: Moment | None = None


class AnnotationPage(_Strict):
    """All of a file, 5.2."""

    context: str = Field(alias="@context")
    id: Iri
    type: Literal["AnnotationPage"]
    part_of: Annotated[Labelled, BeforeValidator(lambda given: _as_labelled(given))] | None = Field(
        None, alias="partOf"
    )
    label: Line = ""
    generator: Agent | None = None
    generated: Moment | None = None
    references: Annotated[list[Labelled], Field(max_length=MOST)] = Field(
        [], alias="dcterms:references"
    )
    items: Annotated[list[Annotation], Field(max_length=MOST)]

    @model_validator(mode="before")
    @classmethod
    def _has_the_context(cls, given: Any) -> Any:
        if not isinstance(given, dict) or "@context" not in given:
            raise InputError("it is JSON, but no JSON-LD: it has no @context")
        context = given["@context"]
        if isinstance(context, list) and len(context) == 1:
            context = context[0]
        if context != CONTEXT:
            raise InputError(f"its @context is not {CONTEXT} alone")
        return {**given, "@context": context}


def _as_labelled(given: object) -> object:
    return {"id": given} if isinstance(given, str) else given


def read_page(data: bytes) -> AnnotationPage:
    """Read a file. Raises TooLarge above 1 MB or 1,000 comments, else InputError in words."""
    if data[:100].lstrip().startswith(b"<"):
        raise InputError(
            "This is a page, as the one that you send out. What comes back from those who "
            "commented ends in .jsonld; choose that. Nothing was taken in."
        )
    if len(data) > MAX_BYTES:
        raise TooLarge(
            f"A file of comments may have {MAX_BYTES // 2**20} MB; this one has "
            f"{len(data) / 2**20:.1f} MB. Nothing was taken in."
        )
    try:
        return AnnotationPage.model_validate_json(data.removeprefix(b"\xef\xbb\xbf"))
    except ValidationError as exc:
        raise _fault(exc) from exc


def _fault(error: ValidationError) -> InputError:
    first = error.errors()[0]
    where = [step for step in first["loc"] if isinstance(step, int)][:1]
    of = f"comment {where[0] + 1} of the file: " if where and first["loc"][0] == "items" else ""
    if first["type"] == "too_long" and of == "":
        return TooLarge(f"A file may bring {MOST:,} comments at a time. Nothing was taken in.")
    said = f"This file of comments cannot be used: {of}{_in_words(first)}. Nothing was taken in."
    return InputError(said)


def _in_words(first: Any) -> str:
    names = [step for step in first["loc"] if isinstance(step, str)]
    name = f"“{names[-1]}”" if names else "it"
    context = first.get("ctx", {})
    match first["type"]:
        case "json_invalid":
            return "it is not JSON"
        case "missing":
            return f"{name} is missing"
        case "extra_forbidden":
            return f"{name} is not something such a file holds"
        case "string_too_long":
            return f"{name} has more than {context['max_length']:,} characters"
        case "string_too_short":
            return f"{name} is empty"
        case "timezone_aware":
            return f"{name} does not say of which time zone it is"
        case "value_error" if isinstance(context["error"], InputError):
            return str(context["error"]).rstrip(".")
        case _:
            return f"{name} is not as the Web Annotation model has it"
