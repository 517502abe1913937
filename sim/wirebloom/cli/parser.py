"""What can be typed: verbs, options and their help. Imports nothing heavy, so that ``--help`` answers at once."""

from __future__ import annotations

import argparse
import difflib
import re
import sys
from pathlib import Path
from typing import NoReturn

VERBS = ("new", "head", "check", "deck", "level", "run", "compare", "report", "animate")
SUMMARY = "What a string that plays itself by electromagnetism will do, before it is built."
CODES = """exit codes: 0 done, 2 usage, 3 scenario, 4 rig that cannot exist, 5 file,
  6 the run diverged, 130 interrupted (what was recorded is kept)"""
START_HERE = "start here:\n  wirebloom new my_rig.toml\n  wirebloom check my_rig.toml\n  wirebloom run my_rig.toml"
NEW_EXAMPLE = "example:\n  wirebloom new pier_wall.toml"
RUN_EXAMPLE = """examples:
  wirebloom run first_note
  wirebloom run pier_wall.toml --set 'heads.sense.gap=1.2 mm' --duration "8 s"
  wirebloom run first_note --no-figures --json"""
HEAD_EXAMPLE = """examples:
  wirebloom head first_note
  wirebloom head pier_wall.toml drive --string bench
  wirebloom head pier_wall.toml drive --set 'heads.drive.gap=1.2 mm'"""
CHECK_EXAMPLE = """examples:
  wirebloom check first_note
  wirebloom check pier_wall.toml --set 'heads.sense.gap=1.2 mm' --advice
  wirebloom check first_note --head sense"""
DECK_EXAMPLE = """examples:
  wirebloom deck first_note
  wirebloom deck pier_wall.toml --partials 10 --out drawings"""
LEVEL_EXAMPLE = """examples:
  wirebloom level first_note --clearance "0.4 mm"
  wirebloom level pier_wall.toml --clearance "0.3 mm" --loop main"""
COMPARE_EXAMPLE = """examples:
  wirebloom compare first_note too_far
  wirebloom compare outputs/first_note/take.h5 pier_wall.toml --out outputs/both"""
ANIMATE_EXAMPLE = """examples:
  wirebloom animate outputs/first_note
  wirebloom animate outputs/first_note --at "3 s" --slow 800 --out pier.gif"""
REPORT_EXAMPLE = """examples:
  wirebloom report outputs/first_note
  wirebloom report outputs/first_note outputs/overtones --out both.html
  wirebloom report outputs/first_note/take.h5 --body my_box.wav"""
MOST_PARTIALS = 60  # in a deck: a circuit simulator takes hours for more
SET_HELP = "give any scenario value anew; names address table entries by their name; may be repeated"


class Parser(argparse.ArgumentParser):
    """A parser that says what is wrong in one sentence and where help is."""

    late = ""  # positional that also takes the words behind an option: argparse closes it before the first one

    def parse_known_args(self, args=None, namespace=None):  # type: ignore[no-untyped-def]
        """Hand words that stand behind an option to the positional that waits for them."""
        found, left = super().parse_known_args(args, namespace)
        words = [word for word in left if not word.startswith("-")]
        has = getattr(found, self.late, None) if self.late else None
        if self.late and words == left and isinstance(has, list):
            return _with(found, self.late, [*has, *words]), []
        if self.late and has is None and words == left and len(words) == 1:
            return _with(found, self.late, words[0]), []
        return found, left

    def error(self, message: str) -> NoReturn:
        """Print one sentence on stderr and leave with code 2."""
        sys.stderr.write(f"{self.prog}: {_say_verbs(message)}. See '{self.prog} --help'.\n")
        raise SystemExit(2)


class Version(argparse.Action):
    """Print the version, which is looked up only when somebody asks."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> NoReturn:
        """Print and leave."""
        from importlib.metadata import version  # noqa: PLC0415 - kept out of start-up

        sys.stdout.write(f"wirebloom {version('wirebloom')}\n")
        raise SystemExit(0)


def _with(found: argparse.Namespace, key: str, value: str | list[str]) -> argparse.Namespace:
    setattr(found, key, value)
    return found


def _say_verbs(message: str) -> str:
    """Put argparse's words about an unknown verb into ours, with the nearest verb."""
    found = re.search(r"invalid choice: '([^']*)'", message)
    if not found:
        return message.rstrip(".")
    near = difflib.get_close_matches(found[1], VERBS, n=1)
    hint = f" Perhaps you meant {near[0]}" if near else ""
    return f"the verb must be {', '.join(VERBS[:-1])} or {VERBS[-1]}; instead received '{found[1]}'.{hint}".rstrip(".")


