"""The image of the compiled modules, and the end of a run, on a copy of the package."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import waterlint

RECIPE = Path(__file__).parents[1] / "example-recipes" / "wrong" / "kettle-salt-stout.yaml"
#: Prints what loads the modules of a command line.
PROGRAM = """\
import sys
from waterlint import launch
before = set(sys.modules)
launch.leave = lambda status: None
launch.main()
loaders = {type(module.__spec__.loader).__name__ for name, module in sys.modules.items()
           if name.startswith("waterlint.") and name not in before}
print(sorted(loaders))
"""
#: Makes a run, and tells each class that another module has from a second copy of its own module.
ONCE = """\
import sys
from waterlint import launch
launch.leave = lambda status: None
launch.main()
for name, module in list(sys.modules.items()):
    for each in vars(module).values() if name.startswith("waterlint.") else ():
        home = getattr(each, "__module__", None)
        if isinstance(each, type) and str(home).startswith("waterlint."):
            if getattr(sys.modules[home], each.__name__, each) is not each:
                print(name, "has another", home, each.__name__, file=sys.stderr)
"""
#: Calls that import much or little, in different orders, and write nothing to standard error.
CALLS = (
    "--version",
    f"check --no-cache {RECIPE}",
    "schema recipe",
    "explain mash-ph",
    f"sheet {RECIPE}",
    f"audit {RECIPE}",
)


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A folder to import a copy of the package from, with nothing compiled."""
    source = Path(waterlint.__file__).parent
    shutil.copytree(source, tmp_path / "waterlint", ignore=shutil.ignore_patterns("__pycache__"))
    if not (tmp_path / "waterlint" / "schemas").is_dir():
        shutil.copytree(source.parent / "schemas", tmp_path / "schemas")
    return tmp_path


def run(place: Path, *arguments: str, **variables: str) -> subprocess.CompletedProcess[str]:
    """Run `python -m waterlint` of the copy."""
    return call(place, ["-m", "waterlint", *arguments], variables)


def call(
    place: Path, arguments: list[str], variables: dict[str, str]
) -> subprocess.CompletedProcess[str]:
    environment = {name: text for name, text in os.environ.items() if not name.startswith("PYTHON")}
    environment |= {"PYTHONPATH": str(place), "PYTHONSAFEPATH": "1", **variables}
    return subprocess.run(
        [sys.executable, *arguments],
        env=environment,
        cwd=RECIPE.parents[1],
        capture_output=True,
        text=True,
        check=False,
    )


def image_of(place: Path) -> Path:
    """Where the image lies."""
    folder = place / "waterlint" / "__pycache__"
    return folder / f"waterlint.{sys.implementation.cache_tag}.image"


def loaders(place: Path) -> str:
    """The last line of `PROGRAM` with `--version` as its command line."""
    return call(place, ["-c", PROGRAM, "--version"], {}).stdout.splitlines()[-1]


def test_first_run_writes_it_and_the_next_uses_it(place: Path) -> None:
    """All runs say the same, and the second imports nothing past the image."""
    first = run(place, "check", "--no-cache", str(RECIPE))
    assert first.returncode == 1 and "kettle-only-excess" in first.stdout
    image = image_of(place)
    written = image.read_bytes()
    second = run(place, "check", "--no-cache", str(RECIPE))
    assert (second.returncode, second.stdout, second.stderr) == (1, first.stdout, "")
    assert image.read_bytes() == written
    assert loaders(place) == "['_Loader']"
    assert {path.name for path in image.parent.iterdir() if "image" in path.name} == {image.name}


@pytest.mark.parametrize("text", ["as safe as ale. ", "as safe as anything else"])
def test_changed_module_is_noticed(place: Path, text: str) -> None:
    """Also where size and date stay, as with an archive whose files all have one date."""
    assert "as safe as code." in run(place, "--help").stdout
    module = place / "waterlint" / "cli" / "main.py"
    was = module.stat()
    module.write_text(module.read_text("utf-8").replace("as safe as code.", text), "utf-8")
    if len(text) == len("as safe as code."):
        # Python goes by the date and keeps its own file, so that is taken away as installers do.
        os.utime(module, ns=(was.st_atime_ns, was.st_mtime_ns))
        for kept in (place / "waterlint" / "cli" / "__pycache__").glob("main.*"):
            kept.unlink()
    for _ in range(2):
        assert text in run(place, "--help").stdout
    assert loaders(place) == "['_Loader']"


