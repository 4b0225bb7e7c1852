"""The command line: one command for each question a person asks.  Everything heavy is imported on demand."""

from __future__ import annotations

import argparse
import gc
import os
import sys
from contextlib import suppress
from importlib import import_module
from pathlib import Path

from heatcalc import __version__
from heatcalc.errors import LONGEST_LINE, InputError, NoAnswer, nearest, plain

FOLDER = Path(__file__).parent / "commands"
LOOKS = 100_000  # new objects between two looks for circular garbage: a figure or PDF makes millions, hardly one of them garbage
FIRST = ("size", "new", "place", "loads")  # what a newcomer asks, in that order; the others by name


def _questions() -> dict[str, str]:
    """What each file of `commands/` answers, in the first line of its text; `common.py` is theirs together."""
    files = {f.stem: f for f in sorted(FOLDER.glob("*.py")) if f.stem not in ("__init__", "common")}
    ordered = {name: files.pop(name) for name in FIRST} | files
    return {name: _first_line(file) for name, file in ordered.items()}


def _first_line(file: Path) -> str:
    with file.open(encoding="utf-8") as text:
        return text.readline().strip().strip('"').removesuffix(".")


COMMANDS = _questions()


def main(argv: list[str] | None = None) -> int:
    """Run one command; return 0, 1 (no answer, says why) or 2 (bad input, one line)."""
    words = sys.argv[1:] if argv is None else argv
    gc.set_threshold(LOOKS)
    with suppress(AttributeError, ValueError):  # a name the terminal cannot show is shown as codes
        sys.stdout.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    try:
        code = _dispatch(words)
        sys.stdout.flush()
        return code
    except InputError as problem:
        print(f"heatcalc: {problem}", file=sys.stderr)
        return 2
    except NoAnswer as problem:
        print(f"heatcalc: {plain(' '.join(str(problem).split()))[:LONGEST_LINE]}", file=sys.stderr)
        return 1
    except BrokenPipeError:
        _say_no_more()
        return 0
    except OSError as problem:
        print(f"heatcalc: {_of_file(problem)}{problem.strerror or problem}", file=sys.stderr)
        _say_no_more()
        return 1
    except KeyboardInterrupt:
        print("heatcalc: stopped; files already written are whole", file=sys.stderr)
        return 1


def _of_file(problem: OSError) -> str:
    name = str(problem.filename)[-60:] if problem.filename else "output"
    return plain(name) + ": "


def _say_no_more() -> None:
    """What stays unwritten goes nowhere: the end of the program must not try it again."""
    with suppress(OSError, ValueError, AttributeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _dispatch(words: list[str]) -> int:
    if not words or words[0] in ("-h", "--help"):
        print(overview())
        return 0
    if words[0] == "--version":
        print(f"heatcalc {__version__}")
        return 0
    name = words[0]
    if name not in COMMANDS:
        raise InputError("command", name, "not a heatcalc command", nearest(name, list(COMMANDS)) or "see heatcalc --help")
    command = import_module(f"heatcalc.commands.{name}")
    parser = _Parser(
        prog=f"heatcalc {name}",
        description=COMMANDS[name],
        epilog=(command.__doc__ or "").partition("\n")[2].strip("\n").replace("\nheatcalc ", "\n  heatcalc "),
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    command.add_arguments(parser)
    return int(command.run(parser.parse_intermixed_args(words[1:])) or 0)


def overview() -> str:
    """The text of `heatcalc --help`."""
    width = max(map(len, COMMANDS))
    lines = [f"  {name:<{width}}  {text}" for name, text in COMMANDS.items()]
    return "\n".join(
        [
            "usage: heatcalc COMMAND ... [--help]",
            "",
            *lines,
            "",
            "A bare `heatcalc size` runs the demo house. Results are for information: local codes,",
            "the unit's manual and licensed practice decide.",
        ]
    )


class _Once(argparse.Action):
    """An option with one value: given twice it is refused, not overwritten."""

    def __call__(self, parser, namespace, values, option_string=None):
        given = vars(namespace).setdefault("_given", set())
        if option_string and self.dest in given:
            raise InputError(option_string, None, "is given twice", "say it once")
        given |= {self.dest} if option_string else set()
        setattr(namespace, self.dest, values)


class _Parser(argparse.ArgumentParser):
    def __init__(self, *words, **named):
        super().__init__(*words, **named)
        for name in (None, "store"):
            self.register("action", name, _Once)

    def error(self, message: str):  # noqa: D102 - argparse's own hook
        raise InputError("command line", None, message, f"see {self.prog} --help")


if __name__ == "__main__":
    sys.exit(main())
