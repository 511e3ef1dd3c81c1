"""Errors as problem details (RFC 9457); as a page, where a browser asked for one."""

from __future__ import annotations

import logging
import re
from collections.abc import Mapping, Sequence
from http import HTTPStatus
from typing import Any
from urllib.parse import urlsplit

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel, Field
from sqlalchemy.orm.exc import StaleDataError
from starlette.exceptions import HTTPException

from brief.api.watch import REQUEST, route_of
from brief.english import capital
from brief.errors import (
    BriefError,
    Conflict,
    FieldFault,
    InputError,
    NotSignedIn,
    TooMany,
    Unreachable,
    quoted,
)

log = logging.getLogger(__name__)
MEDIA_TYPE = "application/problem+json"
# A 401 has to say how to sign in (RFC 9110, 15.5.2); for what a page sends there is no scheme that
# was registered, and Basic would make browsers ask in a window of their own.
CHALLENGE = 'Cookie realm="The brief", form-action="/api/session"'
# Fields whose own names say too little, without their units.
FIELD_NAMES = {"": "what was sent", "line": "line width", "about": "what it is about"}


class Fault(BaseModel):
    """One field that is at fault, and why."""

    pointer: str = Field(description="JSON Pointer to the field", examples=["/title"])
    detail: str


class Problem(BaseModel):
    """Problem details, RFC 9457."""

    type: str = Field(examples=["/api/docs#problem-bad_input"])
    title: str = Field(examples=["Unprocessable Content"])
    status: int = Field(examples=[422])
    detail: str = Field(examples=["Fill this in."])
    instance: str = Field(examples=["/api/briefs"])
    errors: list[Fault] = Field([], description="One for each field at fault")


def responses(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """The `responses` of a route, so that every error is described."""
    if 507 in statuses:  # what is kept is asked, and may be elsewhere
        statuses = (*statuses, 503)
    meanings = {
        400: "The body cannot be read",
        401: "Not signed in, where the passphrase is asked for; or it was another one",
        403: "Sent by a page of another site",
        404: "There is no such thing, or it is in the offcuts bin",
        409: "Rights are not clear (“errors” says of which references), or nothing has changed",
        412: "It was changed meanwhile; If-Match does not match",
        413: "A file or a picture is too large",
        422: "A field is at fault; “errors” says which and why",
        428: "If-Match is missing",
        429: "Asked too often; Retry-After says when to try again",
        503: "The database or the pictures cannot be reached now",
        507: "The disk is full or cannot be written",
    }
    return {
        status: {
            "description": meanings[status],
            "content": {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}},
        }
        for status in statuses
    }


def problem(
    request: Request,
    *,
    status: int,
    code: str,
    detail: str,
    faults: Sequence[FieldFault] = (),
    headers: Mapping[str, str] | None = None,
) -> Response:
    """An answer that is an error, as problem details or, for a browser, as a page."""
    body = Problem(
        type=f"/api/docs#problem-{code}",
        title=HTTPStatus(status).phrase,
        status=status,
        detail=_sentence(detail),
        instance=request.url.path,
        errors=[Fault(pointer=fault.pointer, detail=_sentence(fault.detail)) for fault in faults],
    )
    if _wants_page(request):
        page: Response = request.app.state.pages.problem(body, headers, back=_came_from(request))
        return page
    return JSONResponse(body.model_dump(), status, headers=headers, media_type=MEDIA_TYPE)


def problem_of(request: Request, exc: BriefError) -> Response:
    """The answer to an error that was raised on purpose."""
    faults = exc.faults if isinstance(exc, InputError) else ()
    if exc.status >= 500:
        log.error("%s: %s", type(exc).__name__, exc)
    headers = None
    if isinstance(exc, TooMany | Unreachable):
        headers = {"Retry-After": str(exc.retry_after_s)}
    elif isinstance(exc, NotSignedIn):
        headers = {"WWW-Authenticate": CHALLENGE}
    return problem(
        request, status=exc.status, code=exc.code, detail=str(exc), faults=faults, headers=headers
    )


def _wants_page(request: Request) -> bool:
    """Whether a browser opened the address itself; in the API a program may name both kinds."""
    accepted = request.headers.get("accept", "")
    return "text/html" in accepted and not (
        request.url.path.startswith("/api/") and "json" in accepted
    )


def _came_from(request: Request) -> str:
    """The page of this server that led here; empty where there is none or none is said."""
    page = urlsplit(request.headers.get("referer", ""))
    if page.netloc != request.headers.get("host") or page.path == request.url.path:
        return ""
    return page.path + (f"?{page.query}" if page.query else "")


