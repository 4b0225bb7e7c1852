"""Files written whole: what fails leaves the old file and nothing else; a PDF that cannot be made says why."""

import builtins
import os
import sys

import pytest

from heatcalc.errors import InputError, NoAnswer
from heatcalc.files import copy_whole, write_whole
from heatcalc.render.as_pdf import pdf


def test_a_file_is_written_in_a_new_folder_with_usual_rights(tmp_path):
    made = write_whole(tmp_path / "a" / "b.txt", "é")
    assert made.read_bytes() == "é".encode() and made.stat().st_mode & 0o777 == 0o644


@pytest.mark.parametrize("when", ["chmod", "replace"])
def test_a_failure_at_the_end_leaves_the_old_file(tmp_path, monkeypatch, when):
    (tmp_path / "x").write_text("old")

    def fails(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, when, fails)
    with pytest.raises(NoAnswer, match="cannot write x: No space left"):
        write_whole(tmp_path / "x", "new")
    assert {p.name: p.read_text() for p in tmp_path.iterdir()} == {"x": "old"}


def test_an_interrupt_leaves_the_old_file(tmp_path, monkeypatch):
    (tmp_path / "x").write_text("old")

    def stopped(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", stopped)
    with pytest.raises(KeyboardInterrupt):
        write_whole(tmp_path / "x", "new")
    assert {p.name: p.read_text() for p in tmp_path.iterdir()} == {"x": "old"}


@pytest.mark.parametrize("name", ["a\x1b[2J", "a\nb", "a\u202eb", "\ud800"])
def test_a_name_no_terminal_prints_is_refused(tmp_path, name):
    for write in (lambda path: write_whole(path, "x"), lambda path: copy_whole(tmp_path, path)):
        with pytest.raises(InputError, match="cannot be printed"):
            write(tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_is_copied_whole_and_never_over_another(tmp_path):
    (tmp_path / "from").mkdir()
    (tmp_path / "from" / "x").write_text("x")
    copy_whole(tmp_path / "from", tmp_path / "deep" / "to")
    assert (tmp_path / "deep" / "to" / "x").read_text() == "x"
    (tmp_path / "from" / "x").write_text("y")
    copy_whole(tmp_path / "from", tmp_path / "deep" / "to")
    assert (tmp_path / "deep" / "to" / "x").read_text() == "x" and len(list((tmp_path / "deep").iterdir())) == 1


def test_a_pdf_without_its_extra_says_what_to_install(monkeypatch):
    plain = builtins.__import__

    def without(name, *words):
        if name.startswith("weasyprint"):
            raise ImportError(name)
        return plain(name, *words)

    for name in [n for n in sys.modules if n.startswith("weasyprint")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(NoAnswer, match=r'pip install "heatcalc\[papers\]"'):
        pdf("<p>x</p>")


@pytest.mark.optional
def test_a_pdf_fetches_nothing_from_disk_or_network(tmp_path):
    try:
        import weasyprint  # noqa: F401
    except (ImportError, OSError):
        pytest.skip("WeasyPrint or its Pango library is not installed")
    (tmp_path / "secret.txt").write_text("secret")
    (tmp_path / "style.css").write_text("body { font-size: 90pt }")
    page = "<p>x</p>"
    links = (
        f'<link rel=stylesheet href="file://{tmp_path}/style.css"><img src="http://127.0.0.1:9/x.png"><a rel=attachment '
        f'href="file://{tmp_path}/secret.txt">a</a><img src="file://{tmp_path}/secret.txt">'
    )
    made = pdf(links + page)
    assert made.startswith(b"%PDF") and b"EmbeddedFile" not in made
