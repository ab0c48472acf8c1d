"""One call into the core, as JSON text in and JSON text out; runs under either Python.

``{"module", "function", "args"}`` gives ``{"value"}`` or ``{"refused": field}``. An argument that
is a named tuple is written ``["Refraction", [...]]`` with the name the module knows it by.
"""

import json

from webapp.core.errors import BadInput


def call(text: str) -> str:
    """Answer one request."""
    request = json.loads(text)
    module = __import__("webapp.core." + request["module"])
    for name in ("core." + request["module"]).split("."):
        module = getattr(module, name)
    function = getattr(module, request["function"])
    try:
        value = function(*[made(module, item) for item in request["args"]])
    except BadInput as refusal:
        return json.dumps({"refused": refusal.field})
    return json.dumps({"value": plain(value)})


def made(module: object, item: object) -> object:
    """Return an argument with its named tuples made."""
    if not isinstance(item, list):
        return item
    if len(item) == 2 and isinstance(item[0], str) and isinstance(item[1], list):
        return getattr(module, item[0])(*[made(module, part) for part in item[1]])
    return [made(module, part) for part in item]


def plain(value: object) -> object:
    """Return a result with its named tuples as lists, which the other json cannot write."""
    if isinstance(value, (list, tuple)):
        return [plain(part) for part in value]
    if isinstance(value, dict):
        return {name: plain(part) for name, part in value.items()}
    return value
