"""Devices of the demo: each has a key of its own, and a chain of what it signed."""

from datetime import UTC, datetime, timedelta
from typing import Any

from cryptography.hazmat.primitives.asymmetric import ec

from webapp.flow import devices, receive
from webapp.flow.actor import Actor
from webapp.records.draft import NO_CORRECTION, Correction, Link, Subject, Writer, draft
from webapp.records.envelope import open_envelope, seal, to_base64url
from webapp.records.signing import DeskKey

BATCH = 100


class NotAccepted(Exception):
    """A record of the demo broke a rule; the message names it. The demo itself must be mended."""


def instant(at: datetime) -> str:
    """Return a moment as records write it."""
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"


class Device:
    """One phone of one person: it signs, keeps its chain, and hands records in."""

    def __init__(self, actor: Actor, role: str, label: str, began: datetime) -> None:
        self.actor = actor
        self.role = role
        self.now = began
        self.key = DeskKey(ec.generate_private_key(ec.SECP256R1()))
        self.kid = devices.enrol(actor, to_base64url(self.key.spki), label, at_once=True)
        self._seq = 0
        self._prev: str | None = None
        self._waiting: list[object] = []

    def sign(
        self,
        kind: str,
        subject: Subject,
        body: dict[str, Any],
        correction: Correction = NO_CORRECTION,
    ) -> str:
        """Sign one record half a minute after the last; return its id."""
        self.now += timedelta(seconds=31)
        link = Link(self.kid, self._seq + 1, self._prev)
        writer = Writer(self.actor.user_id, self.role)
        wall = instant(self.now)
        if kind.startswith(("reading.", "followup.")):
            body = {**body, "taken": wall, "typed": {}}
        payload = draft(kind, subject, writer, link, wall, body, correction)
        envelope = seal(payload, self.key)
        self._seq, self._prev = self._seq + 1, open_envelope(envelope).id
        self._waiting.append(envelope)
        return self._prev

    def send(self) -> None:
        """Hand in what waits, as a phone does.

        Raises:
            NotAccepted: the server refused a record.
        """
        while self._waiting:
            batch, self._waiting = self._waiting[:BATCH], self._waiting[BATCH:]
            for receipt in receive.push(self.actor, batch):
                if receipt.reason is not None:
                    raise NotAccepted(f"{receipt.reason.code}: {receipt.reason.message}")