def test_each_code_is_in_one_group_at_most(place: Path) -> None:
    """Whatever commands are called, the image is not twice as large as what is in it."""
    for command in (
        ["check", "--no-cache", str(RECIPE)],
        ["audit", "ales"],
        ["explain", "mash-ph"],
    ):
        run(place, *command)
    program = """\
from waterlint import launch
entries = launch.Image.beside(launch._FOLDER).entries
led = [name for entry in entries.values() if entry[8] < entry[9] for name in entry[5]]
print(len(led) == len(set(led)) > 100, "waterlint.audit" in str(list(entries)))
"""
    assert call(place, ["-c", program], {}).stdout == "True True\n"


def test_changed_module_that_another_brings_along_is_noticed(place: Path) -> None:
    """A module among many that are made together: each run has the one that is there."""
    check = ("check", "--no-cache", str(RECIPE))
    said = run(place, *check).stdout
    words = "Without the kettle's additions"
    (module,) = (
        path for path in (place / "waterlint" / "rules").glob("*.py") if words in path.read_text()
    )
    for changed in ("But for the kettle's doses", "Without what the kettle takes as well,"):
        module.write_text(module.read_text().replace(words, changed))
        for _ in range(2):
            assert run(place, *check).stdout == said.replace(words, changed) != said
        words, said = changed, said.replace(words, changed)


def test_new_module_of_one_that_is_brought_along_is_imported(place: Path) -> None:
    """What the image does not know is found as ever, and is in it from then on."""
    run(place, "check", "--no-cache", str(RECIPE))
    module = place / "waterlint" / "rules" / "ratio.py"
    future = "from __future__ import annotations\n"
    module.write_text(module.read_text().replace(future, f"{future}import waterlint.rules.news\n"))
    (place / "waterlint" / "rules" / "news.py").write_text("print('new')\n")
    for _ in range(3):
        assert run(place, "check", "--no-cache", str(RECIPE)).stdout.startswith("new\n")
    (place / "waterlint" / "rules" / "news.py").unlink()
    told = run(place, "check", "--no-cache", str(RECIPE))
    assert told.returncode == 2 and "waterlint.rules.news" in told.stderr


@pytest.mark.parametrize("first", CALLS)
def test_image_of_one_command_serves_every_other(place: Path, first: str) -> None:
    """In whatever order each imports: each is as without an image, and no module is made twice."""
    run(place, *first.split())
    written = image_of(place).read_bytes()
    for other in CALLS:
        image_of(place).write_bytes(written)
        done = call(place, ["-c", ONCE, *other.split()], {})
        assert (done.returncode, done.stderr) == (0, ""), other


def test_module_that_imports_more_than_it_did_is_made_once(place: Path) -> None:
    """Edited, and met by a command of few modules first, then by one that imports all of them."""
    run(place, "check", "--no-cache", str(RECIPE))
    module = place / "waterlint" / "project" / "root.py"
    line = "from waterlint.paths import Path\n"
    more = "from waterlint.units import parse\nfrom waterlint.verdict import House\n"
    assert line in module.read_text()
    module.write_text(module.read_text().replace(line, line + more))
    run(place, "hook")
    done = call(place, ["-c", ONCE, "check", "--no-cache", str(RECIPE)], {})
    assert (done.returncode, done.stderr) == (0, "")


def test_module_of_another_package_is_none_of_ours(place: Path) -> None:
    """Also where its name starts like this package's: no image is written for it in each run."""
    (place / "waterlint_acme.py").write_text("")
    run(place, "--version")
    program = """\
from waterlint import launch
image = launch.Image.beside(launch._FOLDER)
print(image.find_spec("waterlint_acme"), image.find_spec("waterlint.version") is None, image.missed)
"""
    assert call(place, ["-c", program], {}).stdout == "None False False\n"


def test_removed_module_is_noticed(place: Path) -> None:
    """What is in the image alone is not there."""
    run(place, "check", "--no-cache", str(RECIPE))
    (place / "waterlint" / "cli" / "check.py").unlink()
    told = run(place, "check", str(RECIPE))
    assert told.returncode == 2 and "waterlint.cli.check" in told.stderr


@pytest.mark.parametrize("share", [0.0, 0.000003, 0.00001, 0.01, 0.3, 0.7, 0.999])
def test_cut_image_is_only_slower(place: Path, share: float) -> None:
    """Whatever a full disk left of it: the run is right, and the next image whole."""
    whole = run(place, "check", "--no-cache", str(RECIPE))
    image = image_of(place)
    data = image.read_bytes()
    image.write_bytes(data[: int(len(data) * share)])
    again = run(place, "check", "--no-cache", str(RECIPE))
    assert (again.returncode, again.stdout, again.stderr) == (1, whole.stdout, "")
    assert len(image.read_bytes()) == len(data)


