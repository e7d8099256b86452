"""`waterlint sheet` as it is called."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import pytest

from tests.sheet.sheets import FILES, RECIPE
from waterlint.cli.main import main

Tree = Callable[..., Path]

GOLDEN = Path(__file__).resolve().parent.parent / "sheet" / "golden"
ACIDS = RECIPE + (
    "  - {add: gypsum, mash: 1.5 g, sparge: 0.1 g/L}\n"
    "  - {add: lactic-acid, strength: 80 %, sparge: 2 mL}\n"
    "targets: {mash_ph: 5.3 .. 5.7}\n"
)
DAY = ("--as-of", "2026-10-01")


def called(folder: Path, *arguments: str, encoding: str = "utf-8") -> tuple[int, str, str]:
    """The real command: its exit status and what it printed."""
    done = subprocess.run(
        [sys.executable, "-m", "waterlint", "sheet", *arguments],
        cwd=folder,
        env={**os.environ, "PYTHONIOENCODING": encoding},
        capture_output=True,
        timeout=120,
        check=False,
    )
    return done.returncode, done.stdout.decode(encoding), done.stderr.decode(encoding)


@pytest.mark.parametrize(
    ("golden", "arguments", "encoding"),
    [
        ("porter.txt", (), "utf-8"),
        ("porter-2-litres.txt", ("--batch", "2 L"), "utf-8"),
        ("porter-ascii.txt", ("--batch", "10 US gal"), "ascii"),
    ],
)
def test_the_text_is_what_was_looked_at(
    tree: Tree, golden: str, arguments: tuple[str, ...], encoding: str
) -> None:
    folder = tree({**FILES, "a.yaml": ACIDS})
    status, out, err = called(folder, "a.yaml", *DAY, *arguments, encoding=encoding)
    assert (status, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 80
    assert out == (GOLDEN / golden).read_text(encoding="utf-8")
    assert (folder / "a.yaml").read_text() == ACIDS


def test_a_message_of_several_sentences_ends_once(tree: Tree) -> None:
    folder = tree({**FILES, "a.yaml": ACIDS.replace("5.3 .. 5.7", "5.0 .. 5.1")})
    _, out, _ = called(folder, "a.yaml", *DAY)
    told = " ".join(out.split("! Look first: ")[1].split("\n\n")[0].split())
    assert "mash pH is" in told and ". The" in told
    assert " [mash-ph]. " in told and ". [" not in told


class _Page(HTMLParser):
    """What of a page could reach out, and whether its tags are closed."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[str] = []
        self.reaching: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.reaching += [f"{tag} {name}" for name, _ in attrs if name in ("src", "href", "action")]
        self.reaching += [f"{tag} {name}" for name, _ in attrs if name.startswith("on")]
        if tag not in ("meta", "br", "input"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_the_page_stands_alone_and_is_the_same_each_time(tree: Tree) -> None:
    folder = tree({**FILES, "a.yaml": ACIDS.replace("Weir House porter", "<b>Weir</b> & 'House'")})
    status, out, err = called(folder, "a.yaml", "--page", "sheet.html", *DAY)
    assert (status, out, err) == (0, "", "wrote sheet.html\n")
    first = (folder / "sheet.html").read_bytes()
    text = first.decode("utf-8")
    page = _Page()
    page.feed(text)
    assert page.open == [] and page.reaching == []
    assert not {"script", "link", "img", "iframe", "b>weir"} & set(page.tags)
    assert (
        "url(" not in text
        and "@import" not in text
        and "http" not in text.replace("http-equiv", "")
    )
    assert "&lt;b&gt;Weir&lt;/b&gt; &amp; " in text
    for figure in ("1.5 g", "1.4 g", "2.4 g", "lactic acid 80 %", "Write down", "mash pH"):
        assert figure in text
    called(folder, "a.yaml", "--page", "sheet.html", *DAY)
    assert (folder / "sheet.html").read_bytes() == first


def test_a_page_that_cannot_be_written_leaves_the_old_one(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tree({**FILES, "a.yaml": ACIDS})
    (folder / "sheet.html").mkdir()
    assert main(["sheet", "a.yaml", "--page", "sheet.html", *DAY]) == 2
    told = "waterlint: --page: sheet.html is a folder; name a file in it\n"
    assert capsys.readouterr() == ("", told)
    assert main(["sheet", "a.yaml", "--page", "none/such.html", *DAY]) == 2
    assert capsys.readouterr() == ("", "waterlint: --page: there is no folder none\n")
    assert list((folder / "sheet.html").iterdir()) == []


def test_several_recipes_each_begin_a_sheet(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tree({**FILES, "a.yaml": f"{ACIDS}---\n{ACIDS.replace('porter', 'stout')}"})
    assert main(["sheet", "a.yaml", "--page", "s.html", *DAY]) == 0
    assert (folder / "s.html").read_text("utf-8").count("<article>") == 2
    capsys.readouterr()
    assert main(["sheet", "a.yaml", *DAY]) == 0
    out = capsys.readouterr().out
    assert re.findall(r"^Weir House \w+: 20 L$", out, re.MULTILINE) == [
        "Weir House porter: 20 L",
        "Weir House stout: 20 L",
    ]


def test_json(tree: Tree, capsys: pytest.CaptureFixture[str]) -> None:
    tree({**FILES, "a.yaml": ACIDS})
    assert main(["sheet", "a.yaml", "--format", "json", "--batch", "40 L", *DAY]) == 0
    (sheet,) = json.loads(capsys.readouterr().out)["sheets"]
    lines = {each["pointer"]: each for step in sheet["steps"] for each in step["lines"]}
    gypsum = lines["/additions/0/sparge"]
    assert (gypsum["value"], gypsum["unit"], gypsum["exact"]) == (2.8, "g", 2.8)
    assert sheet["mash_ph"]["low"] < sheet["mash_ph"]["value"] < sheet["mash_ph"]["high"]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--batch", "40"), "--batch"),
        (("--batch", "0 L"), "--batch takes a volume above 0"),
        (("--batch", "40 kg"), "--batch"),
        (("--batch", "-4 L"), "--batch"),
        (("--format", "page"), "invalid choice"),
        (("--format", "json", "--page", "s.html"), "--format has no use with it"),
    ],
)
def test_a_wrong_call(
    tree: Tree, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], told: str
) -> None:
    tree({**FILES, "a.yaml": ACIDS})
    if arguments[0] == "--batch":
        arguments = (f"--batch={arguments[1]}",)
    assert main(["sheet", "a.yaml", *arguments]) == 2
    captured = capsys.readouterr()
    assert captured.out == "" and told in captured.err


