"""What a command can't do, in words for who asked."""


class Refused(Exception):
    """A command can't be done as asked."""

    def told(self) -> str:
        """Return what is said of it."""
        return str(self)
