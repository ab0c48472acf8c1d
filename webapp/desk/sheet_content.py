"""What an order sheet says, once: the printed sheet and the JSON are both made from this.

The structure is ``lampside-order/1``. Numbers keep their recorded integers and the unit in the
name; nothing is calculated here and nothing is typed.
"""

from collections.abc import Mapping
from typing import Any, NamedTuple

from webapp.desk.eyes import eye_of
from webapp.desk.first_eye import first_eye
from webapp.desk.lens_words import lens_sentence, refraction_line
from webapp.flow.order import OrderSheet
from webapp.records.kinds import KINDS

PLANO = {"sphere_cD": 0, "cylinder_cD": 0, "axis_deg": None}
FORMAT = "lampside-order/1"

CAUTIONS = (
    "This sheet supports a licensed surgeon’s decision and replaces none.",
    "The lens maker’s instructions, local regulation and hospital policy come first.",
    "Void if not current: before use, compare the digest with the order on the screen.",
)
DEMO_CAUTION = "Demo data of an invented place. The lens models are not for patients."
NO_CONVENTION = "Not recorded. Ask the supplier before the first order (rule D36)."


class Around(NamedTuple):
    """What the sheet says that the order itself does not hold."""

    received: Mapping[str, str]
    """Record id -> when the base received it."""
    labels: Mapping[str, str]
    """Key id -> what the signing device is called."""
    words: Mapping[str, Mapping[str, Any]]
    """Code of a finding -> the finding with its title and text."""


def qr_text(digest: str, order_id: str) -> str:
    """Return what the printed code holds: the digest and the order it belongs to."""
    return f"{FORMAT}:{digest}:{order_id}"


def content(sheet: OrderSheet, around: Around, copy: int | None) -> dict[str, Any]:
    """Return the sheet's content as plain data.

    Args:
        sheet: the order with everything it is bound to.
        around: what the order itself does not hold.
        copy: number of the printed copy, 1 for the first; None for the machine-readable form.
    """
    shown = sheet.approval["body"]["shown"]
    return {
        "format": FORMAT,
        "order": _order(sheet, copy),
        "person": _person(sheet),
        "eye": _eye(sheet),
        "lens": _lens(sheet),
        "target": _target(shown),
        "planned_change": shown.get("surgical_change"),
        "predicted": None if sheet.predicted is None else {**sheet.predicted, **_plane(shown)},
        "other_lens": _other_lens(sheet),
        "exchange": _exchange(sheet),
        "first_eye": first_eye(shown),
        "calculated_from": dict(shown["inputs"]),
        "records": [_record(payload, around) for payload in _in_order(sheet)],
        "findings": [_finding(sheet, finding) for finding in _worded(sheet, around)],
        "approval": _approval(sheet),
        "calculation": _calculation(sheet),
        "digest": sheet.digest,
        "qr": qr_text(sheet.digest, sheet.order_id),
        "cautions": [*([DEMO_CAUTION] if sheet.catalogue["demo"] else []), *CAUTIONS],
    }


def _exchange(sheet: OrderSheet) -> dict[str, Any] | None:
    """Return the lens that this one takes the place of; None for a first lens."""
    if sheet.takes_out is None:
        return None
    lens = sheet.takes_out["lens"]
    return {
        "takes_out": {**lens, "sentence": lens_sentence(sheet.eye, lens)},
        "serial": sheet.takes_out["serial"],
        "implanted_on": sheet.takes_out["operated"],
    }


def _other_lens(sheet: OrderSheet) -> dict[str, Any] | None:
    """Return the other one of a chosen and a back-up lens; None where one was ordered alone."""
    other = sheet.other
    if other is None:
        return None
    return {
        "which": "back-up" if other.is_backup else "chosen",
        "number": other.number,
        "order": other.order_id,
        "status": "live" if other.live else "cancelled",
        "lens": {**other.lens, "sentence": lens_sentence(sheet.eye, other.lens)},
    }


def _eye(sheet: OrderSheet) -> dict[str, str]:
    eye = eye_of(sheet.eye)
    return {"code": eye.code, "word": eye.word, "trade": eye.trade}


def _target(shown: Mapping[str, Any]) -> dict[str, Any]:
    """Return the refraction aimed at; a plan that names none aims at plano."""
    target = shown.get("target") or PLANO
    is_plano = not target["sphere_cD"] and not target["cylinder_cD"]
    return {**target, "text": "plano" if is_plano else f"{refraction_line(target)} D"}


