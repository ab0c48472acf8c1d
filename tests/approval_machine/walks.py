"""Ways from one start to the next, from an eye that is measured to a lens that is ordered."""

from tests.approval_machine.about_lens import AboutLens
from tests.approval_machine.people import WIDTHS_UM
from tests.approval_machine.world import EYE


class Walks(AboutLens):
    """What is decided, ordered, and found out too late."""

    def walk_on(self) -> None:
        """Exchange, send, exchange."""
        self.exchange()
        self.send("camp")
        self.exchange()

    def shuffle(self) -> None:
        """Two readings arrive the wrong way round."""
        for diameter_um in WIDTHS_UM[:2]:
            self.measure("second_camp", diameter_um)
        self.push_out_of_order("second_camp", 1)

    def ask(self) -> None:
        """A surgeon asks the camp."""
        self.say("two", "plan.question")
        self.exchange()

    def lose_and_approve(self) -> None:
        """A lost phone goes on deciding."""
        self.revoke("one")
        self.agree()
        self.order(0, newest=True)

    def steal_the_ones(self) -> None:
        """The first surgeon's phone was in other hands all the while; the desk tries to order."""
        self.revoke("one", stolen=True)
        self.order(0, newest=False)
        self.exchange()

    def steal_the_twos(self) -> None:
        """The second surgeon's phone was."""
        self.revoke("two", stolen=True)
        self.exchange()

    def agree(self) -> None:
        """A surgeon approves."""
        self.approve("one", other=False, strict=True)
        self.exchange()

    def agree_apart(self) -> None:
        """Two surgeons approve different lenses."""
        self.approve("one", other=False, strict=True)
        self.approve("two", other=True, strict=True)
        self.exchange()

    def settle_and_order(self) -> None:
        """A third surgeon settles it."""
        self.settle("three", 0)
        self.exchange()
        self.order(0, newest=True)

    def order_newest(self) -> None:
        """The desk orders what its page shows."""
        self.order(0, newest=True)
        self.exchange()

    def measure_and_try(self) -> None:
        """A reading arrives before the order, and the desk tries all the same."""
        self.measure("camp", 11720)
        self.exchange()
        self.order(0, newest=True)

    def take_back_and_try(self) -> None:
        """An approval is taken back, and the desk tries to order from it."""
        body = {"target": self.phones["one"].fold()["approval"]["id"]}
        self.phones["one"].keep("plan.withdrawal", EYE, body, reason="Second thoughts")
        self.exchange()
        self.order(0, newest=False)

    def register_and_try(self) -> None:
        """The person is registered again, and the desk tries to order all the same."""
        self.register_again()
        self.order(0, newest=True)

    def tell_apart_and_order(self) -> None:
        """The desk says that they are two people, and orders."""
        self.compare("different")
        self.order_newest()

    def measure_late(self) -> None:
        """A reading comes after the order."""
        self.measure("camp", 11720)
        self.exchange()

    def keep_after_late(self) -> None:
        """A surgeon keeps an order against a reading that came after it."""
        self.answer_late("two", "keep")
        self.exchange()
