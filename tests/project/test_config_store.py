"""Which configuration holds for a file, and what follows from it."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from waterlint.project.config import DEFAULT_STOCK, LevelOrOff, Scale, Settings, StockItem
from waterlint.project.config_store import ConfigStore
from waterlint.project.files import Disk
from waterlint.project.probes import Recorder
from waterlint.units import Range

Tree = Callable[..., Path]

RULES = frozenset({"report-age", "batch-sodium", "negligible-addition", "unknown-key"})


def store(
    overrides: dict[str, LevelOrOff] | None = None,
    explicit: Path | None = None,
    allow_roots: tuple[Path, ...] = (),
) -> ConfigStore:
    return ConfigStore(Disk(), RULES, overrides, explicit, allow_roots)


def _config(*lines: str) -> str:
    return "\n".join(["waterlint: config/1", *lines, ""])


FULL = _config(
    "exclude: [attic/**]",
    "levels: {report-age: note, negligible-addition: off}",
    "paths:",
    "  - {match: lagers/**, ranges: {calcium: 30 .. 100 mg/L}}",
    "  - {match: lagers/dark/**, ranges: {calcium: 40 .. 100 mg/L}, levels: {report-age: error}}",
    "ranges: {sodium: .. 90 mg/L, chloride_to_sulfate: {pale-ale: 0.3 .. 0.9}}",
    "report_age: 9 months",
    "scale: {mass: 0.01 g, volume: 0.2 mL}",
    "stock: [gypsum, {add: calcium-chloride, form: dihydrate}, {add: lactic-acid, strength: 80 %}]",
    "require: [color, style]",
    "baseline: waterlint-baseline.json",
    "rules: [acme_waterlint_rules]",
)


def _low(limits: Range) -> tuple[float | None, float | None]:
    return (limits.low, limits.high)


def test_everything_that_a_configuration_states(tree: Tree) -> None:
    folder = tree({"waterlint.yaml": FULL})
    config = store().for_file(Path("ales/a.yaml"))
    assert config.findings == ()
    assert not config.is_broken
    settings = config.settings
    assert settings.levels == {"report-age": "note", "negligible-addition": "off"}
    assert {key: _low(each) for key, each in settings.ranges.items()} == {"sodium": (None, 90.0)}
    ratio = settings.style_ranges["chloride_to_sulfate"]
    assert {key: _low(each) for key, each in ratio.items()} == {"pale-ale": (0.3, 0.9)}
    assert settings.report_age_months == pytest.approx(9.0)
    assert settings.scale == Scale(0.01, pytest.approx(0.2))
    assert settings.stock == (
        StockItem("gypsum"),
        StockItem("calcium-chloride", "dihydrate"),
        StockItem("lactic-acid", None, 80.0),
    )
    assert settings.require == ("color", "style")
    assert config.config_path == folder / "waterlint.yaml"
    assert config.paths == ("waterlint.yaml",)
    assert config.baseline == folder / "waterlint-baseline.json"
    assert config.plugins == ("acme_waterlint_rules",)
    assert settings.origin["levels.report-age"] == "waterlint.yaml:3"
    assert settings.origin["ranges.sodium"] == "waterlint.yaml:7"
    assert settings.origin["ranges.chloride_to_sulfate.pale-ale"] == "waterlint.yaml:7"
    assert settings.origin["scale.mass"] == "waterlint.yaml:9"


def test_without_a_configuration_what_is_built_in_holds(tree: Tree) -> None:
    tree({})
    config = store().for_file(Path("a.yaml"))
    assert config.findings == () and config.config_path is None and config.paths == ()
    assert config.settings.levels == {} and config.settings.stock == DEFAULT_STOCK
    assert config.settings.scale == Settings().scale
    assert set(config.settings.origin.values()) == {"built in"}


@pytest.mark.parametrize(
    ("path", "calcium", "level"),
    [
        ("a.yaml", None, "note"),
        ("lagers/a.yaml", (30.0, 100.0), "note"),
        ("lagers/dark/a.yaml", (40.0, 100.0), "error"),
        ("ales/lagers/a.yaml", None, "note"),
    ],
)
def test_the_last_match_of_paths_wins(tree: Tree, path: str, calcium: object, level: str) -> None:
    tree({"waterlint.yaml": FULL})
    settings = store().for_file(Path(path)).settings
    found = settings.ranges.get("calcium")
    assert (None if found is None else _low(found)) == calcium
    assert settings.levels["report-age"] == level
    assert _low(settings.ranges["sodium"]) == (None, 90.0)


def test_the_command_line_wins(tree: Tree) -> None:
    tree({"waterlint.yaml": FULL})
    configs = store({"report-age": "warning", "batch-sodium": "off"})
    settings = configs.for_file(Path("lagers/dark/a.yaml")).settings
    assert settings.levels["report-age"] == "warning"
    assert settings.levels["batch-sodium"] == "off"
    assert settings.origin["levels.report-age"] == "the command line"
    assert configs.for_file(Path("/elsewhere/a.yaml")).settings.levels["report-age"] == "warning"


def test_the_nearest_configuration_wins_up_to_the_root(tree: Tree) -> None:
    folder = tree(
        {
            "waterlint.yaml": _config("report_age: 1 month"),
            "project/.git/HEAD": "",
            "project/waterlint.yaml": _config("report_age: 2 months", "require: [style]"),
            "project/sub/waterlint.yaml": _config("report_age: 3 months"),
            "project/sub/deep/x.txt": "",
            "bare/.git/HEAD": "",
        }
    )
    configs = store()

    def age(path: str) -> float:
        return configs.for_file(Path(path)).settings.report_age_months

    assert age("project/sub/deep/a.yaml") == pytest.approx(3.0)
    assert age("project/sub/waterlint.yaml") == pytest.approx(3.0)
    assert configs.for_file(Path("project/sub/a.yaml")).settings.require == ()
    assert age("project/a.yaml") == pytest.approx(2.0)
    assert age("a.yaml") == pytest.approx(1.0)
    # Beyond the root of its project nothing is looked for.
    assert age("bare/a.yaml") == Settings().report_age_months
    os.chdir(folder / "project/sub/deep")
    assert store().for_file(Path("a.yaml")).settings.report_age_months == pytest.approx(3.0)
    assert store().for_file(Path("../../a.yaml")).settings.report_age_months == pytest.approx(2.0)


def test_an_explicit_configuration_is_for_all(tree: Tree) -> None:
    folder = tree({"waterlint.yaml": FULL, "ci/strict.yaml": _config("report_age: 1 month")})
    configs = store(explicit=Path("ci/strict.yaml"))
    for path in ("a.yaml", "lagers/a.yaml", "/elsewhere/a.yaml"):
        config = configs.for_file(Path(path))
        assert config.config_path == folder / "ci/strict.yaml"
        assert config.settings.report_age_months == pytest.approx(1.0)
    assert configs.exclusion(folder / "attic/a.yaml") is None


def test_an_explicit_configuration_that_is_missing_is_told(tree: Tree) -> None:
    tree({})
    config = store(explicit=Path("no.yaml")).for_file(Path("a.yaml"))
    assert config.is_broken
    assert [(each.rule, each.path) for each in config.findings] == [("unreadable-file", "no.yaml")]


def test_extends_lies_below(tree: Tree) -> None:
    folder = tree(
        {
            ".git/HEAD": "",
            "house/waterlint.yaml": _config(
                "report_age: 6 months",
                "levels: {report-age: note, batch-sodium: off}",
                "ranges: {sodium: .. 60 mg/L, calcium: {stout: 50 .. 90 mg/L}}",
                "scale: {mass: 1 g, volume: 1 mL}",
                "stock: [gypsum]",
                "exclude: [attic/**]",
                "paths: [{match: house-beers/**, report_age: 1 month}]",
            ),
            "beers/waterlint.yaml": _config(
                "extends: ../house/waterlint.yaml",
                "levels: {batch-sodium: error}",
                "ranges: {calcium: 40 .. 80 mg/L}",
                "scale: {mass: 0.1 g}",
            ),
        }
    )
    configs = store()
    config = configs.for_file(Path("beers/a.yaml"))
    settings = config.settings
    assert config.findings == ()
    assert config.paths == ("beers/waterlint.yaml", "house/waterlint.yaml")
    assert settings.levels == {"report-age": "note", "batch-sodium": "error"}
    assert settings.report_age_months == pytest.approx(6.0)
    assert {key: _low(each) for key, each in settings.ranges.items()} == {
        "sodium": (None, 60.0),
        "calcium": (40.0, 80.0),
    }
    # A range for all styles replaces those of single styles below it.
    assert settings.style_ranges == {}
    assert settings.scale == Scale(0.1, pytest.approx(1.0))
    assert settings.stock == (StockItem("gypsum"),)
    assert settings.origin["report_age"] == "house/waterlint.yaml:2"
    # Patterns are read from the folder of the file that states them.
    assert configs.exclusion(folder / "house/attic/a.yaml") is not None
    assert configs.exclusion(folder / "beers/attic/a.yaml") is None
    house = configs.for_file(Path("house/house-beers/a.yaml")).settings
    assert house.report_age_months == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("extends", "message"),
    [
        ("../waterlint.yaml", "leads out of the project"),
        ("/etc/waterlint.yaml", "is an absolute path"),
        ("https://example.test/waterlint.yaml", "is a URL"),
        ("house", "house is no path"),
        ("./hous.yaml", "there is no file ./hous.yaml"),
        ("out.yaml", "leads out of the project"),
        ("waterlint.yaml", "in a circle: waterlint.yaml → waterlint.yaml"),
        ("b.yaml", "in a circle: waterlint.yaml → b.yaml → c.yaml → waterlint.yaml"),
        ("d.yaml", "in a circle: d.yaml → b.yaml → c.yaml → d.yaml"),
    ],
)
def test_extends_that_cannot_be_followed_is_told(
    tree: Tree, tmp_path: Path, extends: str, message: str
) -> None:
    third = "waterlint.yaml" if extends == "b.yaml" else "d.yaml"
    folder = tree(
        {
            "waterlint.yaml": _config("report_age: 2 months", f"extends: {extends}"),
            "house.yaml": _config(),
            "b.yaml": _config("extends: c.yaml"),
            "c.yaml": _config(f"extends: {third}"),
            "d.yaml": _config("extends: b.yaml"),
        }
    )
    (tmp_path / "waterlint.yaml").write_text(_config())
    (folder / "out.yaml").symlink_to(tmp_path / "waterlint.yaml")
    config = store().for_file(Path("a.yaml"))
    assert config.is_broken
    (finding,) = config.findings
    assert message in finding.message
    assert (finding.rule, finding.pointer) == ("bad-value", "/extends")
    if "circle" not in message:
        assert (finding.path, finding.span.line, finding.span.column) == ("waterlint.yaml", 3, 10)
    # What is sound still holds.
    assert config.settings.report_age_months == pytest.approx(2.0)


def test_a_chain_has_an_end(tree: Tree) -> None:
    files = {f"c{i}.yaml": _config(f"extends: c{i + 1}.yaml") for i in range(30)}
    tree({**files, "c30.yaml": _config("report_age: 2 months")})
    config = store(explicit=Path("c15.yaml")).for_file(Path("a.yaml"))
    assert config.findings == ()
    assert config.settings.report_age_months == pytest.approx(2.0)
    (finding,) = store(explicit=Path("c0.yaml")).for_file(Path("a.yaml")).findings
    assert (finding.path, finding.pointer) == ("c19.yaml", "/extends")
    assert finding.message == "more than 20 configurations build on each other"


def test_an_allowed_root_may_be_built_on(tree: Tree, tmp_path: Path) -> None:
    tree({"waterlint.yaml": _config("extends: ../shared/waterlint.yaml")})
    shared = tmp_path / "shared"
    shared.mkdir()
    (shared / "waterlint.yaml").write_text(_config("report_age: 2 months"))
    assert store().for_file(Path("a.yaml")).is_broken
    config = store(allow_roots=(Path("../shared"),)).for_file(Path("a.yaml"))
    assert config.findings == ()
    assert config.paths == ("waterlint.yaml", "../shared/waterlint.yaml")


def test_what_is_wrong_in_the_parent_is_told_there(tree: Tree) -> None:
    tree(
        {
            "waterlint.yaml": _config("extends: house.yaml", "report_age: 2 months"),
            "house.yaml": _config("levels: {report-agee: off}"),
        }
    )
    config = store().for_file(Path("a.yaml"))
    assert [(each.rule, each.path) for each in config.findings] == [("unknown-key", "house.yaml")]


@pytest.mark.parametrize(
    ("name", "message", "help"),
    [
        ("waterlint.yaml", "the file has the name of a configuration and is ", "another name"),
        ("kind.yaml", "the file is named as a configuration and is ", "Name a file that begins"),
    ],
)
@pytest.mark.parametrize(
    ("text", "what"), [("waterlint: recipe/1\n", "a recipe file"), ("name: x\n", "none")]
)
def test_what_is_no_configuration_is_not_blamed_for_a_name_it_has_not(
    tree: Tree, name: str, message: str, help: str, text: str, what: str
) -> None:
    tree({name: text})
    (found,) = store(explicit=Path(name)).for_file(Path("a.yaml")).findings
    assert (found.path, found.message) == (name, message + what)
    assert found.help is not None and help in found.help


@pytest.mark.parametrize(
    ("text", "rule", "line", "column"),
    [
        ("", "missing-key", 1, 1),
        ("# nothing\n", "missing-key", 1, 1),
        ("waterlint: recipe/1\n", "bad-value", 1, 12),
        ("name: x\n", "not-a-waterlint-file", 1, 1),
        ("waterlint: config/1\nlevels: [\n", "invalid-yaml", None, None),
        (
            "waterlint: config/1\nreport_age: 2 months\nreport_age: 3 months\n",
            "duplicate-key",
            3,
            1,
        ),
        (b"waterlint: config/1\n# \xff\n", "unreadable-file", None, None),
        ("waterlint: config/1\n---\nwaterlint: config/1\n", "bad-value", 3, 1),
        ("waterlint: config/1\nreport_agee: 2 months\n", "unknown-key", 2, 1),
    ],
)
def test_a_broken_configuration_is_never_a_silent_default(
    tree: Tree, text: str | bytes, rule: str, line: int | None, column: int | None
) -> None:
    tree({"waterlint.yaml": text})
    config = store().for_file(Path("a.yaml"))
    assert config.is_broken
    first = config.findings[0]
    assert (first.rule, first.level, first.path) == (rule, "error", "waterlint.yaml")
    if line is not None:
        assert (first.span.line, first.span.column) == (line, column)
    assert config.paths == ("waterlint.yaml",)


@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    st.lists(
        st.tuples(
            st.integers(0, len(FULL) - 1),
            st.integers(0, 12),
            st.sampled_from(
                ["", "[", "{", "}", ": ", "- ", "&a ", "*a", "\n", "  ", "0", "~", "é"]
            ),
        ),
        min_size=1,
        max_size=3,
    )
)
def test_no_slip_of_the_pen_is_a_crash(tree: Tree, slips: list[tuple[int, int, str]]) -> None:
    text = FULL
    for place, length, replacement in slips:
        text = text[:place] + replacement + text[place + length :]
    tree({"waterlint.yaml": text})
    configs = store()
    config = configs.for_file(Path("lagers/a.yaml"))
    assert isinstance(configs.describe(Path("lagers/a.yaml")), str)
    configs.exclusion(Path("attic"))
    for finding in config.findings:
        assert 0 <= finding.span.start <= finding.span.end <= len(text)


def test_only_a_file_is_a_configuration(tree: Tree) -> None:
    folder = tree({"a/waterlint.yaml/x.txt": "", "waterlint.yaml": _config("report_age: 2 months")})
    config = store().for_file(Path("a/b.yaml"))
    assert config.config_path == folder / "waterlint.yaml"
    (folder / "pipe").mkdir()
    os.mkfifo(folder / "pipe/waterlint.yaml")
    (folder / "gone").mkdir()
    (folder / "gone/waterlint.yaml").symlink_to("no-such.yaml")
    for name in ("pipe", "gone"):
        config = store().for_file(Path(name, "b.yaml"))
        assert [each.rule for each in config.findings] == ["unreadable-file"]


def test_a_link_out_of_the_project_is_no_configuration(tree: Tree, tmp_path: Path) -> None:
    folder = tree({})
    (tmp_path / "elsewhere.yaml").write_text(_config("report_age: 2 months"))
    (folder / "waterlint.yaml").symlink_to(tmp_path / "elsewhere.yaml")
    config = store().for_file(Path("a.yaml"))
    assert [each.rule for each in config.findings] == ["unreadable-file"]
    assert config.settings.report_age_months == Settings().report_age_months
    allowed = store(allow_roots=(tmp_path,)).for_file(Path("a.yaml"))
    assert allowed.settings.report_age_months == pytest.approx(2.0)


def test_exclusion_says_which_pattern(tree: Tree) -> None:
    folder = tree(
        {
            "waterlint.yaml": _config("exclude: [attic, '**/*.draft.yaml']"),
            "attic/waterlint.yaml": _config("exclude: []"),
        }
    )
    configs = store()
    assert configs.exclusion(Path("attic")) == "excluded by attic (waterlint.yaml:2)"
    # What is set aside stays so, whatever configuration it brings along.
    assert configs.exclusion(folder / "attic/a.yaml") == "excluded by attic (waterlint.yaml:2)"
    assert configs.exclusion(Path("x/a.draft.yaml")) is not None
    assert configs.exclusion(Path("x/a.yaml")) is None


def test_a_configuration_is_read_once(tree: Tree) -> None:
    folder = tree({"waterlint.yaml": FULL})
    configs = store()
    first = configs.for_file(Path("a.yaml"))
    (folder / "waterlint.yaml").write_text("broken: [")
    assert configs.for_file(Path("b.yaml")) is first
    assert configs.for_file(Path("lagers/b.yaml")) is configs.for_file(Path("lagers/c.yaml"))


def test_every_place_looked_at_is_recorded(tree: Tree) -> None:
    folder = tree({"waterlint.yaml": FULL, "sub/x": ""})
    configs = store()
    with Recorder() as recorder:
        configs.for_file(Path("sub/a.yaml"))
    asked = {path: said for (kind, path), said in recorder.answers.items() if kind == "there"}
    assert asked == {
        str(folder / "sub/waterlint.yaml"): "",
        str(folder / "waterlint.yaml"): "yes",
    }
    assert ("bytes", str(folder / "waterlint.yaml")) in recorder.answers


def test_description(tree: Tree) -> None:
    tree({"waterlint.yaml": FULL})
    text = store({"batch-sodium": "off"}).describe(Path("lagers/a.yaml"))
    assert text.splitlines()[:3] == [
        "file: lagers/a.yaml",
        "project root: .",
        "configuration: waterlint.yaml",
    ]
    rows = {line.split("  ")[0]: " ".join(line.split()) for line in text.splitlines()[3:]}
    assert rows["levels.batch-sodium"].endswith("off (the command line)")
    assert rows["levels.report-age"].endswith("note (waterlint.yaml:3)")
    assert rows["ranges.calcium"].endswith("30 .. 100 mg/L (waterlint.yaml:5)")
    assert rows["report_age"].endswith("9 months (waterlint.yaml:8)")
    assert rows["stock"].endswith(
        "gypsum, calcium-chloride dihydrate, lactic-acid 80 % (waterlint.yaml:10)"
    )


def test_description_without_a_configuration(tree: Tree) -> None:
    tree({})
    text = store().describe(Path("a.yaml"))
    assert "configuration: none" in text
    assert "12 months  (built in)" in text
    assert "0.1 g  (built in)" in text
    assert "phosphoric-acid 10 %  (built in)" in text


def test_description_tells_what_is_wrong_and_left_out(tree: Tree) -> None:
    tree({"waterlint.yaml": _config("exclude: [attic]", "levels: {nothing: off}")})
    text = store().describe(Path("attic/a.yaml"))
    assert "left out of searches: excluded by attic (waterlint.yaml:2)" in text
    assert "waterlint.yaml:3:10: there is no rule named nothing" in text


def test_description_of_the_house_s_own_entries_and_of_the_call(tree: Tree, tmp_path: Path) -> None:
    tree(
        {
            "house.yaml": _config(
                "malts:",
                "  moor-malt: {like: pale, di_ph: 5.68, basis: own mash}",
                "  mill-malt: {like: pale, basis: another}",
            ),
            "waterlint.yaml": _config(
                "extends: house.yaml",
                "malts: {moor-malt: {like: vienna, basis: newer}, bad-malt: {like: pale}}",
                "waters:",
                "  well:",
                "    ions: {calcium: 4 mg/L, magnesium: 1 mg/L, sodium: 2 mg/L, chloride: 7 mg/L,",
                "           sulfate: 3 mg/L}",
                "    alkalinity: 9 mg/L as CaCO3",
                "    basis: our own",
                "stock: [{add: lactic-acid, strength: 60 %, density: 1.14 g/mL}]",
            ),
        }
    )
    configs = ConfigStore(
        Disk(), RULES, allow_roots=(tmp_path / "far",), baseline=Path("sub/known.json")
    )
    lines = configs.describe(Path("a.yaml")).splitlines()
    rows = [" ".join(line.split()) for line in lines]
    assert "files may be named below ../far too (the command line)" in rows
    assert "baseline sub/known.json (the command line)" in rows
    assert "stock lactic-acid 60 % 1.14 g/mL (waterlint.yaml:10)" in rows
    assert "malts.moor-malt {like: vienna, basis: newer} (waterlint.yaml:3)" in rows
    assert "malts.mill-malt {like: pale, basis: another} (house.yaml:4)" in rows
    assert not any(row.startswith("malts.bad-malt") for row in rows)
    assert (
        "waters.well {ions: {calcium: 4 mg/L, magnesium: 1 mg/L, sodium: 2 mg/L, chloride: 7 mg/L, "
        "sulfate: 3 mg/L}, alkalinity: 9 mg/L as CaCO3, basis: our own} (waterlint.yaml:5)" in rows
    )