@pytest.mark.parametrize("data", [b"no image at all", b"\0" * 4000, b"\xff" * 4000])
def test_something_else_in_its_place(place: Path, data: bytes) -> None:
    """It is not taken for an image, and replaced by one."""
    image = image_of(place)
    image.parent.mkdir()
    image.write_bytes(data)
    assert run(place, "--version").stdout == f"waterlint {waterlint.__version__}\n"
    assert image.stat().st_size > len(data)


def test_image_of_another_place_is_not_used(place: Path, tmp_path: Path) -> None:
    """Code names its file in tracebacks, so a moved package gets an image anew."""
    run(place, "--version")
    moved = tmp_path / "moved"
    moved.mkdir()
    shutil.move(place / "waterlint", moved / "waterlint")
    program = "from waterlint import launch; print(launch.Image.beside(launch._FOLDER).entries)"
    assert call(moved, ["-c", program], {}).stdout == "{}\n"


@pytest.mark.parametrize(
    "variables", [{"PYTHONDONTWRITEBYTECODE": "1"}, {"PYTHONPYCACHEPREFIX": "elsewhere"}]
)
def test_nothing_is_written_against_the_wish(
    place: Path, variables: dict[str, str], tmp_path: Path
) -> None:
    """Whoever tells Python to keep no compiled files beside the sources gets none of ours."""
    if "PYTHONPYCACHEPREFIX" in variables:
        variables = {"PYTHONPYCACHEPREFIX": str(tmp_path / "prefix")}
    assert run(place, "--version", **variables).returncode == 0
    assert not image_of(place).exists()


def test_runs_at_the_same_time(place: Path) -> None:
    """Each is right, and one image is left, whole."""
    environment = {**os.environ, "PYTHONPATH": str(place), "PYTHONSAFEPATH": "1"}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    command = [sys.executable, "-m", "waterlint", "--version"]
    runs = [subprocess.Popen(command, env=environment, stdout=subprocess.PIPE) for _ in range(6)]
    assert {each.communicate()[0] for each in runs} == {b"waterlint 0.1.0\n"}
    assert [path.name for path in image_of(place).parent.glob("*image*")] == [image_of(place).name]
    assert loaders(place) == "['_Loader']"


def test_module_from_the_image_is_like_any_other(place: Path) -> None:
    """File, compiled file, package path and source are those that Python would tell.

    And each is marked as done, for the others' imports look at that.
    """
    run(place, "check", "--no-cache", str(RECIPE))
    program = """\
import importlib, inspect, json, sys
from waterlint import launch
if sys.argv[1] == "image":
    sys.meta_path.insert(0, launch.Image.beside(launch._FOLDER))
told = []
for name in ("waterlint.rules", "waterlint.rules.ranges", "waterlint.chemistry.mash"):
    module = importlib.import_module(name)
    told.append([module.__file__, module.__cached__, module.__package__, module.__spec__.origin,
                 list(getattr(module, "__path__", [])), inspect.getsource(module)])
ours = [module.__spec__ for name, module in sys.modules.items() if name.startswith("waterlint.")]
told.append([spec.name for spec in ours if getattr(spec, "_initializing", None) is not False])
print(json.dumps(told))
"""
    from_image, plain = (call(place, ["-c", program, each], {}).stdout for each in ("image", ""))
    assert from_image == plain != ""


@pytest.mark.parametrize("status", [0, 1, 2])
def test_what_waits_for_the_end_is_done(place: Path, status: int) -> None:
    """Functions registered for the end and threads are waited for; the status is the run's."""
    program = "import atexit, sys\nfrom waterlint.launch import leave\nprint('said')\n"
    waiting = program + "atexit.register(print, 'at the end')\n"
    working = (
        "import threading, time\n"
        "def work():\n    time.sleep(0.3)\n    print('worked', flush=True)\n"
        "threading.Thread(target=work).start()\n"
    )
    for text, said in (
        (program, "said\n"),
        (waiting, "said\nat the end\n"),
        (program + working, "said\nworked\n"),
    ):
        done = call(place, ["-c", f"{text}leave({status})"], {})
        assert (done.returncode, done.stdout, done.stderr) == (status, said, "")
