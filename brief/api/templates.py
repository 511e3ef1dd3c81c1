"""The templates of the pages, filled in."""

from __future__ import annotations

import operator
from collections.abc import Mapping
from dataclasses import fields
from pathlib import Path
from typing import TYPE_CHECKING

from fastapi import Request
from fastapi.responses import HTMLResponse, Response
from jinja2 import Environment, FileSystemLoader, StrictUndefined

import brief
from brief.api.bundles import script_bundle, style_bundle, turning_bundle
from brief.api.house import HERE, only_you
from brief.api.lock import own_address
from brief.api.problems import Problem
from brief.english import LANGUAGE
from brief.photo.files.formats import ACCEPTED, READABLE
from brief.services.common.formatting import FILTERS

if TYPE_CHECKING:
    from _typeshed import DataclassInstance


# What a page that could not be shown is headed; by HTTP's own words nobody would know what to do.
HEADINGS = {
    401: "Sign in first",
    404: "This is not here",
    413: "That is too large",
    429: "Please wait a little",
    500: "Something went wrong",
}


class Pages:
    """Templates filled in. All text is escaped; a name that a template misspells is an error."""

    def __init__(self, templates: Path, *, locked: bool) -> None:
        self._environment = Environment(
            loader=FileSystemLoader(templates),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self._environment.filters.update(FILTERS)
        self._environment.tests["contains"] = operator.contains
        self._environment.globals["version"] = brief.__version__
        self._environment.globals["language"] = LANGUAGE
        self._environment.globals["readable"] = READABLE
        self._environment.globals["accepted"] = ACCEPTED
        self._environment.globals["styles"] = style_bundle
        self._environment.globals["scripts"] = script_bundle
        self._environment.globals["turning"] = turning_bundle
        self._environment.globals["locked"] = locked  # whether there is anything to sign out of
        self._environment.globals["visit"] = HERE.get  # who is signed in, where several makers are
        self._environment.globals["only_you"] = only_you

    def text(self, template: str, *filled: DataclassInstance, **more: object) -> str:
        """A template filled with the fields of `filled`, and with `more`, by their names.

        Raises TypeError where two of them have the same name: one would hide the other.
        """
        context = dict(more)
        for one in filled:
            for field in fields(one):
                if field.name in context:
                    raise TypeError(f"{template} is given two things called {field.name}")
                context[field.name] = getattr(one, field.name)
        return self._environment.get_template(template).render(context)

    def show(
        self, template: str, *filled: DataclassInstance, status: int = 200, **more: object
    ) -> Response:
        """A template filled in, as an answer that no browser keeps."""
        return HTMLResponse(
            self.text(template, *filled, **more),
            status_code=status,
            headers={"Cache-Control": "no-store"},
        )

    def problem(
        self, body: Problem, headers: Mapping[str, str] | None, *, back: str = ""
    ) -> Response:
        """A problem in words. back : the page that led here, "" if none is known."""
        # Whoever comes by a link gets nothing that leads into the house.
        outside = body.instance.startswith("/s/")
        template = "guest_problem.html" if outside else "problem.html"
        heading = HEADINGS.get(body.status, "That did not work")
        back = back and own_address(back)
        shown = self.show(template, status=body.status, problem=body, heading=heading, back=back)
        shown.headers.update(headers or {})
        return shown


def pages_of(request: Request) -> Pages:
    """The pages of the application that a request came to."""
    pages: Pages = request.app.state.pages
    return pages
