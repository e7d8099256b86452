"""The page as a file: written whole or not at all, the same each time, with all that it claims."""

from __future__ import annotations

import base64
import json
import re
import sys
import zlib
from typing import Any

import pytest

from tests.page.pages import WELL, recipe
from tests.page.test_frame import read
from waterlint.cli.main import main
from waterlint.page.packing import data_block, packed
from waterlint.page.plane import MOST_PANELS, Spot, in_words, panels, region
from waterlint.page.standing import Ranges

pytest.importorskip("vl_convert", reason="needs pip install -e '.[page]'")

FILES = {"well.yaml": WELL, "a.yaml": recipe("Sluice", salt=9.0)}
CALL = ["audit", "--as-of", "2026-09-01", "--page"]


def unpacked(page: str, name: str) -> Any:
    match = re.search(f'id="{name}">([^<]*)<', page)
    assert match is not None
    return json.loads(zlib.decompress(base64.b64decode(match[1]), -zlib.MAX_WBITS))


def test_the_page_holds_what_the_table_says(tree: Any, capsys: Any) -> None:
    folder = tree({**FILES, "b.yaml": recipe("Typo").replace("volume: 20", "volum: 20")})
    assert main([*CALL, "page.html"]) == 1
    page = (folder / "page.html").read_text("utf-8")
    ids = [found["id"] for _, found in read(page).tags if "id" in found]  # and all are closed
    assert len(ids) == len(set(ids))
    index = unpacked(page, "rows")
    assert [row[0] for row in index["rows"]] == ["Sluice", "Typo"]
    sluice, typo = unpacked(page, "chunk-0")
    assert typo["found"][0][1] == "unknown-key" and "waters" not in typo
    assert {found[1] for found in sluice["found"]} >= {"kettle-only-excess"}
    waters = {row["title"]: row for row in sluice["waters"]}
    # Mash water and batch stand side by side, and the kettle's part beside them.
    mash, _, batch = waters["sodium"]["in"]
    assert batch[0] > mash[0] + 100 and waters["sodium"]["kettle"] > 120
    assert all(bound[4] for bounds in waters["sodium"]["bounds"].values() for bound in bounds)
    assert "mash" in waters["calcium"]["bounds"] and "sparge" in waters["alkalinity"]["bounds"]
    for ion in ("calcium", "sodium", "sulfate"):
        brought = sum(source["mg"].get(ion, 0.0) for source in sluice["sources"])
        assert brought == pytest.approx(waters[ion]["in"][2][0] * sluice["litres"][2], rel=2e-3)


def test_a_vessel_that_is_not_there_has_no_range(tree: Any, capsys: Any) -> None:
    text = recipe("One pot").replace("  sparge: {volume: 12 L, from: distilled}\n", "")
    folder = tree({"well.yaml": WELL, "a.yaml": text.replace(", sparge: 1 g", "")})
    main([*CALL, "page.html"])
    (made,) = unpacked((folder / "page.html").read_text("utf-8"), "chunk-0")
    assert made["litres"][1] is None
    assert not any("sparge" in row["bounds"] for row in made["waters"])


def test_the_same_collection_gives_the_same_page(tree: Any, capsys: Any) -> None:
    folder = tree(FILES)
    for name in ("one.html", "two.html"):
        main([*CALL, name])
    assert (folder / "one.html").read_bytes() == (folder / "two.html").read_bytes()


def test_links_lead_from_the_page_to_the_recipes(tree: Any, capsys: Any) -> None:
    folder = tree(FILES)
    (folder / "out" / "deep").mkdir(parents=True)
    main([*CALL, "out/deep/page.html"])
    index = unpacked((folder / "out/deep/page.html").read_text("utf-8"), "rows")
    assert index["base"] == "../../"