def test_errors_stand_in_the_way_and_are_printed(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    tree({**FILES, "a.yaml": ACIDS + "nmae: x\n", "b.yaml": "waterlint: recipe/1\nname: [\n"})
    assert main(["sheet", "a.yaml", *DAY]) == 1
    captured = capsys.readouterr()
    assert captured.out == "" and "[unknown-key]" in captured.err
    assert main(["sheet", "b.yaml", *DAY]) == 1
    assert "[invalid-yaml]" in capsys.readouterr().err
    assert main(["sheet", "none.yaml", *DAY]) == 2
    assert main(["sheet", "waters/well.yaml", *DAY]) == 2
    assert "there is no recipe" in capsys.readouterr().err


def test_a_file_name_that_is_no_text_is_shown_by_its_escapes(tree: Tree) -> None:
    folder = tree({**FILES})
    name = os.fsdecode(b"ale-\xff.yaml")
    (folder / name).write_text(ACIDS, encoding="utf-8")
    status, out, _ = called(folder, name, *DAY)
    assert status == 0 and "ale-\\udcff.yaml. Scale" in out
    assert called(folder, name, "--page", "s.html", *DAY)[0] == 0
    assert "ale-\\udcff.yaml" in (folder / "s.html").read_text("utf-8")


def test_a_configuration_of_another_version_is_an_error_as_in_predict(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    tree({"c.yaml": "waterlint: config/2\n"})
    assert main(["predict", "c.yaml"]) == 1
    told = capsys.readouterr().err
    assert told.startswith("c.yaml:1:12: error: `config/2` is no version of the format")
    assert main(["sheet", "c.yaml"]) == 1
    assert capsys.readouterr() == ("", told)


def test_a_broken_configuration_that_holds_is_told(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nobody may take defaults for what the house has said."""
    tree({**FILES, "waterlint.yaml": "waterlint: config/2\n", "a.yaml": ACIDS})
    assert main(["sheet", "a.yaml", "--as-of", "2026-10-01"]) == 2
    told = "waterlint.yaml:1:12: error: `config/2` is no version"
    assert capsys.readouterr().err.count(told) == 1