def _common() -> Parser:
    """Options of every verb."""
    common = Parser(add_help=False)
    common.add_argument("--json", action="store_true", help="print one JSON object on stdout instead of the text")
    common.add_argument("--debug", action="store_true", help="show the traceback of an unexpected error")
    return common


def _add_place(verb: argparse.ArgumentParser, folder: str) -> None:
    """Options of verbs that write something about a scenario."""
    verb.add_argument(
        "--out",
        type=Path,
        metavar="DIR",
        help=f"folder for the results (default: {folder}); a later run replaces what wirebloom wrote there, and no other file",
    )
    verb.add_argument("--set", dest="settings", action="append", default=[], metavar="KEY=VALUE", help=SET_HELP)


def _add_making_options(verb: argparse.ArgumentParser, folder: str) -> None:
    """Options of verbs that make something of scenarios."""
    _add_place(verb, folder)
    verb.add_argument("--no-figures", action="store_true", help="leave the pictures out")


def _add_run_options(verb: argparse.ArgumentParser, folder: str) -> None:
    """Options of verbs that run scenarios."""
    _add_making_options(verb, folder)
    verb.add_argument("--duration", metavar="TIME", help='simulated time with its unit, such as "3 s"')
    verb.add_argument("--seed", metavar="N", help="seed of the noise: the same seed gives the same bits")
    add_body(verb)


def add_body(verb: argparse.ArgumentParser) -> None:
    """Option of verbs that write sound."""
    verb.add_argument(
        "--body", type=Path, metavar="FILE",
        help="impulse response of an instrument's body, measured by you (WAV, any rate): the bridge is heard through it as well",
    )  # fmt: skip


