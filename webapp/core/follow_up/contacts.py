"""Who tried to bring an operated eye's person back for a visit, and what came of it."""

from webapp.core.case.implants import Implant
from webapp.core.entry import in_display_order
from webapp.core.exam import Exam
from webapp.core.live import of_kind

CONTACT = "recall.contact"


def contacts_json(exam: Exam, implant: Implant) -> list[dict[str, object]]:
    """Return every call for a visit after this surgery, oldest first."""
    found = [
        one
        for one in of_kind(exam.standing.live, CONTACT, exam.this.eye)
        if one.body["implant"] in implant.names
    ]
    return [
        {
            "id": one.id,
            "author": one.author,
            "wall": one.wall,
            "how": one.body["how"],
            "reached": one.body["reached"],
            "text": one.body["text"],
            "comes_on": one.body["comes_on"],
        }
        for one in in_display_order(found)
    ]
