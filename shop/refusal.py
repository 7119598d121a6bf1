"""A deed that cannot be done says why, and what to do next."""


class Refused(Exception):
    """Raised by a deed; `message` is a sentence for the person at the desk, `code` is for the program."""

    def __init__(self, message: str, *, code: str) -> None:
        super().__init__(message)
        self.message = message
        self.code = code