def _add_verb(verbs: argparse._SubParsersAction[Parser], name: str, text: str, example: str) -> Parser:
    verb: Parser = verbs.add_parser(
        name, help=text, description=text, epilog=f"{example}\n\n{CODES}", parents=[_common()],
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    return verb


def _add_head(verbs: argparse._SubParsersAction[Parser]) -> None:
    head = _add_verb(verbs, "head", "A sheet for one head: winding, field, force, heat, and where its strings rest.", HEAD_EXAMPLE)
    head.add_argument("scenario", metavar="SCENARIO", help="a scenario file, or the name of a shipped one")
    head.late = "name"
    head.add_argument("name", nargs="?", metavar="NAME", help="name of the head (default: the first one)")
    head.add_argument(
        "--string", dest="strings", action="append", default=[], metavar="NAME",
        help="a string of the scenario to look at over this head; may be repeated (default: those that run over it)",
    )  # fmt: skip
    _add_making_options(head, "outputs/<scenario>_<head>")


def _add_check(verbs: argparse._SubParsersAction[Parser]) -> None:
    check = _add_verb(verbs, "check", "Will it start, on which partial, with how much to spare; without a run.", CHECK_EXAMPLE)
    check.add_argument("scenario", metavar="SCENARIO", help="a scenario file, or the name of a shipped one")
    check.add_argument("--advice", action="store_true", help="look for the least change that mends a failure, and for what each one does")
    check.add_argument("--map", action="store_true", help="draw which partial leads, over capacitor and place of a head (some seconds)")
    check.add_argument("--head", metavar="NAME", help="head that the map moves (default: the first drive head); draws the map")
    _add_making_options(check, "outputs/<scenario>_check")


def _add_deck(verbs: argparse._SubParsersAction[Parser]) -> None:
    deck = _add_verb(verbs, "deck", "Write the rig as a deck for a circuit simulator, and its bill of materials.", DECK_EXAMPLE)
    deck.add_argument("scenario", metavar="SCENARIO", help="a scenario file, or the name of a shipped one")
    _add_place(deck, "outputs/<scenario>_deck")
    deck.add_argument(
        "--partials", type=_partials, default=6, metavar="N",
        help=f"partials of every string in the deck, from 1 to {MOST_PARTIALS} (default: 6)",
    )  # fmt: skip


def _add_level(verbs: argparse._SubParsersAction[Parser]) -> None:
    level = _add_verb(verbs, "level", "Find the resistor in series with the drive coils that keeps a clearance.", LEVEL_EXAMPLE)
    level.add_argument("scenario", metavar="SCENARIO", help="a scenario file, or the name of a shipped one")
    level.add_argument("--clearance", required=True, metavar="LENGTH", help='least gap in motion to keep, over all heads, such as "0.3 mm"')
    level.add_argument("--loop", metavar="NAME", help="loop to set (default: the only one)")
    level.add_argument("--set", dest="settings", action="append", default=[], metavar="KEY=VALUE", help=SET_HELP)
    level.add_argument("--duration", metavar="TIME", help='length of the runs that verify, with its unit, such as "8 s"')
    level.add_argument("--seed", metavar="N", help="seed of the noise")


def _add_animate(verbs: argparse._SubParsersAction[Parser]) -> None:
    animate = _add_verb(verbs, "animate", "Show a string of a take in slow motion, as a GIF or a video.", ANIMATE_EXAMPLE)
    animate.add_argument("take", metavar="TAKE", help="a take (.h5), or the folder that run wrote it into")
    animate.add_argument("--at", metavar="TIME", help='moment of the take, such as "3 s" (default: its last period)')
    animate.add_argument("--string", metavar="NAME", help="string to show (default: the first one)")
    animate.add_argument(
        "--slow", type=_plain_number, metavar="N", help="how many times slower it plays (default: a period takes about two seconds)"
    )  # fmt: skip
    animate.add_argument(
        "--out", type=Path, metavar="FILE",
        help="the file, .gif or, where ffmpeg is installed, .mp4 (default: outputs/<take>_<string>_<time>.gif)",
    )  # fmt: skip


def _plain_number(text: str) -> float:
    if not re.fullmatch(r"\d{1,9}(\.\d{1,9})?", text, re.ASCII):
        raise argparse.ArgumentTypeError(f"must be a plain number such as 400; instead received '{text}'")
    return float(text)


def _add_report(verbs: argparse._SubParsersAction[Parser]) -> None:
    report = _add_verb(verbs, "report", "One page to keep, send and play: verdict, drawings, sound, build sheet.", REPORT_EXAMPLE)
    report.late = "takes"
    report.add_argument("takes", nargs="+", metavar="TAKE", help="takes (.h5), or folders that a run wrote one into")
    report.add_argument(
        "--out", type=Path, metavar="FILE", help="the page; its sounds stand beside it as WAV (default: outputs/<take>_report/report.html)"
    )
    add_body(report)


def _partials(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and 1 <= int(text) <= MOST_PARTIALS):
        raise argparse.ArgumentTypeError(f"must be a whole number from 1 to {MOST_PARTIALS}; instead received '{text}'")
    return int(text)


def build_parser() -> Parser:
    """Return the parser of the whole command line."""
    parser = Parser(
        prog="wirebloom", description=SUMMARY, epilog=f"{START_HERE}\n\n{CODES}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    parser.add_argument("--version", action=Version, nargs=0, help="print the version")
    verbs = parser.add_subparsers(dest="verb", metavar="VERB", parser_class=Parser)
    new = _add_verb(verbs, "new", "Write a commented starter scenario.", NEW_EXAMPLE)
    new.add_argument("path", nargs="?", type=Path, default=Path("my_rig.toml"), metavar="PATH", help="new file (default: my_rig.toml)")
    _add_head(verbs)
    _add_check(verbs)
    _add_deck(verbs)
    _add_level(verbs)
    run = _add_verb(verbs, "run", "Run a scenario: verdict, sound, pictures and data.", RUN_EXAMPLE)
    run.add_argument("scenario", metavar="SCENARIO", help="a scenario file, or the name of a shipped one")
    _add_run_options(run, "outputs/<scenario>")
    run.add_argument("--no-band", action="store_true", help="do not run the weak and the strong end of what is known of the heads")
    compare = _add_verb(verbs, "compare", "Run or load several takes and set them side by side.", COMPARE_EXAMPLE)
    compare.late = "scenarios"
    compare.add_argument("scenarios", nargs="+", metavar="SCENARIO", help="scenario files, names of shipped ones, or takes (.h5)")
    _add_run_options(compare, "outputs/<first>_beside_<second>…")
    _add_report(verbs)
    _add_animate(verbs)
    return parser