def install(app: FastAPI) -> None:
    """Answer every error with a problem."""

    @app.exception_handler(BriefError)
    def _known(request: Request, exc: BriefError) -> Response:
        return problem_of(request, exc)

    @app.exception_handler(StaleDataError)
    def _stale(request: Request, _exc: StaleDataError) -> Response:
        return problem_of(
            request, Conflict("It was changed at the same moment; nothing was saved. Try again.")
        )

    @app.exception_handler(RequestValidationError)
    def _invalid(request: Request, exc: RequestValidationError) -> Response:
        faults = [_fault(error) for error in exc.errors()]
        names = list(dict.fromkeys(_field_name(fault.pointer) for fault in faults))
        detail = faults[0].detail
        if len(names) > 1:
            detail = f"Some fields need another look: {', '.join(names)}."
        return problem(request, status=422, code=InputError.code, detail=detail, faults=faults)

    @app.exception_handler(HTTPException)
    def _http(request: Request, exc: HTTPException) -> Response:
        if isinstance(exc.__cause__, BriefError):  # raised while the body was read
            return problem_of(request, exc.__cause__)
        detail, headers = str(exc.detail), None
        if exc.status_code == 404:
            detail = f"There is nothing at {request.url.path}."
        elif exc.status_code == 405:
            detail = f"{request.method} is not something {request.url.path} can do."
            headers = {"Allow": _allowed(request, (exc.headers or {}).get("Allow", "GET"))}
        elif exc.status_code == 400 and exc.__cause__ is not None:  # not from a broken upload
            detail = "The body cannot be read as JSON in UTF-8."
        return problem(
            request,
            status=exc.status_code,
            code=HTTPStatus(exc.status_code).name.lower(),
            detail=detail,
            headers=headers,
        )

    @app.exception_handler(Exception)
    def _unexpected(request: Request, exc: Exception) -> Response:
        # By its template, since an address may be what opens a link.
        name: str | None = getattr(request.state, REQUEST, None)
        about = {"route": route_of(request.scope), **({"request": name} if name else {})}
        log.exception(
            "unexpected error at %s", about["route"], exc_info=exc, extra={"about": about}
        )
        unsaved = "" if request.method == "GET" else "; nothing was saved"
        return problem(
            request,
            status=500,
            code="unexpected",
            detail=f"Something went wrong inside the program{unsaved}. The window it was started "
            "from shows more.",
            headers={"X-Request-ID": name} if name else None,
        )


def _allowed(request: Request, by_router: str) -> str:
    """All methods of this address; a router names only those of the first route that fits."""
    methods = set(by_router.split(", ")) | {
        method.upper()
        for path, operations in request.app.openapi()["paths"].items()
        if re.fullmatch(re.sub(r"{\w+}", "[^/]+", path), request.url.path)
        for method in operations
    }
    return ", ".join(sorted(methods | {"HEAD"} if "GET" in methods else methods))


def _sentence(text: str) -> str:
    """With a capital and a full stop, where a message begins or ends with a value."""
    return capital(text) + ("" if text.endswith((".", "?", "!")) else ".")


def _field_name(pointer: str) -> str:
    """A field as people call it: "/motif_ids/0" is "motif"."""
    name = re.sub("_(ids?|mm|m|g|deg)$", "", pointer.lstrip("/").partition("/")[0])
    return FIELD_NAMES.get(name) or name.replace("_", " ")


def _fault(error: dict[str, Any]) -> FieldFault:
    steps = error["loc"][1:]  # behind "body", "query", "path" or "header"
    # Of broken JSON the step is a place in the text, not a field.
    where = [] if error["type"] == "json_invalid" else [str(step) for step in steps]
    pointer = "".join("/" + step.replace("~", "~0").replace("/", "~1") for step in where)
    return FieldFault(pointer, _in_words(error))


def _in_words(error: dict[str, Any]) -> str:
    """Pydantic's error types, in a maker's words; its own message for the rest."""
    context, value = error.get("ctx", {}), error.get("input")
    match error["type"]:
        case "too_short" if context["actual_length"]:
            return f"At least {context['min_length']}; got {context['actual_length']}."
        case "missing" | "string_too_short" | "too_short":
            return "Fill this in."
        case "string_type":
            return f"This must be text; got {quoted(value)}."
        case "string_too_long":
            length = len(value) if isinstance(value, str) else 0
            return f"At most {context['max_length']:,} characters; this has {length:,}."
        case "too_long":
            return f"At most {context['max_length']}; got {context['actual_length']}."
        case "string_unicode":
            return "This holds characters that are not text."
        case "extra_forbidden":
            return "There is no such field."
        case "json_invalid":
            return f"This is not JSON: {context.get('error', 'it cannot be read')}."
        case "model_attributes_type":
            return "Send one JSON object, and say Content-Type: application/json."
        case "float_parsing" | "float_type":
            return f"This must be a number; got {quoted(value)}."
        case "int_parsing" | "int_parsing_size" | "int_type" | "int_from_float":
            return f"This must be a whole number; got {quoted(value)}."
        case "bool_parsing" | "bool_type":
            return f"This must be true or false; got {quoted(value)}."
        case "list_type":
            return f"This must be a list; got {quoted(value)}."
        case "finite_number":
            return "This must be a finite number."
        case "greater_than":
            return f"This must be more than {context['gt']:g}; got {quoted(value)}."
        case "greater_than_equal":
            return f"This must be at least {context['ge']:g}; got {quoted(value)}."
        case "less_than_equal":
            return f"This must be at most {context['le']:g}; got {quoted(value)}."
        case (
            "date_from_datetime_inexact"
            | "date_from_datetime_parsing"
            | "date_parsing"
            | "date_type"
        ):
            return f"This must be a day such as 2027-05-14; got {quoted(value)}."
        case "literal_error":
            known = re.sub("'([^']*)'", r"“\1”", context["expected"])
            return f"This must be one of {known}; got {quoted(value)}."
        case "string_pattern_mismatch":
            return f"This must have the form {context['pattern']}; got {quoted(value)}."
        case "value_error" if isinstance(context["error"], InputError):
            said = str(context["error"])
            return said if said.endswith(".") else f"{said}; got {quoted(value)}."
        case "value_error":  # FastAPI's own, of a text where a file should be
            return "This must be a file."
        case _:
            return f"{error['msg']}."
