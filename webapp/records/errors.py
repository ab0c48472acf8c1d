"""The one error of this package: a record, or one value of it, that may not be written."""


class BadRecord(ValueError):
    """A record is refused; ``field`` names what is wrong, ``message`` says it to the person.

    ``field`` is a key of the envelope or of the payload, or a path inside the body without the
    word "body", such as ``sphere_cD`` or ``shown.lens.axis_deg``.
    """

    def __init__(self, field: str, message: str) -> None:
        super().__init__(f"{field}: {message}")
        self.field = field
        self.message = message