def _plane(shown: Mapping[str, Any]) -> dict[str, Any]:
    """Return the plane that the predicted refraction is in: that of the refraction measured."""
    refraction = shown["inputs"]["refraction"]
    return {"plane": refraction["plane"], "vertex_um": refraction["vertex_um"]}


def _in_order(sheet: OrderSheet) -> list[Mapping[str, Any]]:
    """Return the evidence in the order of an examination, repeats in the order they were made."""
    kinds = list(KINDS)
    return sorted(
        sheet.evidence,
        key=lambda payload: (kinds.index(payload["kind"]), payload["wall"], payload["id"]),
    )


def _order(sheet: OrderSheet, copy: int | None) -> dict[str, Any]:
    return {
        "id": sheet.order_id,
        "number": sheet.number,
        "which": "back-up" if sheet.other and not sheet.other.is_backup else "chosen",
        "case": f"{sheet.person}.{sheet.eye}",
        "site": sheet.site,
        "site_title": sheet.site_title,
        "placed_by": sheet.ordered_by,
        "placed_at": sheet.ordered_at,
        "supplier_reference": sheet.supplier_reference,
        "status": "live" if sheet.live else "cancelled",
        "cancelled_reason": sheet.cancelled_reason,
        "copy": copy,
    }


def _person(sheet: OrderSheet) -> dict[str, Any]:
    fields = ("name", "birth_date", "birth_year", "camp_code", "sex", "village")
    return {"id": sheet.person, **{name: sheet.person_body[name] for name in fields}}


def _lens(sheet: OrderSheet) -> dict[str, Any]:
    """Return the approved lens with what the catalogue says of its model."""
    models: list[Mapping[str, Any]] = sheet.catalogue["models"]
    model = next(model for model in models if model["model"] == sheet.lens["model"])
    return {
        **sheet.lens,
        "toric": model["toric"],
        "optic_um": model["optic_um"],
        "labelled_power": model["labelled_power"] or NO_CONVENTION,
        "sentence": lens_sentence(sheet.eye, sheet.lens),
    }


def _record(payload: Mapping[str, Any], around: Around) -> dict[str, Any]:
    """Return one record the approval rests on, with who, when and which device signed it."""
    return {
        "id": payload["id"],
        "kind": payload["kind"],
        "eye": payload["eye"],
        "author": payload["author"],
        "author_name": payload["author_name"],
        "role": payload["role"],
        "signed_at": payload["wall"],
        "received_at": around.received.get(payload["id"]),
        "key": payload["key"],
        "signed_on": around.labels.get(payload["key"], ""),
        "body": {name: value for name, value in payload["body"].items() if name != "typed"},
    }


def _worded(sheet: OrderSheet, around: Around) -> list[Mapping[str, Any]]:
    """Return the findings as shown, in the words of the rules where the rules still find them."""
    found: list[Mapping[str, Any]] = []
    for one in sheet.approval["body"]["shown"]["findings"]:
        said = around.words.get(one["code"], {})
        found.append({"title": said.get("title", ""), "text": said.get("text", ""), **one})
    return found


def _finding(sheet: OrderSheet, finding: Mapping[str, Any]) -> dict[str, Any]:
    """Return one finding with when it was acknowledged or why it was overridden."""
    body = sheet.approval["body"]
    seen = {one["code"]: one["at"] for one in body["acknowledged"]}
    reasons = {one["code"]: one["reason"] for one in body["overrides"]}
    return {
        "code": finding["code"],
        "level": finding["level"],
        "title": finding["title"],
        "text": finding["text"],
        "acknowledged_at": seen.get(finding["code"]),
        "override_reason": reasons.get(finding["code"]),
    }


def _approval(sheet: OrderSheet) -> dict[str, Any]:
    return {
        "id": sheet.approval_id,
        "approved_by": sheet.approved_by,
        "signed_at": sheet.approval["wall"],
        "received_at": sheet.approval_received_at,
        "key": sheet.approval["key"],
    }


def _calculation(sheet: OrderSheet) -> dict[str, Any]:
    """Return which calculation, catalogue and limits the approval is bound to."""
    shown = sheet.approval["body"]["shown"]
    return {
        "core": shown["core"],
        "model": shown["model"],
        "as_of": shown["as_of"],
        "catalogue": {"id": shown["catalogue"], "title": sheet.catalogue["title"]},
        "limits": {"id": shown["limits"], "title": sheet.limits["title"]},
        "recomputed_here": sheet.check_text,
    }
