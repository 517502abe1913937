"""The failures a user can meet, one class a kind, each with the exit code of the command line.

Every message is one sentence of the form ``<key> must be <what>; instead received <value>.``
"""


class WirebloomError(Exception):
    """Base of all errors that are the answer to a user, not a fault of the program.

    Attributes
    ----------
    exit_code : int
        What the command line leaves with.
    """

    exit_code: int = 1


class ScenarioError(WirebloomError):
    """The words of a scenario: a misspelt key, a wrong unit, a value out of range, a name that nothing has."""

    exit_code = 3


class RigError(WirebloomError):
    """A rig that can be read but not built: a string that would break, a head outside the string, parts inside one another."""

    exit_code = 4


class FileError(WirebloomError):
    """A file that cannot be read or written, or is not what it should be: truncated, foreign, of a newer version."""

    exit_code = 5


class DivergedError(WirebloomError):
    """The time loop met a value that is not finite.

    Parameters
    ----------
    sentence : str
        The message.
    time_s : float
        Simulated time, s.
    where : str
        The state that was no longer finite, in words.
    """

    exit_code = 6

    def __init__(self, sentence: str, *, time_s: float, where: str) -> None:
        super().__init__(sentence)
        self.time_s = time_s
        self.where = where
