"""The OpenAPI document: as FastAPI writes it, but with the errors that are really answered."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI
from fastapi.routing import APIRoute

from brief.api.lock import OPEN_BELOW
from brief.api.problems import Problem, responses


def operation_id(route: APIRoute) -> str:
    """A short name for each operation, such as `parts_thread`."""
    return "_".join([*map(str, route.tags), route.name])


class DescribedFastAPI(FastAPI):
    """FastAPI whose document describes errors as RFC 9457 problems, and no others."""

    def openapi(self) -> dict[str, Any]:
        """The OpenAPI document; made once."""
        if self.openapi_schema is None:
            document = super().openapi()
            schemas = document["components"]["schemas"]
            for name in ("HTTPValidationError", "ValidationError"):
                schemas.pop(name, None)
            for path, operations in document["paths"].items():
                for operation in operations.values():
                    _put_right(operation)
                    if not path.startswith(OPEN_BELOW):
                        _say_what_the_lock_answers(operation)
            described = Problem.model_json_schema(ref_template="#/components/schemas/{model}")
            schemas |= described.pop("$defs")
            schemas["Problem"] = described
        return super().openapi()


def _put_right(operation: dict[str, Any]) -> None:
    # FastAPI describes its own 422 wherever a route has a parameter; none is answered.
    answers = operation["responses"]
    if "application/json" in answers.get("422", {}).get("content", {}):
        del answers["422"]
    for parameter in operation.get("parameters", ()):
        if parameter["name"] == "if-match":
            # It is read as if it could be left out, so that a 428 can say that it cannot.
            parameter["required"] = True
            parameter["schema"] = {"type": "string", "examples": ['"3"', "*"]}


def _say_what_the_lock_answers(operation: dict[str, Any]) -> None:
    is_upload = "multipart/form-data" in operation.get("requestBody", {}).get("content", {})
    by_lock = responses(401, 429) if is_upload else responses(401)
    operation["responses"] |= {str(status): said for status, said in by_lock.items()}
