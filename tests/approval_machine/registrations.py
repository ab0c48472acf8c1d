"""The same person registered a second time, and what the desk says of it (I17)."""

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from tests.approval_machine import oracle
from tests.approval_machine.base import Base
from tests.approval_machine.reached import REACHED
from tests.approval_machine.world import PERSON, actor, payloads
from tests.hospital import person_body
from webapp.demo_people import PASSPHRASE
from webapp.flow import duplicates
from webapp.records.envelope import open_envelope, seal
from webapp.store import journal

TWIN = "0193a5c0-0000-7000-8000-00000000000b"


class Registrations(Base):
    """A camp that did not find somebody, and the desk that looks at both."""

    def register_again(self) -> None:
        """Somebody of the same name, age and telephone is registered."""
        phone = self.phones["second_camp"]
        body = person_body(camp_code="SP-015")
        payload = phone.payload("person.registered", None, body, person=TWIN)
        envelope = seal(payload, phone.key)
        # Handed in at once: what this phone holds of the first person stays apart from it.
        (receipt,) = phone.push([envelope])
        assert receipt.result == "stored"
        phone.seq, phone.prev = payload["seq"], open_envelope(envelope).id

    @rule(said=st.sampled_from(("same", "different")))
    @precondition(lambda _self: bool(journal.entries_of_person(TWIN)))
    def compare(self, said: str) -> None:
        """The desk says whether they are one."""
        duplicates.answer(actor("fenn"), PERSON, TWIN, said, PASSPHRASE)
        REACHED["compared"] += 1

    def order(self, pick: int, newest: bool) -> None:
        """Order as ever; nothing is ordered for somebody who may be registered twice."""
        before = set(payloads())
        super().order(pick, newest)
        if not journal.entries_of_person(TWIN):
            return
        records = payloads()
        placed = [one for one in records.keys() - before if records[one]["kind"] == "order.placed"]
        said = {one["body"]["answer"] for one in oracle.live(records, "person.compared").values()}
        assert not placed or said == {"different"}, "I17"
        REACHED["ordered once told apart"] += bool(placed)
        REACHED["not ordered while registered twice"] += not placed and said != {"different"}
