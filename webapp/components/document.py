"""The list as a CycloneDX 1.6 document."""

import hashlib
import json
from importlib.metadata import distribution
from typing import Any
from uuid import UUID

from webapp.components.component import Component
from webapp.components.python_parts import OWN

SPEC_VERSION = "1.6"


def document(parts: list[Component], direct: list[str]) -> dict[str, Any]:
    """Return the document; the same packages make the same one, so that two can be compared.

    Args:
        parts: every package once.
        direct: package URLs of those that the program itself asks for.

    Source:
        CycloneDX 1.6 (ECMA-424): ``bomFormat`` and ``specVersion`` are required, of a component
        ``type`` and ``name``, of a dependency ``ref``; a licence is a name or one expression.
    """
    version = distribution(OWN).version
    own = {"type": "application", "bom-ref": OWN, "name": OWN, "version": version}
    graph = [(OWN, direct), *((one.url, list(one.needs)) for one in parts)]
    body = {
        "metadata": {"component": own},
        "components": [component_json(one) for one in parts],
        "dependencies": [
            {"ref": ref, "dependsOn": needs} if needs else {"ref": ref} for ref, needs in graph
        ],
    }
    return {
        "bomFormat": "CycloneDX", "specVersion": SPEC_VERSION,
        "serialNumber": f"urn:uuid:{_serial(body)}", "version": 1, **body,
    }  # fmt: skip


def _serial(body: dict[str, Any]) -> UUID:
    """Return a UUID that is made from the content (RFC 9562, version 8)."""
    digest = bytearray(hashlib.sha256(json.dumps(body, sort_keys=True).encode()).digest()[:16])
    digest[6] = 0x80 | digest[6] & 0x0F
    digest[8] = 0x80 | digest[8] & 0x3F
    return UUID(bytes=bytes(digest))


def component_json(one: Component) -> dict[str, Any]:
    """Return one component."""
    said: dict[str, Any] = {
        "type": "library", "bom-ref": one.url, "name": one.name, "version": one.version,
        "scope": one.scope, "purl": one.url,
    }  # fmt: skip
    if one.licence and one.is_expression:
        said["licenses"] = [{"expression": one.licence}]
    elif one.licence:
        said["licenses"] = [{"license": {"name": one.licence}}]
    if one.sha512:
        said["hashes"] = [{"alg": "SHA-512", "content": one.sha512}]
    return said
