"""What the histories of a run came to, counted, and what each run must have come to."""

from collections import Counter

REACHED: Counter[str] = Counter()
MUST_REACH = (
    "ordered", "conflict", "settled", "ordered after a settlement", "late", "late answered",
    "late kept", "cancelled", "declined", "taken back", "stale", "returned", "refused at the base",
    "forged", "revoked", "revoked as stolen", "refused as revoked", "order refused",
    "lost acknowledgement",
    "sent twice", "out of order", "phones agree", "replaced", "void", "own work approved",
    "settled by a party", "limits changed", "ready for theatre", "checked by two",
    "stopped in theatre", "taken away in theatre", "implanted", "followed", "exchange_considered",
    "implanted as checked", "implanted unchecked", "exchanged", "out of the eye",
    "ordered for an exchange", "decision about a lens stands", "decision about a lens fell",
    "own reading decided on", "late reading of the lens", "an older lens came late",
    "two lenses on a phone", "not cancelled without an answer", "operated", "undone: void",
    "undone: remove", "undone: serial", "undone: names itself", "read with a lens",
    "both lenses ordered", "back-up cancelled alone", "back-up instead of the chosen lens",
    "box of a back-up released", "back-up implanted", "the other of two implanted",
    "neither of two lenses released", "back-up released: the other way round",
    "asked to weigh an exchange", "asked and not answered", "asked and answered",
    "decided: turn", "decided: rerotate", "decided: corneal",
    "compared", "ordered once told apart", "not ordered while registered twice",
)  # fmt: skip
"""What each run must have reached: a machine that never gets there checks nothing."""


def not_reached(reached: Counter[str]) -> list[str]:
    """Return what a run must reach and did not."""
    return [name for name in MUST_REACH if not reached[name]]
