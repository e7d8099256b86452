"""Whether a file says that it is one of waterlint's, seen without parsing it."""

from __future__ import annotations

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from waterlint.project.opening import says_waterlint

OURS = [
    "waterlint: recipe/1\n",
    "waterlint: recipe/1",
    "waterlint:",
    "waterlint:\n",
    "waterlint:\trecipe/1\n",
    "waterlint : recipe/1\n",
    "\n\n# comment: x\n   # another\nwaterlint: water/1\n",
    "# yaml-language-server: $schema=x\r\nwaterlint: water/1\r\n",
    "# only\rwaterlint: water/1\r",
    "---\nwaterlint: water/1\n",
    "--- # a comment\nwaterlint: water/1\n",
    "%YAML 1.2\n---\nwaterlint: water/1\n",
    '"waterlint": recipe/1\n',
    "'waterlint': recipe/1\n",
    '{"waterlint":"recipe/1"}',
    "{waterlint: recipe/1, name: x}\n",
    "{\n  # comment\n  waterlint: recipe/1}\n",
    "&a\nwaterlint: recipe/1\n",
    "&a {waterlint: recipe/1}\n",
    "!!map\nwaterlint: recipe/1\n",
    "? waterlint\n: recipe/1\n",
    "other: 1\n---\nwaterlint: recipe/1\n",
    "other: 1\n...\n---\n# x\nwaterlint: recipe/1\n",
    "text: |\n  x\n---\nwaterlint: recipe/1\n",
    "  waterlint: recipe/1\n",
    "waterlint:\n  recipe/1\nname: x\n",
    "waterlint:\nname: x\n",
    "waterlint:\n# comment\nname: x\n",
    "  waterlint:\n  name: x\n",
    "waterlint: recipe/1\n  name: x\n",
    "other: 1\n---\n  waterlint:\n  name: x\n",
]

OTHERS = [
    "",
    "# waterlint: accept x because y\n",
    "name: x\nwaterlint: recipe/1\n",
    "jobs:\n  waterlint: recipe/1\n",
    "- waterlint: recipe/1\n",
    "[waterlint: recipe/1]\n",
    "waterlint\n",
    "waterlinted: recipe/1\n",
    "my-waterlint: recipe/1\n",
    "waterlint:recipe/1\n",
    "text: |\n  ---\n  waterlint: recipe/1\n",
    "text: |\n  x\n  waterlint: recipe/1\n",
    "repos:\n- repo: x\n  hooks:\n  - id: waterlint\n",
    "----\nwaterlint: recipe/1\n",
    "a: 1\n---x\nwaterlint: recipe/1\n",
    "\"waterlint': recipe/1\n",
    "WATERLINT: recipe/1\n",
    "waterlint:\n  image: python:3.11\n  script: [waterlint check]\n",
    "waterlint: # a job\n\n  # comment\n  script: x\n",
    "waterlint:\r\n  script: x\r\n",
    "waterlint:\n  - script\n",
    "waterlint:\n  script:\n    - x\n",
]


@pytest.mark.parametrize("text", OURS)
def test_ours(text: str) -> None:
    assert says_waterlint(text.encode())


@pytest.mark.parametrize("text", OTHERS)
def test_others(text: str) -> None:
    assert not says_waterlint(text.encode())


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_other_encodings_are_seen(encoding: str) -> None:
    """They are refused when read; skipping them would hide that."""
    assert says_waterlint("# x\nwaterlint: recipe/1\nname: a\n".encode(encoding))
    assert not says_waterlint("name: waterlint\n".encode(encoding))


@pytest.mark.parametrize(
    "data",
    [
        b"# " + b"x" * 500_000 + b"\nname: waterlint",
        b"\n" * 500_000 + b"name: waterlint",
        b"&" * 500_000 + b" waterlint",
        b"---\n" * 200_000 + b"name: waterlint",
        b"--- {{{? # \n" * 50_000 + b"name: waterlint",
        b"waterlint:" + b"\n#" * 250_000 + b"\n x:",
        b"waterlint:" + b"\n \n" * 150_000 + b"\n x: 1",
    ],
)
def test_hostile_bytes_take_no_time(data: bytes) -> None:
    start = time.process_time()
    assert not says_waterlint(data)
    assert time.process_time() - start < 2.0


@pytest.mark.parametrize("between", [b"\n", b"\r\n", b"\n  ", b"\n #", b"\n #  \n"])
def test_hostile_gaps_take_no_time(between: bytes) -> None:
    start = time.process_time()
    assert says_waterlint(b"waterlint:" + between * 100_000 + b"\nname: x\n")
    assert time.process_time() - start < 2.0


@given(st.binary(max_size=60))
def test_any_bytes_have_an_answer(data: bytes) -> None:
    assert isinstance(says_waterlint(data + b"\nwaterlint: x\n"), bool)
