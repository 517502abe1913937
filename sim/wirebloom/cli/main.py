"""Entry of the ``wirebloom`` command: find the verb, call it, turn every failure into one sentence and an exit code."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module

from wirebloom.cli.parser import build_parser
from wirebloom.errors import WirebloomError

USAGE = 2
UNEXPECTED = 1
INTERRUPTED = 130


def _say(sentence: str) -> None:
    with suppress(OSError):
        sys.stderr.write(f"{sentence}\n")


def _explain_unexpected(problem: Exception, debug: bool) -> None:
    """Ask for a report, and show the traceback to those who asked for it."""
    if debug or os.environ.get("WIREBLOOM_DEBUG", "0") not in ("", "0"):
        import traceback  # noqa: PLC0415 - kept out of start-up

        traceback.print_exc()
    what = " ".join(f"{type(problem).__name__}: {problem}".split())
    _say(
        f"wirebloom: this should not have happened ({what}); please report it with the scenario and what "
        "--debug prints, so that it can be mended."
    )


def _hush_stdout() -> None:
    """Point stdout nowhere: the reader of a pipe has gone, and Python's farewell flush would complain."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _be_writable_anywhere() -> None:
    """Let a terminal that cannot show Ω or µ show a question mark instead of failing."""
    for stream in (sys.stdout, sys.stderr):
        with suppress(AttributeError, ValueError):
            stream.reconfigure(errors="replace")  # type: ignore[union-attr]


def _call(verb: str, arguments: object, debug: bool) -> int:
    """Call the verb's module, which is imported only now."""
    try:
        code: int = import_module(f"wirebloom.cli.{verb}").command(arguments)
        sys.stdout.flush()
        return code
    except WirebloomError as problem:
        _say(f"wirebloom {verb}: {problem}")
        return problem.exit_code
    except KeyboardInterrupt:
        _say(f"wirebloom {verb}: interrupted; what was written before that stays.")
        return INTERRUPTED
    except BrokenPipeError:
        _hush_stdout()
        return 0
    except Exception as problem:  # the last gate: nobody who ran a command should meet a traceback
        _explain_unexpected(problem, debug)
        return UNEXPECTED


def main(words: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code.

    Parameters
    ----------
    words : sequence of str, optional
        Arguments without the program's name; those of the process by default.

    Returns
    -------
    int
        0 done, 2 usage, the ``exit_code`` of a :class:`~wirebloom.errors.WirebloomError`, 130 interrupted.

    Examples
    --------
    >>> main(["--version"])  # doctest: +ELLIPSIS
    wirebloom ...
    0
    """
    _be_writable_anywhere()
    parser = build_parser()
    try:
        arguments = parser.parse_args(words)
    except SystemExit as leaving:
        return int(leaving.code or 0)
    if arguments.verb is None:
        parser.print_help(sys.stderr)
        return USAGE
    return _call(arguments.verb, arguments, arguments.debug)


if __name__ == "__main__":
    sys.exit(main())
