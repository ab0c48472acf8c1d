"""Ways from one start to the next, from the box of a lens to the decision about it in the eye."""

from tests.approval_machine.walks_backup import WalksBackup
from tests.approval_machine.world import EYE


class WalksLens(WalksBackup):
    """A lens is checked, implanted, read, decided about, exchanged."""

    def ask_for_an_exchange(self) -> None:
        """The camp asks that an exchange be weighed."""
        self.ask_to_exchange("camp", "high_vault", 0, other=False)
        self.exchange()

    def turn_it(self) -> None:
        """A surgeon decides to turn the lens, and the desk tries to order."""
        self.decide("two", "turn", 0)
        self.exchange()
        self.order(0, newest=True)

    def correct_the_cornea(self) -> None:
        """A surgeon decides to correct the rest at the cornea, and has not heard who asked."""
        self.decide("one", "corneal", 0, heard=False)
        self.exchange()
        self.order(0, newest=True)

    def leave_it_apart(self) -> None:
        """Two surgeons leave the lens in, and do different things about the rest."""
        self.decide("one", "corneal", 0)
        self.decide("two", "rerotate", 0)
        self.exchange()
        self.order(0, newest=True)

    def take_the_answer_back(self) -> None:
        """The decision that answered is taken back."""
        target = self.phones["two"].fold()["approval"]["id"]
        self.phones["two"].keep("plan.withdrawal", EYE, {"target": target}, reason="On reflection")
        self.exchange()

    def to_the_first_table(self) -> None:
        """The lens is checked in theatre by two people."""
        self.to_the_table("SER9")

    def stop(self) -> None:
        """The lens is stopped in theatre."""
        self.check_in_theatre("two", "SER9", ended=True, label=0)
        self.exchange()

    def box_again(self) -> None:
        """Its box is held against the order once more."""
        self.hold_box("SER9", right=True)

    def implant(self) -> None:
        """The checked lens is implanted, in the place of another one where one is in the eye."""
        self.operate("as checked", "one", "SER9", 0)
        self.exchange()

    def implant_unchecked(self) -> None:
        """The lens is implanted, and nobody says of a check."""
        self.operate("unsaid", "one", "SER9", 0)
        self.exchange()

    def mend(self) -> None:
        """Its record is corrected: first so that it took its own place, then its serial number."""
        for how in ("names itself", "serial"):
            self.undo("one", 0, how)
            self.exchange()

    def withdraw(self) -> None:
        """Its record is withdrawn."""
        self.undo("one", 0, "void")
        self.exchange()

    def remember(self) -> None:
        """The record of an older surgery comes late."""
        self.operate("before it", "two", "SER5", 0)
        self.exchange()

    def find_it_high(self) -> None:
        """The lens lies high."""
        self.see("camp", 5, "2026-11-25T12:00:00.000Z", 1150, other=False)
        self.exchange()

    def decide_to_exchange(self) -> None:
        """A surgeon decides to exchange it."""
        self.decide("one", "exchange", 0)
        self.exchange()

    def decide_on_own(self) -> None:
        """A surgeon decides on what they read themselves."""
        self.see("one", 5, "2026-11-25T12:00:00.000Z", 1150, other=False)
        self.exchange()
        self.decide_to_exchange()

    def watch(self) -> None:
        """A surgeon decides to watch it."""
        self.decide("two", "observe", 0)
        self.exchange()

    def decide_apart(self) -> None:
        """Two surgeons decide differently about the lens."""
        self.decide("one", "exchange", 0)
        self.decide("two", "observe", 0)
        self.exchange()
        self.order(0, newest=True)

    def read_after_decision(self) -> None:
        """It is read again, and the desk tries to order all the same."""
        self.see("camp", 5, "2026-11-25T12:00:00.000Z", 480, other=False)
        self.exchange()
        self.order(0, newest=True)

    def implant_it_again(self) -> None:
        """A lens of the same serial number is said to have come in its own place."""
        self.operate("same serial", "one", "SER9", 0)
        self.exchange()

    def implant_too_early(self) -> None:
        """Another lens is said to have gone in while the first one still lay in the eye."""
        self.operate("no order", "two", "SER8", 0)
        self.exchange()

    def to_the_second_table(self) -> None:
        """The lens of the second cycle is checked in theatre by two people."""
        self.to_the_table("SER8")

    def without_a_lens(self) -> None:
        """The lens is taken out, and none put in its place."""
        self.undo("one", 0, "remove")
        self.exchange()
