"""The two ways a question can fail.  Each is one clear line for a person."""

from __future__ import annotations

from difflib import get_close_matches

LONGEST_LINE = 1000
MOST_LETTERS, MOST_KNOWN = 80, 20_000  # comparing words takes the product of their lengths


class InputError(ValueError):
    """What the user said cannot be used (exit code 2).

    The message names the field, the value, what is allowed and, where it can be guessed, what was meant.
    """

    def __init__(self, field: str, value: object, allowed: str, meant: str = "", where: str = ""):
        self.field, self.value, self.allowed, self.meant, self.where = field, value, allowed, meant, where
        super().__init__(str(self))

    def __str__(self) -> str:
        said = "" if self.value is None else f" = {_short(self.value)}"
        line = f"{self.where + ': ' if self.where else ''}{self.field}{said}: {self.allowed}"
        whole = plain(" ".join(f"{line}{'; ' + self.meant if self.meant else ''}".split()))
        return whole if len(whole) <= LONGEST_LINE else f"{whole[: LONGEST_LINE - 150]} ... {whole[-140:]}"


class NoAnswer(RuntimeError):
    """The question is sound but has no answer here (exit code 1); the message says why."""


def nearest(word: str, known: list[str] | tuple[str, ...]) -> str:
    """`did you mean "..."?` for the closest known word, or an empty string."""
    lowered = {k.lower(): k for k in known if len(k) <= MOST_LETTERS}
    close = get_close_matches(str(word)[:MOST_LETTERS].lower(), list(lowered)[:MOST_KNOWN], n=1, cutoff=0.55)
    return f'did you mean "{lowered[close[0]]}"?' if close else ""


def _short(value: object, most: int = 60) -> str:
    text = repr(value) if isinstance(value, str) else "a whole number too long to write" if _too_long(value) else str(value)
    text = plain(text)
    if len(text) <= most:
        return text
    return "'..." + text[-most + 4 :] if "/" in text[1:-most] or "\\" in text[1:-most] else text[: most - 3] + "..."


def _too_long(value: object) -> bool:
    return isinstance(value, int) and value.bit_length() > 10_000


def plain(text: str) -> str:
    """Without characters that could steer a terminal."""
    return "".join(c if c.isprintable() else "?" for c in text)
