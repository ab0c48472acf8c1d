"""How a step says no: a stable code for programs and one sentence for the person."""


class Refused(Exception):
    """The rules do not allow this; nothing was changed.

    Attributes:
        code: stable text such as ``order.not_live``, for programs and tests.
        message: what is wrong, why it matters and what to do, in one or two sentences.
        field: the name of the form field it is about, or an empty text.
    """

    def __init__(self, code: str, message: str, field: str = "") -> None:
        super().__init__(f"{code}: {message}")
        self.code = code
        self.message = message
        self.field = field


class NotFound(Refused):
    """There is no such thing, or not at a site where this person works: the two look the same."""

    def __init__(self, what: str) -> None:
        super().__init__("not_found", f"There is no such {what} at a site where you work.")
