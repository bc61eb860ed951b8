"""Lists that tell only the fields somebody asks for: ``?fields=id,tag``."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from config.api.problems import InvalidError, parameter_fault


class SparseListMixin:
    """For a list view: hands what ``fields`` asks for to its serializer."""

    sparse = True

    def get_serializer_context(self) -> dict[str, Any]:
        context: dict[str, Any] = super().get_serializer_context()  # type: ignore[misc]
        request = context["request"]
        asked = request.query_params.get("fields") if request and request.method == "GET" else None
        return context if asked is None else {**context, "fields": asked.split(",")}


class SparseMixin:
    """For a serializer: leaves out what was not asked for."""

    def get_fields(self) -> dict[str, Any]:
        fields: dict[str, Any] = super().get_fields()  # type: ignore[misc]
        asked = self.context.get("fields")  # type: ignore[attr-defined]
        if asked is None:
            return fields
        if strange := sorted(set(asked) - set(fields)):
            problem, remedy = "not all of these are told here", f"known here: {', '.join(fields)}"
            raise InvalidError([parameter_fault("fields", problem, remedy, ",".join(strange))])
        return {name: field for name, field in fields.items() if name in asked}


def loosen_sparse_lists(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Of what a list with ``fields`` tells, the schema requires nothing."""
    shapes = result.get("components", {}).get("schemas", {})
    for path in result["paths"].values():
        asked = path.get("get", {}).get("parameters", [])
        if not any(parameter["name"] == "fields" for parameter in asked):
            continue
        page = path["get"]["responses"]["200"]["content"]["application/json"]["schema"]["$ref"]
        rows = shapes[page.rpartition("/")[2]]["properties"]["results"]
        name = rows["items"]["$ref"].rpartition("/")[2]
        shapes[f"Some{name}"] = {k: v for k, v in deepcopy(shapes[name]).items() if k != "required"}
        rows["items"] = {"$ref": f"#/components/schemas/Some{name}"}
    return result
