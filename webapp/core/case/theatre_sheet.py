"""The code on a sheet of paper beside the records: whether what is printed there still holds (H45).

Paper cannot be taken back. So each printed sheet carries what it rests on, and whoever holds it in
theatre scans it and is told. The check of the lens never goes by paper.
"""

ORDER_SHEET, THEATRE_SHEET = "lampside-order/1", "lampside-theatre/1"
GO_BY_SCREEN = " Throw the paper away and go by the screen."


def code_of(order: str, listed: str, label: str) -> str:
    """Return what the code on a sheet for theatre says."""
    return ":".join([THEATRE_SHEET, order, listed, label])


def order_of(code: str) -> str | None:
    """Return the order that the code of a sheet names; None where it is no code of a sheet."""
    pieces = code.strip().split(":")
    if pieces[0] == ORDER_SHEET and len(pieces) == 3:
        return pieces[2]
    if pieces[0] == THEATRE_SHEET and len(pieces) == 4:
        return pieces[1]
    return None


def sheet_json(found: dict[str, object], code: str) -> dict[str, object]:
    """Return whether a sheet holds for an eye as it stands, and a sentence.

    Args:
        found: the eye as the fold says it.
        code: what was scanned off the paper.
    """
    problem = problem_of(found, code)
    if problem is not None:
        return {"current": 0, "text": problem + GO_BY_SCREEN}
    return {"current": 1, "text": "The paper says what the records say."}


def problem_of(found: dict[str, object], code: str) -> str | None:
    """Return why a sheet does not hold; None where it does."""
    order, theatre = order_of(code), found["theatre"]
    if order is None:
        return "This is no code of an order or of a list for theatre."
    if order not in [one["id"] for one in found["orders"]]:  # type: ignore[attr-defined]
        return "This sheet is of another eye or person. Stop and find out whose it is."
    if theatre is None or theatre["order"] != order:  # type: ignore[index]
        backup = found["backup"]
        if backup is not None and order in (backup["chosen"]["id"], backup["order"]["id"]):  # type: ignore[index]
            return "This sheet is of the lens that is not released: of two, the other one is."
        return "This sheet is of an order that does not stand any more."
    pieces = code.strip().split(":")
    if pieces[0] == THEATRE_SHEET:
        return list_problem(theatre, pieces)  # type: ignore[arg-type]
    same = pieces[1] == found["order"]["digest"]  # type: ignore[index]
    return None if same else "What was approved is not what this sheet says."


def list_problem(theatre: dict[str, object], pieces: list[str]) -> str | None:
    """Return why a sheet for theatre does not hold for the order that it names."""
    listed = theatre["listed"]
    if listed is None or listed["id"] != pieces[2]:  # type: ignore[index]
        return "The list was changed since this was printed."
    if theatre["label"] != pieces[3]:
        return "The box was stopped or checked again since this was printed."
    return None
