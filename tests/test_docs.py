"""Guides and README as a reader works through them: every command runs, every kept output line is what comes out now.

A ```sh block holds commands; an ```output block after it holds some lines of what they print.  `python tests/test_docs.py`
brings the kept lines up to date (each is found again by its words).
"""

import re
import shlex
import shutil
from pathlib import Path

import pytest

from heatcalc.cli import COMMANDS, main

ROOT = Path(__file__).resolve().parents[1]
PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md"))]
WAITS = {"lab", "page"}  # they open a window or a server and stay
SHOWN = {p.stem for p in (ROOT / "workbooks").glob("*.ipynb")}  # run as they stand under nbval; `run NAME` alone is the same run
BLOCK = re.compile(r"```(sh|output)\n(.*?)```", re.DOTALL)
OWN_FILES = {
    "my-assemblies.toml": "workbooks/assemblies/walls.toml",
    "my-unit.csv": "workbooks/units/example_submittal.csv",
    "my-house.toml": "workbooks/houses/starter.toml",
    "my-prices.toml": "workbooks/prices.toml",
    "orders.csv": "workbooks/orders_invented.csv",
    "fleet.csv": "workbooks/fleet_invented.csv",
    "meter.csv": "workbooks/logs/owner_log_invented.csv",
}


def blocks(page: Path) -> list[tuple[list[list[str]], list[str]]]:
    """(commands, kept lines) of every sh block of a page."""
    found: list[tuple[list[list[str]], list[str]]] = []
    for kind, text in BLOCK.findall(page.read_text(encoding="utf-8")):
        if kind == "sh":
            said = [shlex.split(line, comments=True) for line in text.splitlines() if line.startswith("heatcalc ")]
            found.append(([words[1:] for words in said if words[1] not in WAITS and not _as_it_stands(words[1:])], []))
        elif found:
            found[-1][1].extend(line for line in text.splitlines() if line.strip() not in ("", "..."))
    return found


def _as_it_stands(words: list[str]) -> bool:
    return len(words) == 2 and words[0] == "run" and words[1] in SHOWN


def plain(line: str) -> str:
    return " ".join(line.split())


def typed(words: list[str]) -> int:
    """Exit code of a command; a starter file may be written anew."""
    return main([*words, "--force"] if words[0] == "new" else list(words))


def run_block(commands: list[list[str]], capsys) -> str:
    printed = ""
    for words in commands:
        capsys.readouterr()
        code = typed(words)
        out, err = capsys.readouterr()
        assert code == 0, f"heatcalc {shlex.join(words)}: exit {code}: {err}"
        printed += out
    return printed


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A folder with what the guides call the reader's own files."""
    for name, source in OWN_FILES.items():
        shutil.copy(ROOT / source, tmp_path / name)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.stem)
def test_a_reader_can_follow_the_page(page, folder, capsys):
    missing = []
    for commands, kept in blocks(page):
        printed = {plain(line) for line in run_block(commands, capsys).splitlines()}
        missing += [line for line in kept if plain(line) not in printed]
    assert not missing, "kept lines that no command prints now; run: python tests/test_docs.py\n" + "\n".join(missing)


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.stem)
def test_commands_and_links_exist(page):
    text = page.read_text(encoding="utf-8")
    for name in re.findall(r"`heatcalc ([a-z]+)", text):
        assert name in COMMANDS, f"{page.name} names heatcalc {name}"
    for link in re.findall(r"\]\(([^)#]+)[^)]*\)", text):
        assert "://" in link or (page.parent / link).exists(), f"{page.name} links to {link}"


def test_the_method_page_names_every_file_of_physics():
    """One section a file, or one line in the list of machinery."""
    text = (ROOT / "docs" / "method.md").read_text(encoding="utf-8")
    files = {f.stem for f in (ROOT / "heatcalc" / "physics").rglob("*.py")} - {"__init__"}
    named = set(re.findall(r"`([a-z0-9_]+)\.py`", text))
    assert files <= named, f"docs/method.md says nothing of {', '.join(sorted(files - named))}"
    assert named <= files, f"docs/method.md names files that are gone: {', '.join(sorted(named - files))}"


def refresh(page: Path) -> None:
    """Bring the kept lines of a page up to date: the printed line with the same words, numbers aside."""
    import contextlib
    import io

    text = page.read_text(encoding="utf-8")
    for commands, kept in blocks(page):
        out = io.StringIO()
        with contextlib.redirect_stdout(out):
            for words in commands:
                typed(words)
        by_words = {_words(line): line for line in reversed(out.getvalue().splitlines())}
        for line in kept:
            text = text.replace(f"\n{line}\n", f"\n{by_words.get(_words(line), line)}\n")
    page.write_text(text, encoding="utf-8")


def _words(line: str) -> str:
    return plain(re.sub(r"[-+]?\d[\d,.]*", "#", line))


if __name__ == "__main__":
    import os
    import tempfile

    with tempfile.TemporaryDirectory() as name:
        for own, source in OWN_FILES.items():
            shutil.copy(ROOT / source, Path(name) / own)
        os.chdir(name)
        for each in PAGES:
            refresh(each)