def test_a_page_that_cannot_be_written_leaves_the_old_one(
    tree: Any, capsys: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tree({**FILES, "page.html": "old"})

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("waterlint.project.write.os.fsync", full)
    assert main([*CALL, "page.html"]) == 2
    assert "page.html cannot be written: No space left on device" in capsys.readouterr().err
    assert (folder / "page.html").read_text() == "old"
    assert sorted(path.name for path in folder.iterdir()) == ["a.yaml", "page.html", "well.yaml"]


def test_what_is_missing_is_one_line_away(
    tree: Any, capsys: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tree(FILES)
    monkeypatch.setitem(sys.modules, "vl_convert", None)
    assert main([*CALL, "page.html"]) == 2
    told = capsys.readouterr().err
    assert ": python -m pip install 'waterlint[page]'" in told and len(told.splitlines()) == 1
    assert not (folder / "page.html").exists()


def test_an_empty_collection_says_so(tree: Any, capsys: Any) -> None:
    folder = tree({"well.yaml": WELL})
    assert main([*CALL, "page.html"]) == 0
    assert "There is no recipe in this collection." in (folder / "page.html").read_text("utf-8")


def test_filters_hold_for_the_page_too(tree: Any, capsys: Any) -> None:
    folder = tree({**FILES, "b.yaml": recipe("Zostera", salt=0.5)})
    main([*CALL, "page.html", "--where", "sodium > 60"])
    page = (folder / "page.html").read_text("utf-8")
    assert [row[0] for row in unpacked(page, "rows")["rows"]] == ["Sluice"]
    assert "1 of its 2 recipes are shown" in page


def test_packed_data_comes_back() -> None:
    data = [{"name": "</script>\u2028\ud800", "value": -1.5}]
    block = data_block("x", packed(data))
    assert unpacked(block, "x") == data
    assert block.count("<") == 2


OPEN = (None, None)


@pytest.mark.parametrize(
    ("ranges", "corners"),
    [
        (Ranges("", (10.0, 50.0), (20.0, 40.0), OPEN), [(10, 20), (50, 20), (50, 40), (10, 40)]),
        (Ranges("", (0.0, 50.0), (0.0, 50.0), (1.0, None)), [(0, 0), (50, 0), (50, 50)]),
        (Ranges("", (0.0, 50.0), (0.0, 50.0), (None, 0.5)), [(0, 0), (25, 50), (0, 50)]),
        (Ranges("", (40.0, 50.0), (0.0, 10.0), (None, 1.0)), []),
    ],
)
def test_the_area_that_ranges_leave(ranges: Ranges, corners: list[tuple[float, float]]) -> None:
    found = region(ranges, (100.0, 100.0))
    assert [(round(x, 9), round(y, 9)) for x, y in found] == corners


def test_ranges_in_words_name_no_taste() -> None:
    assert in_words(Ranges("", OPEN, OPEN, OPEN)) == ""
    assert in_words(Ranges("", (50.0, None), (None, 200.0), (0.5, 1.0))) == (
        "Chloride at least 50 mg/L; sulfate at most 200 mg/L; chloride to sulfate 0.5 to 1."
    )


def test_panels_are_bounded_and_many_points_are_counted() -> None:
    spots = [
        Spot(50.0 + at % 40, 60.0 + at % 30, "note", Ranges("stout", OPEN, (None, 100.0), OPEN))
        for at in range(2000)
    ]
    spots += [
        Spot(10.0, 20.0, "error", Ranges(f"style-{at}", OPEN, OPEN, OPEN))
        for at in range(MOST_PANELS + 4)
    ]
    drawn, left = panels(spots)
    assert len(drawn) == MOST_PANELS and left == 5
    assert "2,000 recipes, 2,000 within" in drawn[0]
    assert drawn[0].count("<path") < 900 and len(drawn[0]) < 150_000
    assert "No range holds." in drawn[1]
    assert "var(--range)" in drawn[0] and "#" not in re.sub(r"url\(#|&#", "", drawn[0])
