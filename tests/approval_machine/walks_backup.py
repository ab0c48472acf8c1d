"""Ways from one start to the next, with a back-up lens beside the chosen one."""

from tests.approval_machine.walks import Walks
from tests.approval_machine.world import EYE


class WalksBackup(Walks):
    """Two lenses are ordered, and one of them is released."""

    def agree_with_a_backup(self) -> None:
        """A surgeon approves, and names a back-up lens."""
        self.approve("one", other=False, strict=True, backup="offered")
        self.exchange()

    def agree_but_for_the_backup(self) -> None:
        """Two surgeons approve the same lens and name different back-ups."""
        self.approve("one", other=False, strict=True, backup="offered")
        self.approve("two", other=False, strict=True, backup="twice")
        self.exchange()
        self.order(0, newest=True)

    def name_a_backup_of_another_length(self) -> None:
        """A changed phone names a back-up that its plan does not offer."""
        self.approve("one", other=False, strict=True, backup="another length")
        self.exchange()
        self.order(0, newest=True)

    def hold_both_boxes(self) -> None:
        """Both lenses arrive, and both boxes are right."""
        for spare, serial in ((False, "SER9"), (True, "SER8")):
            self.arrive(spare)
            self.hold_box(serial, right=True, spare=spare)
        self.exchange()

    def release_it(self) -> None:
        """A surgeon releases the back-up, though the box of the chosen lens is good."""
        self.release_backup("two", "chosen check", 0)
        self.exchange()

    def release_it_wrongly(self) -> None:
        """Changed phones release it by its own check, and the chosen lens in its place."""
        self.release_backup("two", "the other way round", 0)
        # Kept there: what the base refuses must not release a lens on its own phone either.
        self.release_backup("three", "own check", 0)

    def cancel_it_alone(self) -> None:
        """The supplier takes the back-up back."""
        self.cancel_backup("Taken back")
        self.exchange()

    def take_its_release_back(self) -> None:
        """That surgeon takes the release back."""
        release = next(
            name for name, one in self.phones["two"].known().items()
            if one["kind"] == "backup.released"
        )  # fmt: skip
        body = {"target": release}
        self.phones["two"].keep("plan.withdrawal", EYE, body, reason="It is not scratched")
        self.exchange()

    def backup_to_the_table(self) -> None:
        """The back-up is checked in theatre by two people and implanted."""
        self.check_by_two("SER8")
        self.operate("as checked", "one", "SER8", 0)
        self.exchange()

    def implant_the_other(self) -> None:
        """The lens is implanted that no surgeon released."""
        self.operate("the other one", "one", "SER8", 0)
        self.exchange()
